"""The plate in numbers, and how exactly its seams must be sewn."""

from __future__ import annotations

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, shown, sides_shown
from cutfiles.core.words import counted
from cutfiles.job.model.job import CentreKind, Setting
from cutfiles.plate.finished import is_ring
from cutfiles.plate.joining import joining
from cutfiles.plate.plate import Background, Band, Centre, Plate
from cutfiles.plate.seam_tolerance import (
    background_tolerance_mm,
    centre_tolerance_mm,
    closing_error_deg,
    for_a_sewer,
    opening_mm,
    taper_mm,
)
from cutfiles.plate.words import part_of_centre
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, section, table
from cutfiles.sheet.markup.words import degrees, measured_degrees, ruled

# Seams too narrow by these are reckoned through: what a careful and a hasty sewer may be off by.
_OFF_MM = {
    Unit.IN: ((MM_PER_INCH / 64, "1/64 in"), (MM_PER_INCH / 32, "1/32 in"), (MM_PER_INCH / 16, "1/16 in")),
    Unit.CM: ((0.5, "0.5 mm"), (1.0, "1 mm"), (1.5, "1.5 mm")),
    Unit.MM: ((0.5, "0.5 mm"), (1.0, "1 mm"), (1.5, "1.5 mm")),
}


# Where a part that is laid down is measured, and what it may miss by there.
_AT_MM = {
    Unit.IN: tuple((inches * MM_PER_INCH, f"{inches} in") for inches in range(1, 25)),
    Unit.CM: tuple((mm, f"{mm / 10:g} cm") for mm in range(20, 620, 20)),
    Unit.MM: tuple((mm, f"{mm} mm") for mm in range(20, 620, 20)),
}
_MISS_MM = {Unit.IN: (MM_PER_INCH / 4, "1/4 in"), Unit.CM: (5.0, "5 mm"), Unit.MM: (5.0, "5 mm")}


def sizes_section(plate: Plate, unit: Unit) -> Element:
    """Return the table of what everything measures, cut and finished."""
    blade, ring = plate.blade, is_ring(plate)
    odd = blade.blades % 2 == 1 and ring
    across = "twice the tip radius: no two tips are opposite" if odd else "tip to tip through the middle"
    tips = "on a circle of" if not ring else across
    rows: list[list[Content]] = [
        ["Blade, cut", "length on its centre line", shown(blade.length_mm, unit)],
        ["", "narrow end", shown(blade.narrow_width_mm, unit)],
        ["", blade.tip.finish.words.wide_end, shown(blade.wide_width_mm, unit)],
        ["", "angle between the long edges", degrees(2 * blade.half_angle_deg)],
        ["", "seam", shown(blade.seam_mm, unit)],
    ]
    rows += [["", what, shown(mm, unit)] for what, mm in blade.tip.finish.sizes_mm(blade)]
    if plate.second:
        wide = plate.second.tip.finish.words.wide_end
        rows += [
            ["Every other blade", "length on its centre line", shown(plate.second.length_mm, unit)],
            ["", wide, shown(plate.second.wide_width_mm, unit)],
        ]
    rows += [row for band in plate.bands for row in _band(plate, band, unit)]
    finished: list[list[Content]] = [
        ["Plate, finished" if ring else "Fan, finished", tips, ruled(blade.finished_diameter_mm, unit)],
    ]
    if plate.sewn > 1:
        between = blade.tip.finish.words.between
        finished.append(["", f"{between}, on a circle of", ruled(plate.shortest.valley_diameter_mm, unit)])
    if plate.second:
        tips_at = ruled(plate.second.finished_diameter_mm, unit)
        finished.append(["", "tips of the shorter blades, on a circle of", tips_at])
        finished.append(["", "raw side of a longer blade beside a shorter one", shown(plate.step_mm, unit)])
    if blade.opening_radius_mm > 0:
        finished.append(["", "opening, at its widest", ruled(2 * blade.opening_radius_mm, unit)])
    if not ring:
        if plate.sewn > 1:
            finished.append(["", "from tip to tip, the furthest", ruled(plate.extent_mm, unit)])
        finished.append(["", "sweep", degrees(plate.sweep_deg)])
    cut, done = [rows], [finished]
    if plate.centre:
        cut_centre: list[Content] = [
            _centre_name(plate.centre),
            "cut, across",
            shown(2 * plate.centre.cut_radius_mm, unit),
        ]
        if plate.is_in_seam:
            cut_centre = [_part(plate), "cut from", part_of_centre(plate, unit)]
        finished_centre: list[Content] = [
            "",
            "finished, across",
            shown(2 * plate.centre.finished_radius_mm, unit),
        ]
        if plate.is_in_seam:
            # Of a part nobody can measure across the whole.
            finished_centre = [
                "",
                "finished, its arc from its middle",
                shown(plate.centre.finished_radius_mm, unit),
            ]
        done.append([cut_centre, finished_centre])
    if plate.background:
        done.append(_background(plate.background, unit))
    headings = ("What", "Where", "Size")
    return section("Sizes", html("div", table(headings, cut), table(headings, done), class_="two"))


