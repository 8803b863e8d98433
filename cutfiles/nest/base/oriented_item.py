"""A shape at one turn, as the search sees it: exact bounds, and the convex parts that it is made of. mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from cutfiles.core.tolerance import NEST_ARC_MM, NEST_ARC_MOST_MM
from cutfiles.geometry.convex_parts import Array, convex_parts, hull
from cutfiles.geometry.outline import Bounds, Circle, Contour, Point, Side, bounds, chords
from cutfiles.geometry.pose import Pose, placed
from cutfiles.pieces.shape import Shape

__all__ = ["Array", "OrientedItem", "oriented_item", "without_bays"]


_MANY_CORNERS = 64  # above, arcs may stray further


@dataclass(frozen=True, slots=True, eq=False)
class OrientedItem:
    """What a piece occupies, its origin at (0, 0).

    `parts` are convex rings of shape (n, 2), counter-clockwise, that together hold the cut outline and
    stray from it slightly at arcs, and where a bay has very many corners. `corners` is the convex ring
    around them all: of a convex shape its only part. `bounds` are exact.
    """

    shape: str
    turn_deg: float
    mirrored: bool
    bounds: Bounds
    corners: Array
    parts: tuple[Array, ...]
    ring: Array  # the cut outline as corners, erring outwards, shape (n, 2)
    is_disc: bool = False

    @property
    def width_mm(self) -> float:
        """Along x."""
        return self.bounds[2] - self.bounds[0]

    @property
    def height_mm(self) -> float:
        """Along y."""
        return self.bounds[3] - self.bounds[1]

    def alike(self, other: OrientedItem) -> bool:
        """Return whether both occupy exactly the same."""
        return (
            self.shape == other.shape
            and self.bounds == other.bounds
            and np.array_equal(self.corners, other.corners)
            and len(self.parts) == len(other.parts)
            and all(
                np.array_equal(own_part, other_part)
                for own_part, other_part in zip(self.parts, other.parts, strict=True)
            )
        )


def oriented_item(shape: Shape, *, turn_deg: float, mirrored: bool) -> OrientedItem:
    """Return the item of a shape at a turn; a shape that is its own mirror image is never mirrored."""
    pose = Pose(turn_deg=turn_deg, mirrored=mirrored and not shape.symmetric)
    cut = placed(shape.cut, pose)
    points = _points(cut)
    return OrientedItem(
        shape.name,
        turn_deg,
        pose.mirrored,
        bounds(cut),
        hull(points),
        convex_parts(points),
        np.array(points),
        isinstance(cut, Circle),
    )


def _points(cut: Contour) -> list[Point]:
    """Corners around the outline: few, as the search's work grows with the square of their number."""
    stray_mm = NEST_ARC_MM
    points = chords(cut, stray_mm=stray_mm, side=Side.OUTSIDE)
    while len(points) > _MANY_CORNERS and stray_mm < NEST_ARC_MOST_MM:
        stray_mm *= 2
        points = chords(cut, stray_mm=stray_mm, side=Side.OUTSIDE)
    return points


@lru_cache
def without_bays(item: OrientedItem) -> OrientedItem:
    """Return the item with its bays filled: one convex part. The same item gives the same one."""
    return replace(item, parts=(item.corners,))
