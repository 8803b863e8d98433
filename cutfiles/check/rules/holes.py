"""Holes: cut at all and in time, nothing drawn through them, and in a layout inside of their shape."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from cutfiles.check.context.context import Context
from cutfiles.check.layout.layout import KnownLayout
from cutfiles.check.shapes.contours import as_area, as_line
from cutfiles.core.tolerance import CHORD_MM, FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Layer
from cutfiles.geometry.distance import contours_apart
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Contour

_CHUNK = 4096
_QUARTER = 64  # edges of a quarter round
_KERF_MM = 0.005  # how far a line may be from half a kerf inside its hole: arcs were measured as chords


def wrong_holes(context: Context) -> tuple[Fault, ...]:
    """Return holes that are missing, misnamed, or cut after the piece they are in."""
    return context.hole_split.faults


def marks_in_holes(context: Context) -> Iterator[Fault]:
    """Yield a fault for each drawn line that runs through a hole: there is nothing to draw on."""
    drawing, holes = context.drawing, context.hole_split.holes
    if not holes:
        return
    slack = drawing.kind.pair_mm + FILE_MM
    voids = [_polygon(item.path).buffer(-slack, quad_segs=_QUARTER) for item in holes]
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


def _polygon(path: Contour) -> shapely.Polygon:
    return as_area(path, stray_mm=CHORD_MM)


def hole_faults(layout: KnownLayout) -> Iterator[Fault]:
    """Yield what is wrong with the holes of a layout's shapes: outside, too near to another cut, or off."""
    for name, holes in layout.holes.items():
        whole = _polygon(layout.shapes[name])
        cuts = [layout.shapes[name], *holes.inner]
        for number, (hole, line) in enumerate(zip(holes.inner, holes.lines, strict=True), start=1):
            place = f"{name}-inner-{number}"
            if not whole.covers(_polygon(hole)):
                yield Fault(Code.BAD_LAYOUT, place, f"lies not in {name}")
                continue
            meant = _polygon(hole).buffer(-layout.tool.kerf_mm / 2, quad_segs=_QUARTER)
            off = shapely.hausdorff_distance(meant.exterior, as_line(line, stray_mm=CHORD_MM))
            if off > _KERF_MM:
                words = (
                    f"its line is {off:.4g} mm off half the kerf of {layout.tool.kerf_mm:g} mm inside of it"
                )
                yield Fault(Code.BAD_LAYOUT, place, words)
            for other in cuts[:number]:
                apart = contours_apart(edges_of(hole), edges_of(other), within_mm=layout.web_mm)
                if apart < layout.web_mm - FILE_MM:
                    words = f"only {apart:.4g} mm stay beside it, where {layout.web_mm:g} mm is the least"
                    yield Fault(Code.TOO_NEAR, place, words)
