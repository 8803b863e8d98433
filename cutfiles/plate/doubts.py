"""Whether a plate's size makes one wonder if its unit is the one that was meant."""

from __future__ import annotations

from cutfiles.core.units import MM_PER_INCH, Unit, in_both
from cutfiles.job.model.job import PlateSpec
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
