"""Shapes and rectangles that tests of the nest share, and how they look at a layout, by shapely."""

from __future__ import annotations

import numpy as np
import shapely

from cutfiles.core.units import MM_PER_INCH
from cutfiles.geometry.outline import ring
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.pieces.shape import Shape

IN = MM_PER_INCH
HALF = (0.0, 180.0)
QUARTERS = (0.0, 90.0, 180.0, 270.0)


def wedge() -> Shape:
    """A wedge with flat ends 0.95 in and 2.53 in, 5 in long."""
    narrow, wide, long = 0.475 * IN, 1.265 * IN, 5 * IN
    return Shape("blade", ring((-narrow, 0), (narrow, 0), (wide, long), (-wide, long)), (), symmetric=True)


def square(side: float, name: str = "square") -> Shape:
    """A square."""
    return Shape(name, ring((0, 0), (side, 0), (side, side), (0, side)), (), symmetric=True)


def strip_of(
    width: float, *, turns: tuple[float, ...] = (0.0,), length: float = 2000.0, margin: float = 0.0
) -> Container:
    """A strip to lay pieces on."""
    return Container(width, length, margin, turns, mirrored=False)


def where(placed: PlacedItem) -> shapely.Polygon:
    """The piece as it lies."""
    return shapely.Polygon(placed.item.ring + np.array((placed.x_mm, placed.y_mm)))


def clashes(placed: tuple[PlacedItem, ...], gap_mm: float) -> list[tuple[int, int]]:
    """Pairs that lie nearer than the gap, by shapely."""
    pieces = [where(placed_item) for placed_item in placed]
    return [
        (i, j)
        for i, piece in enumerate(pieces)
        for j, other in enumerate(pieces[:i])
        if piece.distance(other) < gap_mm - 2e-2 or piece.intersection(other).area > 1e-2
    ]