def _centre_name(centre: Centre) -> str:
    return "Centre, a yo-yo" if centre.kind is CentreKind.YO_YO else "Centre"


def _band(plate: Plate, band: Band, unit: Unit) -> list[list[Content]]:
    narrow, wide = (
        shown(2 * plate.blade.cut_half_width_mm(at), unit) for at in (band.cut_low_mm, band.cut_high_mm)
    )
    rows: list[list[Content]] = [
        [f"{band.name}, cut", "height, seams included", shown(band.strip_mm, unit)],
        ["", "narrow end", narrow],
        ["", "wide end", wide],
    ]
    if band is not plate.bands[-1] and band.name != plate.shapes[-1].name:
        at_seam = shown(2 * plate.blade.cut_half_width_mm(band.high_mm), unit)
        rows.append(["", f"at the seam, {shown(band.high_mm, unit)} from the middle", at_seam])
    return rows


def _part(plate: Plate) -> str:
    return "Quarter centre" if plate.setting is Setting.CORNER else "Half centre"


def _background(background: Background, unit: Unit) -> list[list[Content]]:
    def sides(width_mm: float, height_mm: float) -> str:
        return shown(width_mm, unit) if background.is_square else sides_shown(width_mm, height_mm, unit)

    each = ", each side" if background.is_square else ""
    rows: list[list[Content]] = [
        ["Background", f"cut{each}", sides(background.cut_width_mm, background.cut_height_mm)],
        ["", "between its seams", sides(background.finished_width_mm, background.finished_height_mm)],
    ]
    if background.trim_mm:
        rows.insert(1, ["", f"trimmed at the end{each}", sides(*background.trimmed_mm)])
    return rows


def seam_section(plate: Plate, unit: Unit) -> Element | None:
    """Return how exact the seams must be; nothing where no seam joins two blades."""
    if plate.sewn < 2:
        return None
    blade, whole = plate.blade, is_ring(plate)
    seams = plate.sewn if whole else plate.sewn - 1
    what = "plate" if whole else "fan"
    intro = paragraph(
        f"A small error comes back {counted(seams, 'time')}. With every side seam too narrow the blades "
        f"move outwards: opening and {what} grow. Too wide, or with cloth bent round the seam, both "
        f"shrink: sew a thread's width less than the seam. A pair is too wide by twice as much as its "
        f"seam is too narrow."
    )
    flat: list[Content] = [
        html("h3", f"If the {'ring' if whole else 'fan'} doesn't lie flat"),
        *(paragraph(text) for text in _taper(plate, unit)),
    ]
    limits = [paragraph(text) for text in _limits(plate, unit)]
    headings = ["Seams too narrow by", "Tips move out"]
    if blade.inner_radius_mm > 0 or plate.centre:
        headings.append("Opening then reaches" if plate.is_in_seam else "Opening becomes")
    if plate.centre:
        headings.append("Centre covers it")
    rows: list[list[Content]] = []
    for off_mm, off in _OFF_MM[unit]:
        opening = opening_mm(blade, narrow_by_mm=off_mm)
        row: list[Content] = [
            off,
            ruled(blade.apex_shift_mm(off_mm), unit),
            ruled(opening / 2 if plate.is_in_seam else opening, unit),
        ]
        if plate.centre:
            enough = off_mm <= centre_tolerance_mm(blade, plate.centre) + RULE_MM
            size = opening + 2 * (plate.centre.finished_radius_mm - blade.opening_radius_mm)
            larger = (
                f"with an arc {ruled(size / 2, unit)} from its middle"
                if plate.is_in_seam
                else ruled(size, unit)
            )
            row.append("yes" if enough else f"no; make one {'' if plate.is_in_seam else 'of '}{larger}")
        rows.append(row[: len(headings)])
    parts: list[Content] = [html("h3", f"If the {what} came out too large or too small"), *limits]
    if plate.centre:
        parts.append(paragraph(f"Before you make the centre, {_measured(plate, plate.centre, unit)}"))
    parts.append(table(headings, ([row] for row in rows)))
    columns = html("div", html("div", *flat), html("div", *parts), class_="two even")
    return section("How exact the seams must be", intro, columns, class_="keep")


