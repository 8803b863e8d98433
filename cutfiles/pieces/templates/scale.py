"""The scale of a blade template: where to lay it for a shorter blade, and what plate that makes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_CM, MM_PER_INCH, Unit, fraction_in
from cutfiles.geometry.outline import Path, line
from cutfiles.plate.blade import Blade

# Lines nearer to each other than this can't be told apart when a template lies on fabric; common practice.
APART_MM = 1.6
TICK_MM = 3.0  # how far the ticks on the left reach past the seam line
_ROOM_MM = 6.0  # a half blade narrower than this has no room for lettering: lines run all across


@dataclass(frozen=True, slots=True)
class Rung:
    """One line of the scale: a blade cut this long, and the plate that such blades make."""

    y_mm: float  # distance from the plate centre
    length_mm: float
    finished_diameter_mm: float
    drawn: bool  # False where the tip's seam line is this line already


def rungs(blade: Blade, unit: Unit) -> tuple[Rung, ...]:
    """Return the lines for shorter blades at every half inch or centimetre, the shortest first.

    None where a shorter blade is not this one cut off: of a round tip the arc is another.
    """
    if not blade.tip.finish.shorter_is_cut_off:
        return ()
    step = MM_PER_INCH / 2 if unit is Unit.IN else MM_PER_CM
    lines = []
    for number in range(1, math.ceil(blade.length_mm / step)):
        try:
            shorter = replace(blade, length_mm=number * step)
        except GeometryError:
            continue  # too short for its tip
        y = shorter.outer_radius_mm
        off = abs(y - blade.tip_radius_mm)
        if off > RULE_MM and min(off, blade.outer_radius_mm - y) < APART_MM:
            continue
        lines.append(Rung(y, shorter.length_mm, shorter.finished_diameter_mm, off > RULE_MM))
    return tuple(lines)


def rung_lines(blade: Blade, rung: Rung) -> tuple[Path, ...]:
    """Return a line of the scale: from the centre line to the right edge, a tick at the left one."""
    y, half = rung.y_mm, blade.cut_half_width_mm(rung.y_mm)
    seam = y * math.tan(blade.half_angle_rad)
    if seam < _ROOM_MM:
        return (line((-half, y), (half, y)),)
    return (line((-half, y), (-seam + TICK_MM, y)), line((0.0, y), (half, y)))


def ruled(mm: float, unit: Unit) -> str:
    """Return a length without its unit, as a rule has it; where a rule has no such mark, in decimals.

    >>> ruled(114.3, Unit.IN), ruled(250.0, Unit.CM), ruled(250.5, Unit.MM), ruled(101.0, Unit.IN)
    ('4 1/2', '25', '250.5', '3.98')
    """
    if unit is Unit.IN and abs(round(mm / MM_PER_INCH * 16) / 16 * MM_PER_INCH - mm) <= RULE_MM:
        return fraction_in(mm)
    places = 1 if unit is Unit.MM else 2
    return f"{mm / unit.mm:.{places}f}".rstrip("0").rstrip(".")
