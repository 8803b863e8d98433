"""How exact the seams must be: what a ring sewn a little too narrow still covers. Closed forms, mm."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, fraction_in, rounded_up_mm
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


def cover_for_mm(blade: Blade, *, narrow_by_mm: float) -> float:
    """Return the cover with which a centre just hides the opening of seams that much too narrow.

    Source: `centre_tolerance_mm` with R = r_i / cos a + v gives e = v·sin a·cos a.
    """
    a = blade.half_angle_rad
    return narrow_by_mm / (math.sin(a) * math.cos(a))


def default_cover_mm(blade: Blade) -> float:
    """Return a cover that bears 1/32 in a seam, rounded up to 1/8 in, and is 1/4 in at least."""
    eighth = MM_PER_INCH / 8
    return max(2 * eighth, rounded_up_mm(cover_for_mm(blade, narrow_by_mm=MM_PER_INCH / 32), eighth))


def background_tolerance_mm(blade: Blade, background: Background) -> float:
    """Return by how much every seam may be too narrow before the plate can reach the background's seam.

    Source: with the tip's own seam as narrow the tips lie at r_t + e·(1 / sin a + t), t the seams that the
    tip takes up; what reaches further than the tips does so by the same share. The furthest point may stand
    square to a side of the background.
    """
    furthest = background.finished_width_mm / 2 * blade.tip.finish.reach_share(blade)
    moved = 1 / math.sin(blade.half_angle_rad) + blade.tip.finish.allowance_in_seams
    return (furthest - blade.tip_radius_mm) / moved


def closing_error_deg(blade: Blade, *, seams: int, taper_mm: float) -> float:
    """Return the angle that so many seams add or take which are all wider at one end than at the other.

    Source: both blades of a seam turn by atan(τ/ℓ) each, ℓ the sewn side.
    """
    return 2 * seams * math.degrees(math.atan(taper_mm / blade.seam_length_mm))


def taper_mm(blade: Blade, *, sewn: int, miss_mm: float, at_mm: float) -> float:
    """Return how much wider each seam is at one end, from what joined blades miss their angle by.

    Args:
        blade: as it is cut.
        sewn: how many are joined, 2 or more.
        miss_mm: how far, all in all, the outer edges are off the line on which they should lie.
        at_mm: at what distance from the middle that was measured.

    Source: δ = atan(h/r), shared by sewn − 1 seams, two sides each.
    """
    return math.atan(miss_mm / at_mm) * blade.seam_length_mm / (2 * (sewn - 1))


def narrow_by_mm(blade: Blade, *, opening_mm: float) -> float:
    """Return by how much every side seam is too narrow, from the opening that was measured."""
    a = blade.half_angle_rad
    return (opening_mm * math.cos(a) / 2 - blade.inner_radius_mm) * math.sin(a)


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
