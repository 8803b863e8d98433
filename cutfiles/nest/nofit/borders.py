"""The edges around where two forms are too near: of one convex polygon, or of several together."""

from __future__ import annotations

import numpy as np
import shapely

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.nest.base.form import Array
from cutfiles.nest.nofit.planes import Planes

_DECIMALS = 6  # what differs between builds of the geometry library goes

# Starts and the way to the ends, shape (k, 2) each, for the second form's origin, the first at (0, 0).
Border = tuple[Array, Array]


class Borders:
    """Makes borders from the tables when they are first asked for."""

    def __init__(self, planes: Planes) -> None:
        self.planes = planes
        self._known: dict[tuple[int, int], Border] = {}

    def of(self, fixed: int, laid: int) -> Border:
        """Return the border of where kind `laid` is too near to kind `fixed`."""
        key = (fixed, laid)
        if key not in self._known:
            self._known[key] = self._made(fixed, laid)
        return self._known[key]

    def _made(self, fixed: int, laid: int) -> Border:
        planes = self.planes
        there = planes.there[fixed, laid]
        corners = np.stack((planes.corner_x[fixed, laid], planes.corner_y[fixed, laid]), axis=2)[there]
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
            return np.empty((0, 2)), np.empty((0, 2))
        along = [np.roll(ring, -1, axis=0) - ring for ring in rings]
        return np.concatenate(rings), np.concatenate(along)


def _without_repeats(ring: Array) -> Array:
    along = np.roll(ring, -1, axis=0) - ring
    kept: Array = ring[(np.abs(along) > SAME_POINT_MM).any(axis=1)]
    return kept
