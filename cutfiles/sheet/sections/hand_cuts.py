"""Pieces that no machine cuts: cut and marked by hand, by the sizes given here."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import Unit, shown, sides_shown
from cutfiles.core.words import counted, listed
from cutfiles.formats.model.numbers import number
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, area, bounds
from cutfiles.job.model.blade_shapes import SECOND_BLADE
from cutfiles.job.model.job import Job, Setting
from cutfiles.job.model.needs import BACKGROUND
from cutfiles.nest.base.layout import HandCut, Layout
from cutfiles.pieces.plate_shapes import guide_radii_mm
from cutfiles.pieces.shape import Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Band, Plate
from cutfiles.plate.words import cut_size, part_of_centre
from cutfiles.sheet.markup.colours import FAINT, INK
from cutfiles.sheet.markup.drawing import Box, canvas, drawn
from cutfiles.sheet.markup.markup import Content, Element, bullets, html, paragraph, section, svg
from cutfiles.sheet.markup.words import degrees, of_shape

PICTURE_MM = 38.0  # of paper, the longer side
MOST_CORNERS = 24  # of a shape of the user's own that are worth listing


def hand_cuts_section(job: Job, plate: Plate, layout: Layout) -> Element | None:
    """Return what to cut by hand, shape by shape; nothing if the mat takes everything."""
    if not layout.hand_cuts:
        return None
    by_shape: dict[str, list[HandCut]] = {}
    for cut in layout.hand_cuts:
        by_shape.setdefault(cut.shape, []).append(cut)
    heading, why = "Cut by hand", "These are too big for the mat. Pictures are not to scale."
    if job.by_hand:
        heading, why = "The pieces one by one", "As they are cut and marked. Pictures are not to scale."
    parts: list[Content] = [paragraph(why)]
    parts += [_shape(job, plate, layout.shape(name).by_hand, cuts) for name, cuts in by_shape.items()]
    return section(heading, *parts)


def _shape(job: Job, plate: Plate, shape: Shape, cuts: list[HandCut]) -> Element:
    gives = listed([f"{cut.count} from {cut.fabric}" for cut in cuts])
    heading = f"{of_shape(sum(cut.count for cut in cuts), shape.name)}: {gives}"
    size, marks = _words(plate, shape, job.unit)
    if job.by_hand and any(spec.name == shape.name for spec in job.outlines) and not _is_rectangle(shape):
        size, marks = _by_template(shape, job.unit)
    words: list[Content] = [paragraph(size)]
    if marks:
        side = "right" if shape.name == BACKGROUND else "wrong"
        words += [paragraph(f"Mark on the {side} side of each, with a ruler and compass:"), bullets(marks)]
    if _is_rectangle(shape) and not shape.marks:  # nothing that a picture could show
        return html("div", html("h3", heading), *words, class_="keep")
    beside = html("div", html("figure", _picture(shape)), html("div", *words), class_="beside")
    return html("div", html("h3", heading), beside, class_="keep")


def _picture(shape: Shape) -> Element:
    left, low, right, high = bounds(shape.cut)
    scale = max(right - left, high - low) / PICTURE_MM
    edge = scale
    box = Box(left - edge, -high - edge, right + edge, -low + edge)
    line = {"stroke": INK, "stroke_width": number(0.4 * scale)}
    dash = f"{number(1.4 * scale)} {number(0.8 * scale)}"
    fine = {"stroke": FAINT, "stroke_width": number(0.25 * scale), "stroke_dasharray": dash}
    parts = [drawn(shape.cut, **line), *(drawn(mark.path, **fine) for mark in shape.marks)]
    size = {
        "width": f"{number((box.right - box.left) / scale)}mm",
        "height": f"{number((box.bottom - box.top) / scale)}mm",
    }
    group = svg("g", *parts, transform="scale(1 -1)", fill="none")
    return canvas(box, f"{shape.name}: cut line and marks", group, **size)


def _words(plate: Plate, shape: Shape, unit: Unit) -> tuple[str, list[Content]]:
    """The piece's size, and a line for each mark that is drawn on it."""
    mark_kinds = {mark.kind for mark in shape.marks}
    if shape.name == "background":
        return _background(plate, mark_kinds, unit)
    if shape.name == "centre":
        return _centre(plate, mark_kinds, unit)
    if shape.name == "blade":
        return _blade(plate.blade, mark_kinds, unit)
    if shape.name == SECOND_BLADE and plate.second:
        return _blade(plate.second, mark_kinds, unit)
    band = next((band for band in plate.bands if band.name == shape.name), None)
    if band is not None:
        return _band(plate, band, mark_kinds, unit)
    return _own(shape, unit)


