"""What makes one doubt a job before any search: sizes in the wrong unit, blades longer than any cloth."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, in_both
from cutfiles.job.model.job import FabricSpec, Grain, Job, PlateSpec
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Plate

# A plate for a coaster is about 6 in, one that fills a quilt's middle about 60: common practice, no source.
_USUAL_MM = (6 * MM_PER_INCH, 60 * MM_PER_INCH)
_LEAST_BLADE_MM = 20.0  # cut blades are hardly shorter than three seams of 1/4 in


def number_doubt(spec: PlateSpec, unit: Unit) -> str:
    """Return a question where numbers that make no plate are small for their unit; mostly it is empty."""
    given = [length for length in (spec.blade_length_mm, spec.finished_diameter_mm) if length is not None]
    if not given or max(given) >= _LEAST_BLADE_MM:
        return ""
    return (
        f"are its numbers meant in {unit.value}? What a number without a unit means is said by unit in [job]"
    )


def size_doubts(plate: Plate, unit: Unit) -> tuple[str, ...]:
    """Return a question where a plate is smaller or larger than people make them; mostly there is none.

    Most often `unit` was changed and the numbers were not: 4 3/4 is a good blade in inches only.
    """
    least, most = _USUAL_MM
    across = plate.blade.finished_diameter_mm
    if least <= across <= most:
        return ()
    odd = "small" if across < least else "large"
    return (
        f"the plate measures {in_both(across, unit)} tip to tip, which is very {odd}: are its numbers meant "
        f"in {unit.value}? What a number without a unit means is said by unit in [job]",
    )


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
