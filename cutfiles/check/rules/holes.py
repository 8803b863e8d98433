"""Holes: cut at all and in time, and nothing drawn through them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from cutfiles.check.context.context import Context
from cutfiles.check.shapes.contours import as_area, as_line
from cutfiles.core.tolerance import CHORD_MM, FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Layer

_CHUNK = 4096
_QUARTER = 64  # edges of a quarter round


def wrong_holes(context: Context) -> tuple[Fault, ...]:
    """Return holes that are missing, misnamed, or cut after the piece they are in."""
    return context.hole_split.faults


def marks_in_holes(context: Context) -> Iterator[Fault]:
    """Yield a fault for each drawn line that runs through a hole: there is nothing to draw on."""
    drawing, holes = context.drawing, context.hole_split.holes
    if not holes:
        return
    slack = drawing.kind.pair_mm + FILE_MM
    voids = [as_area(item.path, stray_mm=CHORD_MM).buffer(-slack, quad_segs=_QUARTER) for item in holes]
    tree = shapely.STRtree(voids)
    says = "is drawn through a hole"
    for item in drawing.on(Layer.DRAW):
        if len(tree.query(as_line(item.path, stray_mm=CHORD_MM), predicate="intersects")):
            yield Fault(Code.STRAY_MARK, item.place, says)
    strokes = drawing.drawn
    for first in range(0, len(strokes), _CHUNK):
        lines = strokes.lines(first, min(first + _CHUNK, len(strokes)))
        for index in np.unique(tree.query(lines, predicate="intersects")[0]).tolist():
            yield Fault(Code.STRAY_MARK, strokes.place(first + index), says)