def _background(plate: Plate, mark_kinds: set[Drawn], unit: Unit) -> tuple[str, list[Content]]:
    if plate.background is None:
        raise ValueError("the plate has no background")
    background = plate.background
    size = f"Square, {shown(background.cut_width_mm, unit)} each side."
    if not background.is_square:
        size = f"Rectangle, {cut_size(background, unit)}."
    if Drawn.SEW not in mark_kinds:
        return size, []
    blade, (inner, outer) = plate.blade, guide_radii_mm(plate)
    marks: list[Content] = ["Centre cross: fold the square twice and press, or join opposite corners."]
    if plate.is_in_seam:
        seam = shown(blade.seam_mm, unit)
        corner = f"{seam} from both edges of a corner"
        edge = f"in the middle of a long edge, {seam} inside it"
        marks = [f"Cross, where the circle's middle is: {corner if _is_corner(plate) else edge}."]
    opening = blade.opening_radius_mm
    where = "" if is_ring(plate) else ", only where the fan will lie"
    if opening > 0 and plate.centre:
        marks.append(
            f"Opening circle: {shown(2 * opening, unit)} across about the cross (compass at "
            f"{shown(opening, unit)}){where}."
        )
    marks.append(
        f"Guide circle: {shown(2 * outer, unit)} across about the cross (compass at {shown(outer, unit)})"
        f"{where}. The plate hides it."
    )
    angles = _ray_angles(plate)
    if angles:
        marks.append(
            f"{counted(len(angles), 'ray')}, one a seam, {degrees(2 * blade.half_angle_deg)} apart, from "
            f"{shown(inner, unit)} to {shown(outer, unit)} from the middle. Angles from the right, "
            f"counter-clockwise: {', '.join(degrees(angle) for angle in angles)}."
        )
    return size, marks


def _ray_angles(plate: Plate) -> list[float]:
    step = 2 * plate.blade.half_angle_deg
    first = 90.0 + plate.middle_deg - plate.sweep_deg / 2
    rays = range(plate.sewn) if is_ring(plate) else range(1, plate.sewn)
    return sorted(round((first + ray * step) % 360.0, 9) % 360.0 for ray in rays)


def _centre(plate: Plate, mark_kinds: set[Drawn], unit: Unit) -> tuple[str, list[Content]]:
    if plate.centre is None:
        raise ValueError("the plate has no centre")
    cut, fold = plate.centre.cut_radius_mm, plate.centre.fold_radius_mm
    if plate.is_in_seam:
        return _part_of_centre(plate, mark_kinds, unit)
    size = f"Circle, {shown(2 * cut, unit)} across (compass at {shown(cut, unit)})."
    if Drawn.FOLD not in mark_kinds:
        return size, []
    return size, [f"Turning line: a circle {shown(2 * fold, unit)} across about the same middle."]


def _is_corner(plate: Plate) -> bool:
    return plate.setting is Setting.CORNER


def _part_of_centre(plate: Plate, mark_kinds: set[Drawn], unit: Unit) -> tuple[str, list[Content]]:
    assert plate.centre is not None
    cut, finished = shown(plate.centre.cut_radius_mm, unit), shown(plate.centre.finished_radius_mm, unit)
    seam = shown(plate.blade.seam_mm, unit)
    middle = f"{seam} from both edges of a corner" if _is_corner(plate) else f"{seam} inside a long edge"
    size = f"From {part_of_centre(plate, unit)}: an arc, compass at {cut}, about a point {middle}."
    marks: list[Content] = []
    if Drawn.SEW in mark_kinds:
        marks.append(
            f"Sew line: {seam} inside {'each straight edge' if _is_corner(plate) else 'the straight edge'}."
        )
    if Drawn.FOLD in mark_kinds:
        marks.append(f"Turning line: an arc, compass at {finished}, about the same point.")
    return size, marks


