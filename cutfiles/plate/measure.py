"""From the job's numbers to a plate: the third size from the other two, the centre, the background."""

from __future__ import annotations

from dataclasses import replace

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_CM, MM_PER_INCH, SizeError, Unit, rounded_up_mm, shown
from cutfiles.job.model.job import BackgroundSpec, CentreKind, CentreSpec, Job, PlateSpec, Setting
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.plate.seam_tolerance import default_cover_mm


def plate_of(job: Job) -> Plate:
    """Return the plate that a job describes.

    Raises:
        JobError: the sizes can't be sewn; `where` is the table to change.
    """
    try:
        blade = _blade(job.plate, job.unit)
    except SizeError as error:
        raise JobError("plate", error.said(job.unit)) from None
    except GeometryError as error:
        raise JobError("plate", str(error)) from None
    setting = job.plate.setting
    second = _second(job.plate, blade, job.unit)
    centre = _centre(job.centre, second or blade, job.unit) if job.centre else None
    if centre and setting is not Setting.CENTRE and centre.kind is CentreKind.YO_YO:
        raise JobError(
            "centre.kind",
            "a yo-yo is whole, and a fan in a corner or on an edge shows only a part of a circle; take "
            '"gathered", or leave [centre] out and sew the yo-yo on when the blocks are joined',
        )
    if centre and setting is not Setting.CENTRE and centre.cut_radius_mm < blade.seam_mm + RULE_MM:
        raise JobError(
            "centre",
            f"a part of a circle, cut at {shown(centre.cut_radius_mm, job.unit)} from its middle, is lost in "
            f"its seams of {shown(blade.seam_mm, job.unit)}; raise cover",
        )
    background = _background(job.background, blade, job.unit, setting) if job.background else None
    return Plate(
        job.plate.count,
        blade,
        job.plate.sewn,
        centre,
        background,
        setting,
        second,
        _bands(job.plate, blade, job.unit),
    )


def _bands(spec: PlateSpec, blade: Blade, unit: Unit) -> tuple[float, ...]:
    """Seams across, each a seam at least from the next, the narrow end and where the tip begins."""
    seam, low, high = blade.seam_mm, blade.inner_radius_mm, blade.tip_base_mm
    before = low
    for number, at in enumerate(spec.bands_mm, start=1):
        if at - before < seam - RULE_MM or high - at < seam - RULE_MM:
            room = f"{shown(low + seam, unit)} to {shown(high - seam, unit)} from the plate's centre"
            raise JobError(
                f"plate.bands.{number}",
                f"{shown(at, unit)} leaves less than a seam beside it; {room} there is room, and a seam's "
                f"width between two",
            )
        before = at
    return spec.bands_mm


def _second(spec: PlateSpec, first: Blade, unit: Unit) -> Blade | None:
    """Every other blade: from the same inner radius, shorter, so that it is known which ones step back."""
    length = spec.second_length_mm
    if length is None:
        return None
    if length > first.length_mm - RULE_MM:
        raise JobError(
            "plate.second_length",
            f"{shown(length, unit)} is no shorter than the other blades, {shown(first.length_mm, unit)}; "
            f"make it shorter, or leave it out for blades all alike",
        )
    try:
        return replace(first, length_mm=length)
    except SizeError as error:
        raise JobError("plate.second_length", error.said(unit)) from None


def _blade(spec: PlateSpec, unit: Unit) -> Blade:
    inner, length, diameter = spec.inner_radius_mm, spec.blade_length_mm, spec.finished_diameter_mm
    # finished_diameter = 2·(inner_radius + blade_length − the tip's allowance)
    allowance = spec.tip.finish.allowance_mm(spec.seam_mm)
    if inner is None and length is not None and diameter is not None:
        inner = diameter / 2 + allowance - length
        if -RULE_MM < inner < 0:
            inner = 0.0
        if inner < 0:
            raise GeometryError(
                f"a blade of {shown(length, unit)} is too long for a plate of {shown(diameter, unit)}: its "
                f"narrow end would pass the plate centre by {shown(-inner, unit)}; shorten the blade "
                f"or make the plate larger"
            )
    if length is None and inner is not None and diameter is not None:
        length = diameter / 2 + allowance - inner
        if length <= RULE_MM:
            raise GeometryError(
                f"an inner radius of {shown(inner, unit)} leaves no blade in a plate of "
                f"{shown(diameter, unit)}; lower inner_radius or raise finished_diameter"
            )
    if inner is None or length is None:
        raise GeometryError("needs two of blade_length, inner_radius and finished_diameter")
    return Blade(spec.blades, inner, length, spec.seam_mm, spec.tip)


