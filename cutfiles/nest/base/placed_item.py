"""What lies where on a container, and the obstacles there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from cutfiles.geometry.outline import Point
from cutfiles.nest.base.oriented_item import OrientedItem

Flags = np.ndarray[Any, np.dtype[np.bool_]]
Rings = tuple[tuple[Point, ...], ...]  # convex, counter-clockwise


@dataclass(frozen=True, slots=True)
class PlacedItem:
    """An item with its origin at (x, y) in the rectangle."""

    item: OrientedItem
    x_mm: float
    y_mm: float
