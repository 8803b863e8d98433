"""Blades cut across a strip of cloth: how many it gives, end for end and one way."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.plate.blade import Blade


def end_for_end(blade: Blade, usable_mm: float) -> int:
    """Return how many blades lie side by side in a strip as high as a blade is long, every other turned.

    Args:
        blade: as it is cut; no gap is kept between two, as a ruler needs none.
        usable_mm: the strip's length, between selvedges.

    Source: docs/geometry.md, k blades in a row are k·(W + N)/2 + (W − N)/2 wide.
    """
    wide, narrow = blade.wide_width_mm, blade.narrow_width_mm
    return max(0, math.floor((usable_mm - (wide - narrow) / 2 + RULE_MM) / ((wide + narrow) / 2)))


def one_way(blade: Blade, usable_mm: float) -> int:
    """Return how many lie there all the same way up."""
    return math.floor((usable_mm + RULE_MM) / blade.wide_width_mm)
