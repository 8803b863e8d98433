"""Why no more can fit: bounds on how many pieces a rectangle could give, whatever the search finds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import shapely

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.outline import Circle, Path, area, length
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.base.placed_item import Rings
from cutfiles.pieces.shape import Shape


def most_in(
    shape: Shape,
    items: Sequence[OrientedItem],
    *,
    width_mm: float,
    height_mm: float,
    gap_mm: float,
    obstacles: Rings = (),
) -> int:
    """Return a number that pieces of one shape in a rectangle can't pass.

    Pieces a gap apart, each grown by half the gap, don't overlap and stay in the rectangle grown by as
    much: the areas can't sum to more. A convex outline of area A and perimeter P grown by g/2 covers
    A + P·g/2 + π·g²/4 (Steiner's formula); for any other, A alone is counted. Of circles fewer fit than
    their areas say: their middles lie a diameter and the gap apart.

    Args:
        shape: what is cut.
        items: the shape at each turn that is allowed.
        width_mm: of the room for cut lines: margins taken off.
        height_mm: likewise.
        gap_mm: least distance between cut lines.
        obstacles: convex, counted from the room's lower left corner; no cut line enters them.
    """
    fits = any(f.width_mm <= width_mm + TOUCH_MM and f.height_mm <= height_mm + TOUCH_MM for f in items)
    if not fits:
        return 0
    room = (width_mm + gap_mm) * (height_mm + gap_mm)
    if obstacles:
        room = min(room, _room_mm2(width_mm, height_mm, gap_mm, obstacles))
    own = area(shape.cut)
    if _is_convex(shape):
        own += length(shape.cut) * gap_mm / 2 + math.pi * gap_mm**2 / 4
    # A little room, so that an exact fit is not rounded away.
    most = math.floor(room / own * (1 + 1e-12) + 1e-9)
    if isinstance(shape.cut, Circle):
        across = 2 * shape.cut.radius
        most = min(most, _points_apart(width_mm - across, height_mm - across, across + gap_mm))
    return most


def _points_apart(width_mm: float, height_mm: float, apart_mm: float) -> int:
    """How many points a distance apart a rectangle can't pass: the middles of circles.

    Source: N. Oler, "An inequality in the geometry of numbers" (Acta Mathematica 105, 1961): in a convex
    region of area A and perimeter P at most 2·A/√3 + P/2 + 1 points lie 1 or more apart.
    """
    wide, high = max(0.0, width_mm) / apart_mm, max(0.0, height_mm) / apart_mm
    return math.floor((2 / math.sqrt(3) * wide * high + wide + high + 1) * (1 + 1e-12) + 1e-9)


@lru_cache
def _room_mm2(width_mm: float, height_mm: float, gap_mm: float, obstacles: Rings) -> float:
    """The area of the room less the obstacles, grown by half the gap: no less than that."""
    blocked = shapely.union_all([shapely.Polygon(ring) for ring in obstacles])
    room = shapely.box(0.0, 0.0, width_mm, height_mm).difference(blocked)
    # A mitred border lies outside the rounded one.
    return float(room.buffer(gap_mm / 2, join_style="mitre").area)


def _is_convex(shape: Shape) -> bool:
    if not isinstance(shape.cut, Path):
        return True
    corners = shape.cut.vertices
    if any(corner.bulge < 0 for corner in corners):
        return False
    for index, corner in enumerate(corners):
        before, after = corners[index - 1], corners[(index + 1) % len(corners)]
        turn = (corner.x - before.x) * (after.y - corner.y) - (corner.y - before.y) * (after.x - corner.x)
        if turn < 0:
            return False
    return True
