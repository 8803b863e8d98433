"""The three shapes of a plate, with everything the pen may draw on them: blade, centre, background."""

from __future__ import annotations

import math
from dataclasses import replace

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, bulge_of, line, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.blade_shapes import SECOND_BLADE
from cutfiles.job.model.job import Setting
from cutfiles.pieces.shape import Mark, Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Band, Centre, Plate
from cutfiles.tips.finish import Lines

# A notch is drawn from the cut edge inwards: half a usual seam, so that the sewn seam swallows it.
NOTCH_OF_SEAM = 0.5
# Half of the background's centre cross; enough to find by eye, small enough to hide under the circle.
CROSS_ARM_MM = 10.0
# How far within the plate its guides on the background end: the plate may be laid that much off.
HIDDEN_MM = 3.0


def blade_shape(blade: Blade) -> Shape:
    """Return the blade as it is cut: origin at the plate centre, centre line up the y axis."""
    tip = blade.tip.finish.lines(blade)
    sew = (*side_seams(blade), *tip.sew)
    marks = (*(Mark(Drawn.SEW, path) for path in sew), *(Mark(Drawn.FOLD, path) for path in tip.fold))
    return Shape("blade", blade.tip.finish.cut_line(blade), (*marks, *_notches(blade)), symmetric=True)


def blade_shapes_of(plate: Plate) -> tuple[Shape, ...]:
    """Return all shapes of a plate's blades: one, or one of each length."""
    if plate.bands:
        return tuple(_band_shape(plate, band) for band in plate.bands)
    second = (replace(blade_shape(plate.second), name=SECOND_BLADE),) if plate.second else ()
    return (blade_shape(plate.blade), *second)


def _band_shape(plate: Plate, band: Band) -> Shape:
    """A band as it is cut, where it is in its blade: a seam beyond each seam across."""
    blade, is_outermost = plate.blade, band.name == plate.shapes[-1].name
    low, high, slope = band.cut_low_mm, band.cut_high_mm, math.tan(blade.half_angle_rad)
    corners = [Vertex(-blade.cut_half_width_mm(low), low), Vertex(blade.cut_half_width_mm(low), low)]
    ends: list[float] = [] if band.name == plate.shapes[0].name else [band.low_mm]
    top, tip, up_to = high, Lines(), high
    if is_outermost:
        corners += blade.tip.finish.cut_line(blade).vertices[2:]
        tip = blade.tip.finish.lines(blade)
        up_to = blade.valley_radius_mm * math.cos(blade.half_angle_rad)
    else:
        corners += [Vertex(blade.cut_half_width_mm(top), top), Vertex(-blade.cut_half_width_mm(top), top)]
        ends.append(band.high_mm)
    sew = [line((side * low * slope, low), (side * up_to * slope, up_to)) for side in (-1, 1)]
    for at in ends:
        half = blade.cut_half_width_mm(at)
        sew.append(line((-half, at), (half, at)))
    fold = [_above(path, low) for path in tip.fold]
    y = (low + min(up_to, high)) / 2
    marks = (
        *(Mark(Drawn.SEW, path) for path in (*sew, *tip.sew)),
        *(Mark(Drawn.FOLD, path) for path in fold),
        *_notches_at(blade, y),
    )
    return Shape(band.name, Path(tuple(corners), closed=True), marks, symmetric=True)


def _above(path: Path, low: float) -> Path:
    """A straight line of the whole blade, only where the band is."""
    return Path(tuple(vertex._replace(y=max(vertex.y, low)) for vertex in path.vertices), closed=path.closed)


def side_seams(blade: Blade) -> tuple[Path, Path]:
    """Return the two radial sew lines, from the narrow end to the valley, where the seam starts or ends."""
    a, valley = blade.half_angle_rad, blade.valley_radius_mm
    top = (valley * math.sin(a), valley * math.cos(a))
    bottom = (blade.inner_radius_mm * math.tan(a), blade.inner_radius_mm)
    return (line((-bottom[0], bottom[1]), (-top[0], top[1])), line(bottom, top))


def _notches(blade: Blade) -> tuple[Mark, ...]:
    """One notch in each long edge, halfway along the seam: neighbours match there."""
    return _notches_at(blade, (blade.inner_radius_mm + blade.tip_base_mm) / 2)


def _notches_at(blade: Blade, y: float) -> tuple[Mark, ...]:
    a = blade.half_angle_rad
    x = blade.cut_half_width_mm(y)
    depth = NOTCH_OF_SEAM * blade.seam_mm
    inward = (-depth * math.cos(a), depth * math.sin(a))  # square to the right-hand cut edge
    return (
        Mark(Drawn.NOTCH, line((x, y), (x + inward[0], y + inward[1]))),
        Mark(Drawn.NOTCH, line((-x, y), (-x - inward[0], y + inward[1]))),
    )


def centre_shape_of(plate: Plate) -> Shape:
    """Return the centre as it is cut, with its lines; in a corner a quarter circle, on an edge a half."""
    if plate.centre is None:
        raise ValueError("the plate has no centre")
    return centre_shape(plate.centre) if not plate.is_in_seam else _part_of_centre(plate, plate.centre)


