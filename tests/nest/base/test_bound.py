"""No more can fit: bounds against what is known to tile."""

from __future__ import annotations

import math

from cutfiles.geometry.outline import ring
from cutfiles.nest.base.bound import most_in
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.pieces.shape import Shape


def test_the_bound_of_squares_is_exact_without_a_gap() -> None:
    """Squares tile: what the areas allow is what fits."""
    square = Shape("tile", ring((0, 0), (30, 0), (30, 30), (0, 30)), (), symmetric=False)
    item = oriented_item(square, turn_deg=0.0, mirrored=False)
    assert most_in(square, [item], width_mm=90, height_mm=60, gap_mm=0) == 6
    assert most_in(square, [item], width_mm=29, height_mm=600, gap_mm=0) == 0
    assert most_in(square, [item], width_mm=90 - 1e-3, height_mm=60, gap_mm=0) == 5
    # Steiner: 30² + 120·2/2 + π·2²/4 = 1023.14 each, in 92 × 62.
    assert most_in(square, [item], width_mm=90, height_mm=60, gap_mm=2) == math.floor(92 * 62 / 1023.1416)