def _taper(plate: Plate, unit: Unit) -> list[str]:
    """Seams wider at one end, the larger risk: what they do to this plate, how to see it and mend it."""
    blade = plate.blade
    seams = plate.sewn if is_ring(plate) else plate.sewn - 1
    off_mm, off = _OFF_MM[unit][0]
    turned = degrees(round(closing_error_deg(blade, seams=seams, taper_mm=off_mm), 1))
    each = f"{counted(seams, 'seam')}, each {off}" if seams > 1 else f"a seam {off}"
    what = "ring" if is_ring(plate) else "fan"
    sentences = [
        f"Watch the ends more than the width: {each} wider at one end than at the other, "
        f"{'change' if seams > 1 else 'changes'} the angle of the {what} by {turned}. Wider at the wide end, "
        f"the {what} cups or comes short; wider at the narrow end, it ripples or is too much. Seams too "
        f"narrow or too wide all along never do that."
    ]
    size = joining(plate).parts[0].blades
    if size > 2:
        at = max(mark for mark in _AT_MM[unit] if mark[0] <= max(blade.valley_radius_mm, _AT_MM[unit][0][0]))
        miss_mm, miss = _MISS_MM[unit]
        taper = taper_mm(blade, sewn=size, miss_mm=miss_mm, at_mm=at[0])
        angle = 2 * size * blade.half_angle_deg
        line = "a straight line" if abs(angle - 180.0) < 1e-9 else f"an angle of {measured_degrees(angle)}"
        sentences.append(
            f"To see it, lay {size} joined blades down: their outer edges must make {line}. If they miss it "
            f"by {miss} at {at[1]} from the middle, each of the {size - 1} seams is {_fine(taper, unit)} "
            f"wider at one end. To mend it, sew some of them again, a little wider at the other end."
        )
    return sentences


def _fine(mm: float, unit: Unit) -> str:
    return f"{mm / MM_PER_INCH:.3f} in" if unit is Unit.IN else f"{mm:.2f} mm"


def _limits(plate: Plate, unit: Unit) -> list[str]:
    sentences = []
    if plate.centre:
        limit = for_a_sewer(centre_tolerance_mm(plate.blade, plate.centre), unit)
        radius = plate.centre.finished_radius_mm
        centre = f"The centre of {shown(2 * radius, unit)}"
        if plate.is_in_seam:
            centre = f"The centre, its arc {shown(radius, unit)} from its middle,"
        if limit:
            sentences.append(
                f"{centre} covers the opening as long as no side seam is more than {limit} "
                f"too narrow. Beyond that a gap shows: take the seams in, or cut a larger centre."
            )
        else:
            sentences.append(
                f"{centre} leaves no room for error: side seams too narrow by less than a rule "
                f"shows already open a gap beside it. Give it more cover, or cut a larger centre."
            )
    if plate.background and is_ring(plate):
        limit = for_a_sewer(background_tolerance_mm(plate.blade, plate.background), unit)
        if limit:
            sentences.append(
                f"The plate stays clear of the background's seam as long as no seam, the tips' own "
                f"included, is more than {limit} too narrow."
            )
    return sentences


def _measured(plate: Plate, centre: Centre, unit: Unit) -> str:
    """How to measure the opening that came out, and the centre that covers it."""
    cover = centre.finished_radius_mm - plate.blade.opening_radius_mm
    if plate.is_in_seam:
        middle = (
            "the corner that the block's seam lines make"
            if plate.setting is Setting.CORNER
            else "the middle, on the block's seam line,"
        )
        return (
            f"measure from {middle} to the furthest corner of the opening that came out. An arc "
            f"{shown(cover, unit)} further from there, finished, covers it."
        )
    if 2 * plate.sewn < plate.blade.blades:
        return (
            f"measure from where the fan's two outer edges would meet to the furthest corner of the opening "
            f"that came out. A centre of twice that and {shown(2 * cover, unit)} more across, finished, "
            "covers it."
        )
    return (
        f"measure the opening that came out, at its widest. A centre {shown(2 * cover, unit)} larger across, "
        "finished, covers it."
    )