def _part_of_centre(plate: Plate, centre: Centre) -> Shape:
    """A seam more along its straight edges, which lie in the block's seams; the arc is turned under."""
    seam, radius = plate.blade.seam_mm, centre.cut_radius_mm
    foot = math.asin(seam / radius)  # how far past the axis the arc runs on into the seam
    is_corner = plate.setting is Setting.CORNER
    start, end = -foot, math.pi / 2 + foot if is_corner else math.pi + foot
    corner = (Vertex(-seam, -seam),) if is_corner else ()
    # In two, as some readers take the wrong part of a circle where there is more than a half of it.
    cut = Path((*corner, *_arc(radius, start, end)), closed=True)
    lines = [Mark(Drawn.SEW, line((-radius if not is_corner else -seam, 0.0), (radius, 0.0)))]
    if is_corner:
        lines.append(Mark(Drawn.SEW, line((0.0, -seam), (0.0, radius))))
    finished = centre.finished_radius_mm
    if radius > finished:
        foot = math.asin(min(1.0, seam / finished))
        end = math.pi / 2 + foot if is_corner else math.pi + foot
        lines.append(Mark(Drawn.FOLD, Path(_arc(finished, -foot, end), closed=False)))
    return Shape("centre", cut, tuple(lines), symmetric=not is_corner)


def _arc(radius: float, start: float, end: float) -> tuple[Vertex, ...]:
    """An arc about the plate centre between two angles in radians, as two of half of it."""
    bulge, middle = bulge_of((end - start) / 2), (start + end) / 2
    at = [(radius * math.cos(angle), radius * math.sin(angle)) for angle in (start, middle, end)]
    return (Vertex(*at[0], bulge), Vertex(*at[1], bulge), Vertex(*at[2]))


def centre_shape(centre: Centre) -> Shape:
    """Return the centre circle as it is cut, with the line where it is turned under."""
    marks: tuple[Mark, ...] = ()
    if centre.cut_radius_mm > centre.fold_radius_mm:
        marks = (Mark(Drawn.FOLD, Circle(0.0, 0.0, centre.fold_radius_mm)),)
    return Shape("centre", Circle(0.0, 0.0, centre.cut_radius_mm), marks, symmetric=True)


def background_shape(plate: Plate) -> Shape:
    """Return the background about the plate centre, with the guides to lay the plate by."""
    if plate.background is None:
        raise ValueError("the plate has no background")
    left, low, right, high = plate.background.cut
    cut = ring((left, low), (right, low), (right, high), (left, high))
    marks = tuple(Mark(Drawn.SEW, path) for path in guides(plate))
    return Shape("background", cut, marks, symmetric=plate.setting is not Setting.CORNER)


def guides(plate: Plate) -> tuple[Contour, ...]:
    """Return the lines on a background's right side by which a plate is laid, all hidden when it lies there.

    A circle HIDDEN_MM inside the lines from valley to valley; under the seams a ray
    each, from the opening to that circle; and where a centre covers it the opening with a cross in it. Of a
    fan, whose seams are centred about its middle, arcs of the circles, and no ray under its two raw edges.
    """
    blade = plate.shortest
    is_fan = plate.sewn < blade.blades
    opening, (inner, outer) = blade.opening_radius_mm, guide_radii_mm(plate)
    is_covered = plate.centre is not None or opening < SAME_POINT_MM
    lines: list[Contour] = []
    if is_covered and not is_fan:
        # The cross ends inside the opening's circle, so that the two don't run into each other.
        arm = min(CROSS_ARM_MM, (opening or blade.valley_radius_mm) / 2)
        lines += [line((-arm, 0.0), (arm, 0.0)), line((0.0, -arm), (0.0, arm))]
    if outer - inner < HIDDEN_MM:
        return tuple(lines)  # blades so short that nothing but the creases has room
    lines.append(_around(plate, outer))
    if is_covered and opening > SAME_POINT_MM:
        lines.append(_around(plate, opening))
    first = 90.0 + plate.middle_deg + plate.sweep_deg / 2
    for seam in range(1, plate.sewn) if is_fan else range(plate.sewn):
        angle = math.radians(first - seam * 2 * blade.half_angle_deg)
        cos, sin = math.cos(angle), math.sin(angle)
        lines.append(line((inner * cos, inner * sin), (outer * cos, outer * sin)))
    return tuple(lines)


def guide_radii_mm(plate: Plate) -> tuple[float, float]:
    """Return how far from the plate centre the guides on its background begin and end."""
    blade = plate.shortest
    opening = blade.opening_radius_mm
    is_open = plate.centre is None and opening > SAME_POINT_MM
    # The line from valley to valley lies within the plate whatever its tips, the circle within that line.
    outer = blade.valley_radius_mm * math.cos(blade.half_angle_rad) - HIDDEN_MM
    return opening + (HIDDEN_MM if is_open else 0.0), outer


def _around(plate: Plate, radius: float) -> Contour:
    """A circle about the plate centre; of a fan only what lies HIDDEN_MM within its two straight edges."""
    if plate.sewn == plate.blade.blades:
        return Circle(0.0, 0.0, radius)
    half = math.radians(plate.sweep_deg) / 2 - min(HIDDEN_MM / radius, math.radians(plate.sweep_deg) / 4)
    start = (radius * math.sin(half), radius * math.cos(half))
    # In two, as a fan may be nearly a whole circle.
    bulge = bulge_of(half)
    arc = Path((Vertex(*start, bulge), Vertex(0.0, radius, bulge), Vertex(-start[0], start[1])), closed=False)
    return placed(arc, Pose(turn_deg=plate.middle_deg))