def _blade(blade: Blade, mark_kinds: set[Drawn], unit: Unit) -> tuple[str, list[Content]]:
    finish = blade.tip.finish

    def said(mm: float) -> str:
        return shown(mm, unit)

    seam, narrow = shown(blade.seam_mm, unit), shown(blade.narrow_width_mm, unit)
    size = (
        f"Wedge, {shown(blade.length_mm, unit)} long on its centre line, {narrow} wide at the narrow end"
        f"{finish.cut_by_hand(blade, shown=said)}"
    )
    marks: list[Content] = []
    if Drawn.SEW in mark_kinds:
        up_to = shown(blade.valley_radius_mm * math.cos(blade.half_angle_rad) - blade.inner_radius_mm, unit)
        marks.append(f"Sew lines: {seam} inside each long edge, up to {up_to} above the narrow end.")
        marks += finish.sew_marks_by_hand(blade, shown=said)
    if Drawn.FOLD in mark_kinds:
        marks += finish.fold_marks_by_hand(blade, shown=said)
    if Drawn.NOTCH in mark_kinds:
        middle = (blade.tip_base_mm - blade.inner_radius_mm) / 2
        marks.append(f"A notch in each long edge, {shown(middle, unit)} above the narrow end.")
    return size, marks


def _band(plate: Plate, band: Band, mark_kinds: set[Drawn], unit: Unit) -> tuple[str, list[Content]]:
    """A part of a blade, measured from its own lower edge."""
    blade, seam = plate.blade, shown(plate.blade.seam_mm, unit)
    narrow, wide = (
        shown(2 * blade.cut_half_width_mm(at), unit) for at in (band.cut_low_mm, band.cut_high_mm)
    )
    size = f"Wedge, {shown(band.strip_mm, unit)} high on its centre line, {narrow} wide at its narrow end"
    marks: list[Content] = []
    if band.name == plate.shapes[-1].name:
        size += blade.tip.finish.cut_by_hand(blade, shown=lambda mm: shown(mm, unit))
    else:
        size += f" and {wide} at its wide end."
    if Drawn.SEW in mark_kinds:
        marks.append(f"Sew lines: {seam} inside each edge, but for the ends of the whole blade.")
    return size, marks


def _own(shape: Shape, unit: Unit) -> tuple[str, list[Content]]:
    left, low, right, high = bounds(shape.cut)
    if _is_rectangle(shape) and not shape.marks:
        return f"Rectangle, {sides_shown(right - left, high - low, unit)}.", []
    size = f"{shown(right - left, unit)} × {shown(high - low, unit)} in all. "
    marks: list[Content] = [_corners("Sew line", mark.path, (left, low), unit) for mark in shape.marks]
    return size + _corners("Cut line", shape.cut, (left, low), unit), marks


def _by_template(shape: Shape, unit: Unit) -> tuple[str, list[Content]]:
    """A shape of the user's own where there is a template of it: nobody measures its corners."""
    left, low, right, high = bounds(shape.cut)
    size = f"{sides_shown(right - left, high - low, unit)} in all. Cut it along its template."
    return size, ["Sew line: as on the template."] if shape.marks else []


def _is_rectangle(shape: Shape) -> bool:
    left, low, right, high = bounds(shape.cut)
    return (right - left) * (high - low) - area(shape.cut) < RULE_MM


def _corners(name: str, path: Path | Circle, origin: tuple[float, float], unit: Unit) -> str:
    """The corners of a straight-edged outline, counted from the lower left of the piece."""
    if isinstance(path, Circle):
        return f"{name}: a circle {shown(2 * path.radius, unit)} across."
    if len(path.vertices) > MOST_CORNERS:
        return f"{name}: {len(path.vertices)} corners, as in your own drawing."
    corners = (
        f"{shown(vertex.x - origin[0], unit)} → {shown(vertex.y - origin[1], unit)} ↑"
        for vertex in path.vertices
    )
    return f"{name}, corners from the lower left: {'; '.join(corners)}."
