"""Shapes with bays."""

from __future__ import annotations

import math

from cutfiles.geometry.outline import Path, Vertex, ring
from cutfiles.pieces.shape import Shape

ELL = Shape("ell", ring((0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)), (), symmetric=False)


def crescent() -> Shape:
    """Return a disc of 40 mm less one of 34 mm that lies 18 mm to its right."""
    x = (40**2 - 34**2 + 18**2) / 36
    y = math.sqrt(40**2 - x**2)
    outer, inner = 2 * math.pi - 2 * math.atan2(y, x), 2 * math.pi - 2 * math.atan2(y, x - 18)
    corners = (Vertex(x, y, math.tan(outer / 4)), Vertex(x, -y, -math.tan(inner / 4)))
    return Shape("moon", Path(corners, closed=True), (), symmetric=False)
