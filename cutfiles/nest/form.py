"""A shape at one turn, as the search sees it: exact bounds, and a convex outline around it. mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from cutfiles.core.outline import Bounds, Side, bounds, chords
from cutfiles.core.pose import Pose, placed
from cutfiles.core.tolerance import NEST_ARC_MM, SAME_POINT_MM
from cutfiles.pieces.shape import Shape

Array = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True, slots=True, eq=False)
class Form:
    """What a piece keeps for itself, its origin at (0, 0).

    `corners` is a convex ring of shape (n, 2), counter-clockwise, that holds the cut outline and strays
    from it only in bays and, by a hair, at arcs; `bounds` are exact.
    """

    shape: str
    turn_deg: float
    mirrored: bool
    bounds: Bounds
    corners: Array

    @property
    def width_mm(self) -> float:
        """Along x."""
        return self.bounds[2] - self.bounds[0]

    @property
    def height_mm(self) -> float:
        """Along y."""
        return self.bounds[3] - self.bounds[1]

    def alike(self, other: Form) -> bool:
        """Return whether both keep exactly the same for themselves."""
        return (
            self.shape == other.shape
            and self.bounds == other.bounds
            and np.array_equal(self.corners, other.corners)
        )


def form_of(shape: Shape, *, turn_deg: float, mirrored: bool) -> Form:
    """Return the form of a shape at a turn; a shape that is its own mirror image is never mirrored."""
    pose = Pose(turn_deg=turn_deg, mirrored=mirrored and not shape.symmetric)
    cut = placed(shape.cut, pose)
    points = chords(cut, stray_mm=NEST_ARC_MM, side=Side.OUTSIDE)
    return Form(shape.name, turn_deg, pose.mirrored, bounds(cut), _hull(points))


def _hull(points: list[tuple[float, float]]) -> Array:
    """The convex ring around points, counter-clockwise from the lowest left (Andrew's monotone chain)."""
    ordered = sorted(set(points))

    def half(row: list[tuple[float, float]]) -> list[tuple[float, float]]:
        chain: list[tuple[float, float]] = []
        for point in row:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= SAME_POINT_MM**2:
                chain.pop()
            chain.append(point)
        return chain[:-1]

    return np.array(half(ordered) + half(ordered[::-1]), dtype=np.float64)


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
