"""How exact the seams must be: what a ring sewn a little too narrow still covers. Closed forms, mm."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, fraction_in
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Centre

# What a sewer can tell apart on a rule: a 64th of an inch, a tenth of a millimetre.
INCH_PARTS = 64
FINEST_MM = 0.1


def centre_tolerance_mm(blade: Blade, centre: Centre) -> float:
    """Return by how much every seam may be too narrow while the round centre still covers the opening.

    Args:
        blade: as it is cut.
        centre: finished radius R, at least the opening's, r_i / cos a.

    Source: sewn e too narrow, the narrow ends move out by e / sin a (`Blade.apex_shift_mm`), so the
    opening's corners lie at (r_i + e / sin a) / cos a; that is R at e = (R·cos a − r_i)·sin a.
    """
    a = blade.half_angle_rad
    return (centre.finished_radius_mm * math.cos(a) - blade.inner_radius_mm) * math.sin(a)


def background_tolerance_mm(blade: Blade, background: Background) -> float:
    """Return by how much every seam may be too narrow before the plate can reach the background's seam.

    Source: the tips lie at r_t + e / sin a; what reaches further than the tips does so by the same share. The
    furthest point may stand square to a side of the background.
    """
    furthest = background.finished_side_mm / 2 * blade.tip.finish.reach_share(blade)
    return (furthest - blade.tip_radius_mm) * math.sin(blade.half_angle_rad)


def opening_mm(blade: Blade, *, narrow_by_mm: float) -> float:
    """Return the opening's widest diameter when every seam is sewn that much too narrow."""
    inner = blade.inner_radius_mm + blade.apex_shift_mm(narrow_by_mm)
    return 2 * inner / math.cos(blade.half_angle_rad)


def pair_width_mm(blade: Blade, *, narrow_by_mm: float = 0.0) -> float:
    """Return how far apart the outer corners of two joined blades lie at the narrow end.

    Source: about the apex a corner lies at (r_i·tan a + s/cos a, r_i); turned by a with its blade, its x
    is 2·r_i·sin a + s. Sewn e too narrow, r_i grows by e/sin a and s shrinks by e: 2·e more in all.
    """
    exact = 4 * blade.inner_radius_mm * math.sin(blade.half_angle_rad) + 2 * blade.seam_mm
    return exact + 2 * narrow_by_mm


def for_a_sewer(mm: float, unit: Unit) -> str:
    """Return a tolerance as a rule shows it, rounded down; empty if it is below the finest mark.

    >>> for_a_sewer(0.98, Unit.IN), for_a_sewer(0.98, Unit.CM), for_a_sewer(0.05, Unit.MM)
    ('1/32 in', '0.9 mm', '')
    """
    finest = MM_PER_INCH / INCH_PARTS if unit is Unit.IN else FINEST_MM
    # An exact mark that a double misses by its last bit counts as reached.
    marks = math.floor((mm + RULE_MM) / finest)
    if marks < 1:
        return ""
    if unit is Unit.IN:
        return f"{fraction_in(marks * finest, parts=INCH_PARTS)} in"
    return f"{marks * finest:.1f}".removesuffix(".0") + " mm"
