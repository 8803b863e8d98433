"""The edges around where two items are too near: of one convex polygon, or of several together."""

from __future__ import annotations

import numpy as np
import shapely

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.search.nofit.half_planes import Beside, HalfPlanes, Indices, remembered

_DECIMALS = 6  # so that builds of the geometry library agree

# Edges as columns, for the second item's origin, the first at (0, 0): x and y of the starts, and of the way
# to the ends; shape (4, k).
Boundary = Array


class Boundaries:
    """Makes borders from the tables when they are first asked for."""

    def __init__(self, half_planes: HalfPlanes) -> None:
        self.half_planes = half_planes
        self._known: dict[tuple[int, int], Boundary] = {}
        self._beside: dict[Beside, tuple[Boundary, Indices]] = {}

    def between(self, fixed: int, orbiting: int) -> Boundary:
        """Return the border of where item `orbiting` is too near to item `fixed`; both are indices."""
        key = (fixed, orbiting)
        if key not in self._known:
            self._known[key] = self._made(fixed, orbiting)
        return self._known[key]

    def beside(self, fixed: Indices, orbiting: int) -> tuple[Boundary, Indices]:
        """Return the borders of several items with one, in order, and whose each edge is."""
        return remembered(self._beside, (fixed.tobytes(), orbiting), lambda: self._joined(fixed, orbiting))

    def _joined(self, fixed: Indices, orbiting: int) -> tuple[Boundary, Indices]:
        borders = [self.between(item_index, orbiting) for item_index in fixed.tolist()]
        owner = np.arange(len(borders)).repeat([border.shape[1] for border in borders])
        return np.concatenate([np.empty((4, 0)), *borders], axis=1), owner

    def _made(self, fixed: int, orbiting: int) -> Boundary:
        half_planes = self.half_planes
        there = half_planes.there[fixed, orbiting]
        corners = np.stack(
            (half_planes.corner_x[fixed, orbiting], half_planes.corner_y[fixed, orbiting]), axis=2
        )[there]
        rings = [_without_repeats(ring) for ring in corners]
        if len(rings) > 1:
            # What one polygon hides of another is no border; bays that are closed by a touch are none.
            whole = shapely.union_all([shapely.Polygon(ring) for ring in rings])
            rings = [
                np.round(shapely.get_coordinates(border)[:-1], _DECIMALS)
                for part in shapely.get_parts(whole)
                for border in (part.exterior, *part.interiors)
            ]
        if not rings:
            return np.empty((4, 0))
        along = [np.roll(ring, -1, axis=0) - ring for ring in rings]
        return np.concatenate((np.concatenate(rings).T, np.concatenate(along).T))


def _without_repeats(ring: Array) -> Array:
    along = np.roll(ring, -1, axis=0) - ring
    kept: Array = ring[(np.abs(along) > SAME_POINT_MM).any(axis=1)]
    return kept
