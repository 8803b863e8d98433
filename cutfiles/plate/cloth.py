"""What can be said of the cloth without a search: whether any piece is long enough for a blade."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.job.model.job import FabricSpec, Grain, Job
from cutfiles.plate.blade import Blade


def longest_mm(fabric: FabricSpec) -> float | None:
    """Return the most that a piece of a fabric has along a blade's centre line; None where that isn't known.

    The bounds of an irregular piece count: what is longer than they are fits for certain nowhere.
    """
    if fabric.as_needed or fabric.drawing is not None:
        return None
    width, length = (side - 2 * fabric.margin_mm for side in (fabric.width_mm, fabric.length_mm))
    return {
        Grain.LENGTHWISE: length,
        Grain.CROSSWISE: width,
        Grain.STRAIGHT: max(width, length),
        Grain.ANY: math.hypot(width, length),
    }[fabric.grain]


def blade_is_too_long(job: Job, blade: Blade) -> float | None:
    """Return the longest piece's length where a blade is longer than every piece that is to give blades."""
    lengths = [longest_mm(fabric) for fabric in job.fabrics if "blade" in dict(fabric.cuts)]
    known = [mm for mm in lengths if mm is not None]
    if not known or len(known) < len(lengths) or blade.length_mm <= max(known) + RULE_MM:
        return None
    return max(known)
