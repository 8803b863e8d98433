"""What is drawn: inside a piece; and what is marked for register: off the fabric."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from cutfiles.check.alone import CHORD_MM
from cutfiles.check.codes import Code
from cutfiles.check.contours import as_line
from cutfiles.check.drawing import Item
from cutfiles.check.layout import KnownLoad
from cutfiles.check.report import Fault
from cutfiles.core.tolerance import FILE_MM

# Thirty thousand drawn lines, each in one piece of several near it, make some sixty thousand.
_MOST_LOOKED_AT = 400_000
_CHUNK = 256


def stray_marks(drawn: Sequence[Item], outlines: Sequence[Item]) -> Iterator[Fault]:
    """Yield a fault for each drawn line that is not inside one piece.

    It may pass the cut line by the files' rounding; 0.01 mm beyond is always found.
    """
    pieces = [_generous(as_line(item.path, stray_mm=CHORD_MM)) for item in outlines]
    tree = shapely.STRtree(pieces)
    looked_at = 0
    for start in range(0, len(drawn), _CHUNK):
        lines = [as_line(item.path, stray_mm=CHORD_MM) for item in drawn[start : start + _CHUNK]]
        looked_at += tree.query(lines).shape[1]
        if looked_at > _MOST_LOOKED_AT:
            words = "too many drawn lines and outlines lie over each other: the rest wasn't measured"
            yield Fault(Code.TOO_MUCH, "", words)
            return
        inside = np.zeros(len(lines), dtype=bool)
        inside[tree.query(lines, predicate="covered_by")[0]] = True
        for index in np.flatnonzero(~inside).tolist():
            yield Fault(
                Code.STRAY_MARK, drawn[start + index].place, "is drawn outside every piece, or across two"
            )


def _generous(ring: shapely.LineString) -> shapely.geometry.base.BaseGeometry:
    piece = shapely.Polygon(ring.coords)
    # An outline that crosses itself is a fault of its own: its marks are then taken to be somewhere in it.
    sound = piece if piece.is_valid else piece.convex_hull
    return sound.buffer(FILE_MM + 2 * CHORD_MM, quad_segs=4)


def marks_on_fabric(marks: Sequence[Item], load: KnownLoad) -> Iterator[Fault]:
    """Yield a fault for each register mark that touches a fabric of the load."""
    lines = [(item, as_line(item.path, stray_mm=CHORD_MM)) for item in marks]
    for fabric in load.fabrics:
        left, low, right, high = fabric.box
        # A mark may touch the edge by the files' rounding.
        (left, right), (low, high) = _shrunk(left, right), _shrunk(low, high)
        cloth = shapely.box(left, low, right, high)
        for item, line in lines:
            if line.intersects(cloth):
                yield Fault(Code.MARK_ON_FABRIC, item.place, f"lies on {fabric.fabric} ({fabric.key})")


def _shrunk(least: float, most: float) -> tuple[float, float]:
    slack = min(FILE_MM, (most - least) / 4)
    return least + slack, most - slack
