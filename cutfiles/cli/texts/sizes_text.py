"""The measurements of a plate as lines to read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutfiles.core.units import MM_PER_INCH, Unit, rounded_up_mm, shown, sold
from cutfiles.core.words import counted
from cutfiles.job.model.job import CentreKind, Setting
from cutfiles.pipeline import Sized
from cutfiles.plate.doubts import blade_is_too_long
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Plate
from cutfiles.plate.seam_tolerance import centre_tolerance_mm, cover_for_mm, for_a_sewer
from cutfiles.plate.words import cut_size, part_of_centre, quilt_lines, trimmed_size

if TYPE_CHECKING:
    from cutfiles.nest.repeat.needs import Amount, RepeatNeed


def sizes_text(sized: Sized) -> str:
    """Return the measurements in the job's unit, one a line."""
    plate, unit = sized.plate, sized.job.unit
    blade = plate.blade
    where = {Setting.CENTRE: "", Setting.CORNER: " in a corner", Setting.EDGE: " on an edge"}[plate.setting]
    fan = f"fan of {plate.sewn}{where}, {plate.sweep_deg:.4g}°"
    ring = "full circle" if plate.sewn == blade.blades else fan
    second = []
    if plate.second:
        wide, step = shown(plate.second.wide_width_mm, unit), shown(plate.step_mm, unit)
        second = [
            ("every other blade", f"{shown(plate.second.length_mm, unit)} long, its wide end {wide}"),
            ("", f"beside it {step} of a longer blade's side shows: turn it under"),
        ]
    second += [(band.name, f"cut {shown(band.strip_mm, unit)} high, seams included") for band in plate.bands]
    rows = [
        ("plates", f"{_plates(sized)}, {blade.blades} blades in the circle ({ring}), {blade.tip.value} tips"),
        ("blade", f"{shown(blade.length_mm, unit)} long, {2 * blade.half_angle_deg:.5g}° wide"),
        *second,
        ("narrow end", shown(blade.narrow_width_mm, unit)),
        ("wide end", shown(blade.wide_width_mm, unit)),
        ("inner radius", shown(blade.inner_radius_mm, unit)),
        ("seam", shown(blade.seam_mm, unit)),
        ("finished diameter", f"{shown(blade.finished_diameter_mm, unit)} {_across(plate)}"),
        (f"{blade.tip.finish.words.between_one} diameter", shown(plate.shortest.valley_diameter_mm, unit)),
        ("opening", f"{shown(2 * blade.opening_radius_mm, unit)} across at its widest"),
    ]
    if plate.sewn < blade.blades and plate.sewn > 1:
        rows.append(("tip to tip", f"{shown(plate.extent_mm, unit)}, of the two that are furthest apart"))
    if blade.facing_out_mm:
        out = shown(blade.facing_out_mm, unit)
        rows.append(("trim the facing", f"turned, it reaches {out} below the narrow end; cut that off"))
    if plate.centre:
        finished, cut = 2 * plate.centre.finished_radius_mm, 2 * plate.centre.cut_radius_mm
        if plate.is_in_seam:
            part = "a quarter" if plate.setting is Setting.CORNER else "half"
            cloth = part_of_centre(plate, unit)
            rows.append(
                ("centre", f"{part} of a circle of {shown(finished, unit)}, finished; cut from {cloth}")
            )
        else:
            what = " (a yo-yo)" if plate.centre.kind is CentreKind.YO_YO else ""
            rows.append(("centre", f"{shown(finished, unit)} finished{what}, cut {shown(cut, unit)} across"))
        spare = for_a_sewer(centre_tolerance_mm(blade, plate.centre), unit)
        far = f"up to {spare} too narrow" if spare else "exact; the smallest error shows"
        rows.append(("side seams may be", f"{far}, every one, and the centre still covers the opening"))
        off_mm, off = (MM_PER_INCH / 16, "1/16 in") if unit is Unit.IN else (1.5, "1.5 mm")
        cover = shown(cover_for_mm(blade, narrow_by_mm=off_mm), unit)
        rows.append(("", f"for {off} too narrow the cover must be {cover}"))
    if plate.background:
        rows.append(("background", f"cut {cut_size(plate.background, unit)}"))
        if plate.background.trim_mm:
            size = trimmed_size(plate.background, unit)
            rows.append(("", f"trim it to {size} when all is sewn on"))
    if sized.quilt:
        rows += [
            ("" if number else "quilt", line) for number, line in enumerate(quilt_lines(sized.quilt, unit))
        ]
    rows.append(("needs", ", ".join(f"{count} × {shape}" for shape, count in sized.needs)))
    room = blade_is_too_long(sized.job, blade)
    if room is not None:
        much = f"the longest piece has {shown(room, unit)} along it"
        if any(not fabric.purchase.is_lossless for fabric in sized.job.fabrics):
            much += " to cut from, as washing and ends take some"
        rows.append(("cloth", f"too short for a blade of {shown(blade.length_mm, unit)}: {much}"))
    for need in sized.repeats:
        rows += _repeat_rows(need, sized)
    width = max(len(name) for name, _ in rows)
    return "\n".join(f"{name:<{width}}  {text}" for name, text in rows)


def _plates(sized: Sized) -> str:
    count, kits = sized.plate.count, sized.job.kits
    return f"{count}" if kits == 1 else f"{count} ({kits} kits of {count // kits})"


def _across(plate: Plate) -> str:
    """What the finished diameter is measured across."""
    if not is_ring(plate):
        return "of the circle that its tips lie on"
    even = plate.blade.blades % 2 == 0
    return "tip to tip" if even else "twice the centre to a tip (no two tips are opposite)"


def _repeat_rows(need: RepeatNeed, sized: Sized) -> list[tuple[str, str]]:
    """A print's repeat, how neighbours lie on it, and the cloth that a plate and the whole job need."""
    unit, block = sized.job.unit, need.block
    each = (
        f"a {need.shape} takes" if block.pieces == 1 else f"{block.pieces} {need.shape}s, end for end, take"
    )
    size = f"{shown(need.repeat.width_mm, unit)} × {shown(need.repeat.length_mm, unit)}"
    rows = [(need.fabric, f"repeats every {size}; {each} {_repeats(block.across, block.along)}")]
    if need.plate is None:
        fabric = next(spec for spec in sized.job.fabrics if spec.name == need.fabric)
        across = f"its width of {shown(fabric.width_mm, unit)}"
        why = (
            f"no {need.shape} fits {across} with its motif"
            if fabric.is_rectangle
            else "make tells what it gives"
        )
        return [*rows, ("", why)]
    rows.append(("", _amount("a plate's", need.plate, need, sized)))
    if need.job and need.job.pieces != need.plate.pieces:
        rows.append(("", _amount("its", need.job, need, sized)))
    return rows


def _amount(whose: str, amount: Amount, need: RepeatNeed, sized: Sized) -> str:
    pieces = counted(amount.pieces, need.shape)
    unit = sized.job.unit
    long = shown(rounded_up_mm(amount.length_mm, unit.rough_mark_mm), unit)
    repeats = _repeats(amount.across, amount.along)
    return f"{whose} {pieces}: {repeats}, {long} long; buy {sold(amount.buy_mm, unit)}"


def _repeats(across: int, along: int) -> str:
    """A block of repeats.

    >>> _repeats(1, 1), _repeats(10, 2)
    ('1 repeat', '20 repeats (10 across × 2 along)')
    """
    if across == along == 1:
        return "1 repeat"
    return f"{across * along} repeats ({across} across × {along} along)"
