"""What two areas have in common, and what one leaves of the other: polygons laid over each other.

Computed in plain doubles, the intersection of two polygons with a common slanted edge can come back as the
whole of one of them. Rounded to a grid, edges that all but coincide do coincide, and the overlay is robust.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import OVERLAY_MM

Polygons = np.ndarray[tuple[int], np.dtype[np.object_]]
Areas = TypeVar("Areas", BaseGeometry, Polygons)


def common(first: Areas, second: Areas) -> Areas:
    """Return the intersection of two valid areas, or of the pairs in two arrays; rounded to OVERLAY_MM."""
    intersection: Areas = shapely.intersection(first, second, grid_size=OVERLAY_MM)
    return intersection


def less(area: BaseGeometry, removed: BaseGeometry) -> BaseGeometry:
    """Return what is left of a valid area outside of another one; rounded to OVERLAY_MM."""
    left: BaseGeometry = shapely.difference(area, removed, grid_size=OVERLAY_MM)
    return left
