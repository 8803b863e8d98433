"""What is sewn: the plate, its centre and background, and the quilt made of it."""

from __future__ import annotations

from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.job.model.blade_shapes import BladeShape, blade_shapes
from cutfiles.job.model.job import (
    BACKING,
    BINDING,
    BackgroundSpec,
    CentreKind,
    CentreSpec,
    FabricSpec,
    PlateSpec,
    QuiltSpec,
    Setting,
    Share,
)
from cutfiles.job.parse.section import Section
from cutfiles.job.parse.tables import MOST_TABLES, section_if_there
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import SPREAD
from cutfiles.tips.registry import Tip


def plate_spec_of(
    section: Section,
    fabrics: tuple[FabricSpec, ...],
    kits: int,
    quilt: QuiltSpec | None,
    *,
    kept_out: tuple[str, ...],
) -> PlateSpec:
    """Return the plate that `[plate]` describes.

    Args:
        section: the table.
        fabrics: of the job, whose names an order may have.
        kits: by which its count is multiplied.
        quilt: made of such plates, if there is one.
        kept_out: names of fabrics that an order may not have.

    Raises:
        JobError: a key is wrong, or contradicts another.
    """
    sizes = ("blade_length", "inner_radius", "finished_diameter")
    given = [key for key in sizes if key in section.raw]
    if len(given) > 2:
        raise JobError(
            "plate", f"{', '.join(sizes)} are all given; leave one out, it follows from the others"
        )
    if len(given) < 2:
        problem = f"only {given[0]} is given" if given else "no size is given"
        raise JobError("plate", f"{problem}; give two of {', '.join(sizes)}")
    blades = section.sure_count("blades")
    sewn, setting = section.count("sewn"), section.choice("set", Setting)
    if sewn is not None and sewn > blades:
        raise section.error("sewn", f"{sewn} blades are more than a circle of {blades}; at most {blades}")
    sewn = _sewn_for(section, blades, sewn, setting)
    second = section.length("second_length")
    if second is not None and sewn == blades and blades % 2:
        raise section.error(
            "second_length",
            f"{blades} blades in a ring can't alternate: the first would stand beside the last of its own "
            f"length; take {blades + 1}",
        )
    bands = section.lengths("bands")
    if bands and second is not None:
        raise section.error("bands", "stands beside second_length; leave one of the two out")
    if bands and "order" in section.raw and section.raw["order"] != SPREAD:
        raise section.error(
            "order", "names whole blades, and these are pieced of bands; leave it out, cuts says it for each"
        )
    names = {shape.name for shape in shapes_in(section)}
    settles = {
        fabric.name: any(shape in names and count is not Share.FILL for shape, count in fabric.cuts)
        for fabric in fabrics
    }
    return PlateSpec(
        count=section.all_kits("count", _count(section, quilt), kits, most=MOST_TABLES),
        blades=blades,
        sewn=sewn,
        blade_length_mm=section.length("blade_length"),
        inner_radius_mm=section.length("inner_radius"),
        finished_diameter_mm=section.length("finished_diameter"),
        seam_mm=section.sure_length("seam"),
        tip=section.choice("tip", Tip),
        order=section.order("order", settles, places=sewn, kept_out=kept_out),
        setting=setting,
        second_length_mm=second,
        bands_mm=bands,
    )


def _count(section: Section, quilt: QuiltSpec | None) -> int:
    """How many plates are asked for, or a quilt takes."""
    if quilt is None:
        return section.sure_count("count")
    if "count" in section.raw and section.sure_count("count") != quilt.blocks:
        blocks = f"{quilt.rows} × {quilt.columns}"
        raise section.error(
            "count",
            f"{section.sure_count('count')} plates are not the {blocks} blocks of [quilt]; write "
            f"{quilt.blocks}, or leave it out",
        )
    return quilt.blocks


def quilt_cuts(quilt: QuiltSpec | None) -> list[str]:
    """What of a quilt fabrics may be told to give."""
    if quilt is None:
        return []
    return [name for name, mm in ((BINDING, quilt.binding_mm), (BACKING, quilt.backing_mm)) if mm]


def quilt_spec_of(raw: dict[str, Any], unit: Unit) -> QuiltSpec | None:
    """Return the quilt of a job, None without `[quilt]`.

    Raises:
        JobError: a key is wrong, or there is no background.
    """
    section = section_if_there(raw, fields.QUILT, unit)
    if section is None:
        return None
    if fields.BACKGROUND.name not in raw:
        raise JobError(
            "quilt", "is made of blocks, and plates without a background are none; add [background]"
        )
    quilt = QuiltSpec(
        rows=section.sure_count("rows"),
        columns=section.sure_count("columns"),
        binding_mm=section.sure_length("binding"),
        backing_mm=section.sure_length("backing"),
        strip_mm=section.sure_length("strip"),
    )
    if quilt.blocks > MOST_TABLES:
        raise JobError("quilt", f"{quilt.blocks} blocks are too many; at most {MOST_TABLES} are allowed")
    return quilt


def shapes_in(plate: Section) -> tuple[BladeShape, ...]:
    """Return the shapes as which a plate's blades are cut."""
    return blade_shapes(two_lengths="second_length" in plate.raw, seams=len(plate.lengths("bands")))


def _sewn_for(section: Section, blades: int, sewn: int | None, setting: Setting) -> int:
    """How many blades are sewn: a fan in a corner is a quarter of the circle, one on an edge a half."""
    part, rest = divmod(blades, setting.share)
    where = "in a corner is a quarter" if setting is Setting.CORNER else "on an edge is half"
    if rest:
        hint = f"take {(part + 1) * setting.share}"
        raise section.error("set", f"a fan {where} of the circle, which {blades} blades don't give; {hint}")
    if sewn is not None and setting is not Setting.CENTRE and sewn != part:
        raise section.error(
            "sewn", f"a fan {where} of the circle, {part} of {blades} blades; write {part}, or leave it out"
        )
    return part if sewn is None else sewn


def centre_spec_of(raw: dict[str, Any], unit: Unit) -> CentreSpec | None:
    """Return the circle over the opening, None without `[centre]`.

    Raises:
        JobError: a key is wrong.
    """
    section = section_if_there(raw, fields.CENTRE, unit)
    if section is None:
        return None
    section.not_both("cover", "diameter")
    diameter = section.length("diameter")
    cover = section.length("cover")
    return CentreSpec(
        cover_mm=cover,
        turn_mm=section.sure_length("turn"),
        diameter_mm=diameter,
        kind=section.choice("kind", CentreKind),
    )


def background_spec_of(raw: dict[str, Any], unit: Unit) -> BackgroundSpec | None:
    """Return what plates are sewn to, None without `[background]`.

    Raises:
        JobError: a key is wrong.
    """
    section = section_if_there(raw, fields.BACKGROUND, unit)
    if section is None:
        return None
    section.not_both("margin", "cut")
    cut = section.length("cut")
    return BackgroundSpec(
        margin_mm=section.sure_length("margin") if cut is None else None,
        cut_mm=cut,
        trim_mm=section.sure_length("trim"),
    )