def _centre(spec: CentreSpec, blade: Blade, unit: Unit) -> Centre:
    opening = blade.opening_radius_mm
    if spec.diameter_mm is not None:
        radius = spec.diameter_mm / 2
        if radius < opening + RULE_MM:
            raise JobError(
                "centre.diameter",
                f"{shown(spec.diameter_mm, unit)} doesn't cover the opening, which is "
                f"{shown(2 * opening, unit)} across; make it larger",
            )
    else:
        cover = default_cover_mm(blade) if spec.cover_mm is None else spec.cover_mm
        radius = opening + cover
    if radius > blade.tip_radius_mm:
        raise JobError(
            "centre",
            f"a centre of {shown(2 * radius, unit)} would hide the whole plate of "
            f"{shown(blade.finished_diameter_mm, unit)}; make it smaller",
        )
    if radius > blade.valley_radius_mm + RULE_MM:
        raise JobError(
            "centre",
            f"a centre of {shown(2 * radius, unit)} reaches past the {blade.tip.finish.words.between}, which "
            f"lie on a circle of {shown(blade.valley_diameter_mm, unit)}; make it smaller or blades longer",
        )
    if not radius > 0:
        raise JobError("centre", "the centre has no size: the opening and the cover are both 0; raise cover")
    # A yo-yo is drawn up on itself until it is half as wide.
    wide = 2 * radius if spec.kind is CentreKind.YO_YO else radius
    return Centre(finished_radius_mm=radius, cut_radius_mm=wide + spec.turn_mm, kind=spec.kind)


def _background(spec: BackgroundSpec, blade: Blade, unit: Unit, setting: Setting) -> Background:
    # A flat blade's corners reach further out than its middle, where tip to tip is measured.
    reach, seam = max(blade.tip_radius_mm, blade.valley_radius_mm), blade.seam_mm
    # From the plate centre to a side that a fan's straight edges lie on there is nothing but the seam.
    whole = setting is Setting.CENTRE
    across = reach if setting is Setting.CORNER else 2 * reach
    if spec.cut_mm is not None:
        if spec.cut_mm < across + 2 * seam - RULE_MM:
            what = "plate" if whole else "fan"
            raise JobError(
                "background.cut",
                f"{shown(spec.cut_mm, unit)} is smaller than the {what} with its seams, "
                f"{shown(across + 2 * seam, unit)}; make it larger",
            )
        width = spec.cut_mm
    else:
        step = (MM_PER_INCH / 2 if unit is Unit.IN else MM_PER_CM) / (2 if setting is Setting.CORNER else 1)
        margins = (spec.margin_mm or 0.0) * (1 if setting is Setting.CORNER else 2)
        width = rounded_up_mm(across + margins + 2 * seam, step)
    height = width / 2 + seam if setting is Setting.EDGE else width
    left = -seam if setting is Setting.CORNER else -width / 2
    low = -width / 2 if whole else -seam
    # What is to be trimmed lies on the free sides alone: a fan's raw edges stay on the background's.
    trim = spec.trim_mm
    beside = 0.0 if setting is Setting.CORNER else trim / 2
    below = trim / 2 if whole else 0.0
    return Background(
        cut=(left - beside, low - below, left + width + trim - beside, low + height + trim - below),
        finished=(left + seam, low + seam, left + width - seam, low + height - seam),
        trim_mm=trim,
    )
