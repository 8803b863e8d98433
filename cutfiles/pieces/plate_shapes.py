"""The three shapes of a plate, with everything the pen may draw on them: blade, centre, background."""

from __future__ import annotations

import math

from cutfiles.formats.model.plan import Drawn
from cutfiles.geometry.outline import Circle, Path, line, ring
from cutfiles.pieces.shape import Mark, Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Centre, Plate

# A notch is drawn from the cut edge inwards: half a usual seam, so that the sewn seam swallows it.
NOTCH_OF_SEAM = 0.5
# Half of the background's centre cross; enough to find by eye, small enough to hide under the circle.
CROSS_ARM_MM = 10.0


def blade_shape(blade: Blade) -> Shape:
    """Return the blade as it is cut: origin at the plate centre, centre line up the y axis."""
    tip = blade.tip.finish.lines(blade)
    sew = (*side_seams(blade), *tip.sew)
    marks = (*(Mark(Drawn.SEW, path) for path in sew), *(Mark(Drawn.FOLD, path) for path in tip.fold))
    return Shape("blade", blade.tip.finish.cut_line(blade), (*marks, *_notches(blade)), symmetric=True)


def side_seams(blade: Blade) -> tuple[Path, Path]:
    """Return the two radial sew lines, from the narrow end to the valley, where the seam starts or ends."""
    a, valley = blade.half_angle_rad, blade.valley_radius_mm
    top = (valley * math.sin(a), valley * math.cos(a))
    bottom = (blade.inner_radius_mm * math.tan(a), blade.inner_radius_mm)
    return (line((-bottom[0], bottom[1]), (-top[0], top[1])), line(bottom, top))


def _notches(blade: Blade) -> tuple[Mark, ...]:
    """One notch in each long edge, halfway along the seam: neighbours match there."""
    a = blade.half_angle_rad
    y = (blade.inner_radius_mm + blade.tip_base_mm) / 2
    x = blade.cut_half_width_mm(y)
    depth = NOTCH_OF_SEAM * blade.seam_mm
    inward = (-depth * math.cos(a), depth * math.sin(a))  # square to the right-hand cut edge
    return (
        Mark(Drawn.NOTCH, line((x, y), (x + inward[0], y + inward[1]))),
        Mark(Drawn.NOTCH, line((-x, y), (-x - inward[0], y + inward[1]))),
    )


def centre_shape(centre: Centre) -> Shape:
    """Return the centre circle as it is cut, with the line where it is turned under."""
    marks: tuple[Mark, ...] = ()
    if centre.cut_radius_mm > centre.finished_radius_mm:
        marks = (Mark(Drawn.FOLD, Circle(0.0, 0.0, centre.finished_radius_mm)),)
    return Shape("centre", Circle(0.0, 0.0, centre.cut_radius_mm), marks, symmetric=True)


def background_shape(plate: Plate) -> Shape:
    """Return the background square about the plate centre, with the lines to lay the plate by.

    Drawn are the centre cross, the circles of the opening and of the tips, and one ray a seam; a fan's
    seams are centred about the y axis.
    """
    if plate.background is None:
        raise ValueError("the plate has no background")
    blade, half = plate.blade, plate.background.cut_side_mm / 2
    opening = blade.opening_radius_mm
    # The cross ends inside the opening's circle, so that the two don't run into each other.
    arm = min(CROSS_ARM_MM, (opening or blade.tip_radius_mm) / 2)
    marks = [
        Mark(Drawn.SEW, line((-arm, 0.0), (arm, 0.0))),
        Mark(Drawn.SEW, line((0.0, -arm), (0.0, arm))),
        Mark(Drawn.SEW, Circle(0.0, 0.0, blade.tip_radius_mm)),
    ]
    if opening > 0:
        marks.append(Mark(Drawn.SEW, Circle(0.0, 0.0, opening)))
    whole = plate.sewn == blade.blades
    first = 90.0 + plate.sweep_deg / 2
    for seam in range(plate.sewn if whole else plate.sewn + 1):
        angle = math.radians(first - seam * 2 * blade.half_angle_deg)
        cos, sin = math.cos(angle), math.sin(angle)
        valley = blade.valley_radius_mm
        marks.append(Mark(Drawn.SEW, line((opening * cos, opening * sin), (valley * cos, valley * sin))))
    cut = ring((-half, -half), (half, -half), (half, half), (-half, half))
    return Shape("background", cut, tuple(marks), symmetric=True)
