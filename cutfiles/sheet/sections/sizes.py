"""The plate in numbers, and how exactly its seams must be sewn."""

from __future__ import annotations

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, shown
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Plate
from cutfiles.plate.seam_tolerance import (
    background_tolerance_mm,
    centre_tolerance_mm,
    for_a_sewer,
    opening_mm,
    pair_width_mm,
)
from cutfiles.sheet.markup.markup import Content, Element, paragraph, section, table
from cutfiles.sheet.markup.words import counted, degrees

# Seams too narrow by these are reckoned through: what a careful and a hasty sewer may be off by.
_OFF_MM = {
    Unit.IN: ((MM_PER_INCH / 64, "1/64 in"), (MM_PER_INCH / 32, "1/32 in"), (MM_PER_INCH / 16, "1/16 in")),
    Unit.CM: ((0.5, "0.5 mm"), (1.0, "1 mm"), (1.5, "1.5 mm")),
    Unit.MM: ((0.5, "0.5 mm"), (1.0, "1 mm"), (1.5, "1.5 mm")),
}


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
    finished: list[list[Content]] = [
        ["Plate, finished" if ring else "Fan, finished", tips, shown(blade.finished_diameter_mm, unit)],
    ]
    if plate.sewn > 1:
        between = blade.tip.finish.words.between
        finished.append(["", f"{between}, on a circle of", shown(blade.valley_diameter_mm, unit)])
    if blade.opening_radius_mm > 0:
        finished.append(["", "opening, at its widest", shown(2 * blade.opening_radius_mm, unit)])
    if not ring:
        finished.append(["", "sweep", degrees(plate.sweep_deg)])
    groups = [rows, finished]
    if plate.centre:
        groups.append(
            [
                ["Centre", "cut, across", shown(2 * plate.centre.cut_radius_mm, unit)],
                ["", "finished, across", shown(2 * plate.centre.finished_radius_mm, unit)],
            ]
        )
    if plate.background:
        groups.append(
            [
                ["Background", "cut, each side", shown(plate.background.cut_side_mm, unit)],
                ["", "between its seams", shown(plate.background.finished_side_mm, unit)],
            ]
        )
    return section("Sizes", table(("What", "Where", "Size"), groups))


def seam_section(plate: Plate, unit: Unit) -> Element | None:
    """Return how exact the seams must be; nothing where no seam joins two blades."""
    if plate.sewn < 2:
        return None
    blade, whole = plate.blade, is_ring(plate)
    seams = plate.sewn if whole else plate.sewn - 1
    what = "plate" if whole else "fan"
    parts: list[Content] = [
        paragraph(
            f"A small error comes back {counted(seams, 'time')}. If every seam is too narrow, the blades "
            f"move away from the middle of the {what}: the opening and the {what} grow. If every seam is too "
            f"wide, both shrink."
        )
    ]
    parts += [paragraph(text) for text in _limits(plate, unit)]
    headings = ["Every seam too narrow by", "Tips move out by"]
    if blade.inner_radius_mm > 0 or plate.centre:
        headings.append("Opening becomes")
    if plate.centre:
        headings.append("Centre covers it")
    rows: list[list[Content]] = []
    for off_mm, off in _OFF_MM[unit]:
        opening = opening_mm(blade, narrow_by_mm=off_mm)
        row: list[Content] = [off, shown(blade.apex_shift_mm(off_mm), unit), shown(opening, unit)]
        if plate.centre:
            row.append("yes" if off_mm <= centre_tolerance_mm(blade, plate.centre) + RULE_MM else "no")
        rows.append(row[: len(headings)])
    parts.append(table(headings, ([row] for row in rows)))
    parts.append(
        paragraph(
            f"Try a pair first: sewn exactly and pressed, two blades measure "
            f"{shown(pair_width_mm(blade), unit)} across the narrow end, from outer corner to outer corner. "
            f"A pair is too wide by twice as much as its seam is too narrow."
        )
    )
    return section("How exact the seams must be", *parts)


def _limits(plate: Plate, unit: Unit) -> list[str]:
    found = []
    if plate.centre:
        limit = for_a_sewer(centre_tolerance_mm(plate.blade, plate.centre), unit)
        size = shown(2 * plate.centre.finished_radius_mm, unit)
        if limit:
            found.append(
                f"The centre of {size} covers the opening as long as no seam is more than {limit} too "
                f"narrow. Beyond that a gap shows: take the seams in, or cut a larger centre."
            )
        else:
            found.append(
                f"The centre of {size} leaves no room for error: seams too narrow by less than a rule shows "
                f"already open a gap beside it. Give it more cover, or cut a larger centre."
            )
    if plate.background and is_ring(plate):
        limit = for_a_sewer(background_tolerance_mm(plate.blade, plate.background), unit)
        if limit:
            found.append(
                f"The plate stays clear of the background's seam as long as no seam is more than {limit} "
                f"too narrow."
            )
    return found
