"""The three shapes of a plate, with everything the pen may draw on them: blade, centre, background."""

from __future__ import annotations

import math

from cutfiles.formats.model.plan import Drawn
from cutfiles.geometry.outline import Circle, Path, Vertex, line, ring
from cutfiles.job.model.job import Tip
from cutfiles.pieces.shape import Mark, Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Centre, Plate

# A notch is drawn from the cut edge inwards: half a usual seam, so that the sewn seam swallows it.
NOTCH_OF_SEAM = 0.5
# Half of the background's centre cross; enough to find by eye, small enough to hide under the circle.
CROSS_ARM_MM = 10.0


def blade_shape(blade: Blade) -> Shape:
    """Return the blade as it is cut: origin at the plate centre, centre line up the y axis."""
    narrow = blade.cut_half_width_mm(blade.inner_radius_mm)
    bottom = blade.inner_radius_mm
    if blade.tip is Tip.ROUND:
        cut = _round_cut(blade)
    else:
        wide, top = blade.cut_half_width_mm(blade.outer_radius_mm), blade.outer_radius_mm
        cut = ring((-narrow, bottom), (narrow, bottom), (wide, top), (-wide, top))
    marks = (*_side_seams(blade), *_tip_marks(blade), *_notches(blade))
    return Shape("blade", cut, marks, symmetric=True)


def _round_cut(blade: Blade) -> Path:
    a = blade.half_angle_rad
    radius = blade.round_radius_mm + blade.seam_mm
    tangent = (radius * math.cos(a), blade.round_centre_mm - radius * math.sin(a))
    narrow, bottom = blade.cut_half_width_mm(blade.inner_radius_mm), blade.inner_radius_mm
    # From edge to edge over the top the arc sweeps 180° + 2a: tangent to both edges. It is given as two, as
    # some readers of DXF (GDAL 3.12 is one) take the wrong part of a circle where a bulge is above 1.
    bulge = math.tan((math.pi + 2 * a) / 8)
    return Path(
        (
            Vertex(-narrow, bottom),
            Vertex(narrow, bottom),
            Vertex(tangent[0], tangent[1], bulge),
            Vertex(0.0, blade.outer_radius_mm, bulge),
            Vertex(-tangent[0], tangent[1]),
        ),
        closed=True,
    )


def _side_seams(blade: Blade) -> tuple[Mark, ...]:
    """The two radial sew lines, from the narrow end to the valley, where the seam starts or ends."""
    a, valley = blade.half_angle_rad, blade.valley_radius_mm
    top = (valley * math.sin(a), valley * math.cos(a))
    bottom = (blade.inner_radius_mm * math.tan(a), blade.inner_radius_mm)
    return (
        Mark(Drawn.SEW, line((-bottom[0], bottom[1]), (-top[0], top[1]))),
        Mark(Drawn.SEW, line(bottom, top)),
    )


def _tip_marks(blade: Blade) -> tuple[Mark, ...]:
    tip, half = blade.tip_radius_mm, blade.cut_half_width_mm(blade.tip_radius_mm)
    across = line((-half, tip), (half, tip))
    if blade.tip is Tip.FLAT:
        return (Mark(Drawn.FOLD, across),)
    if blade.tip is Tip.FOLDED:
        centre_line = line((0.0, blade.inner_radius_mm), (0.0, blade.outer_radius_mm))
        return (Mark(Drawn.SEW, across), Mark(Drawn.FOLD, centre_line))
    a, radius = blade.half_angle_rad, blade.round_radius_mm
    x, y = radius * math.cos(a), blade.round_centre_mm - radius * math.sin(a)
    arc = Path((Vertex(x, y, math.tan((math.pi + 2 * a) / 4)), Vertex(-x, y)), closed=False)
    return (Mark(Drawn.SEW, arc),)


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
