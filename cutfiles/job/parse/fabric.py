"""Fabrics: what there is of each, how it lies, and what it gives."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import Unit, in_both, shown
from cutfiles.job.model.blade_shapes import BAND, BLADE, band_name
from cutfiles.job.model.job import LEAST_PICTURE_MM, FabricSpec, Face, Grain, Print, Share
from cutfiles.job.model.needs import BACKGROUND, PLATE_SHAPES, usual_face
from cutfiles.job.model.purchase import Purchase
from cutfiles.job.parse.fabric_shape import FabricShape, margin_within, shape_of
from cutfiles.job.parse.motif import repeat_of
from cutfiles.job.parse.output import colour_of
from cutfiles.job.parse.purchase import are_pieces_as_needed, is_as_needed, purchase_of
from cutfiles.job.parse.section import Section, known, quoted
from cutfiles.job.parse.tables import MOST_TABLES, sections_of
from cutfiles.job.schema import fields

MOST_CUT = 100_000  # of one shape
_MOST_PIECES = int(fields.FABRIC.field("pieces").most)


@dataclass(frozen=True, slots=True)
class ShapeNames:
    """What fabrics may give: all of it where they say nothing, some only where they name it."""

    usual: list[str]
    if_named: list[str]


def fabrics_of(
    raw: dict[str, Any], unit: Unit, shapes: ShapeNames, folder: Path, *, kits: int
) -> tuple[tuple[FabricSpec, ...], tuple[str, ...]]:
    """Return all fabrics of a job, each of several names by itself, and the names of those kept out.

    Args:
        raw: the job file.
        unit: of the job.
        shapes: what they may be told to give.
        folder: where paths begin.
        kits: by which their numbers are multiplied.

    Raises:
        JobError: a key is wrong, or there are too many.
    """
    fabrics: list[FabricSpec] = []
    kept_out: list[str] = []
    taken: set[str] = set()
    for section in sections_of(raw, fields.FABRIC, unit):
        names = section.labels("name", "names")
        for name in names:
            if name in taken:
                key = "names" if "names" in section.raw else "name"
                raise section.error(key, f"{quoted(name)} is taken by an earlier fabric; choose another")
        taken.update(names)
        as_needed, pieces_as_needed = is_as_needed(section), are_pieces_as_needed(section)
        pieces = _pieces(section, as_needed=as_needed or pieces_as_needed)
        cuts = _cuts(section, shapes, kits)
        picture_width = _picture_width(section)
        purchase = purchase_of(section, names)
        shape = _washed(section, shape_of(section, folder), purchase, as_needed=as_needed)
        drawn = shape.drawing is not None
        face, faces = _faces(section, shape, cuts, as_needed=as_needed)
        first = FabricSpec(
            name=names[0],
            width_mm=shape.width_mm,
            length_mm=shape.length_mm,
            pieces=pieces,
            print_=section.choice("print", Print),
            grain=section.choice("grain", Grain),
            margin_mm=section.sure_length("margin")
            if drawn
            else margin_within(section, shape.width_mm, shape.length_mm),
            face=face,
            faces=faces,
            cuts=cuts,
            outline=shape.outline,
            avoid=shape.avoid,
            drawing=shape.drawing,
            repeat=repeat_of(section, shape.width_mm, shape.length_mm),
            as_needed=as_needed,
            pieces_as_needed=pieces_as_needed,
            purchase=purchase,
            colour=colour_of(section, "", like="#7FB2BD"),
            picture=folder / section.text("picture") if picture_width is not None else None,
            picture_width_mm=picture_width or 0.0,
        )
        fabrics += [replace(first, name=name) for name in names if pieces]
        kept_out += [name for name in names if not pieces]
    if len(fabrics) > MOST_TABLES:
        raise JobError("fabric", f"{len(fabrics)} are too many; at most {MOST_TABLES} are allowed")
    return tuple(fabrics), tuple(kept_out)


def _pieces(section: Section, *, as_needed: bool) -> int:
    """Return how many pieces of a fabric there are to lay on, 0 where all are kept out.

    Raises:
        JobError: more are kept out than there are, or of one that is bought as needed.
    """
    kept_out = section.sure_count("keep_out")
    if as_needed and kept_out:
        raise section.error("keep_out", "nobody knows how many pieces there will be; leave keep_out out")
    if are_pieces_as_needed(section):
        return _MOST_PIECES
    pieces = section.sure_count("pieces")
    if kept_out > pieces:
        there = "there is 1 piece" if pieces == 1 else f"there are {pieces} pieces"
        raise section.error("keep_out", f"{kept_out} are more than there are; {there}")
    return pieces - kept_out


_PICTURE = {
    "picture": "the path of a PNG, JPEG or WebP file, from the job file's folder",
    "picture_width": "how much cloth the picture shows crosswise",
}


def _picture_width(section: Section) -> float | None:
    """How much cloth the picture of a fabric shows crosswise; None where it has no picture."""
    for key, other in (("picture", "picture_width"), ("picture_width", "picture")):
        if key in section.raw and other not in section.raw:
            raise section.error(other, f"is missing beside {key}; give {_PICTURE[other]}")
    width = section.length("picture_width")
    if width is not None and width < LEAST_PICTURE_MM - RULE_MM:
        least = in_both(LEAST_PICTURE_MM, section.unit)
        raise section.error(
            "picture_width", f"{in_both(width, section.unit)} is too little; at least {least} is allowed"
        )
    return width


def _washed(section: Section, shape: FabricShape, purchase: Purchase, *, as_needed: bool) -> FabricShape:
    """What is left to cut from; the longest that an open length may be stays as it is."""
    if shape.drawing is not None or shape.outline:
        return shape
    length = shape.length_mm if as_needed else purchase.usable_length_mm(shape.length_mm)
    if not length > 0:
        ends, whole = shown(purchase.ends_mm, section.unit), shown(shape.length_mm, section.unit)
        raise section.error("ends", f"{ends} leaves nothing of {whole}; less is allowed")
    return replace(shape, width_mm=purchase.usable_width_mm(shape.width_mm), length_mm=length)


def _faces(
    section: Section, shape: FabricShape, cuts: tuple[tuple[str, int | Share], ...], *, as_needed: bool
) -> tuple[Face, tuple[tuple[str, Face], ...]]:
    """Return which side is up for all shapes, or for most; and of each where they are unlike.

    Raises:
        JobError: unlike sides of a fabric whose edge, flaws or print can't be told for both.
    """
    shapes = [name for name, _ in cuts]
    said = section.choice_by_shape("face", Face, shapes)
    # Of a fabric that gives more than backgrounds each has its own side only where some is told.
    is_told_apart = bool(said) or set(shapes) == {BACKGROUND}
    faces = {
        name: said.get(name, usual_face(name) if is_told_apart else Face.WRONG_SIDE_UP) for name in shapes
    }
    if len(set(faces.values())) == 1:
        return faces[shapes[0]], ()
    for key, is_there in (
        ("outline", bool(shape.outline or shape.drawing)),
        ("avoid", bool(shape.avoid)),
        ("repeat", as_needed and "repeat" in section.raw),
    ):
        if is_there:
            raise section.error(
                "face",
                f"can't be two sides beside {key}, which is measured on one; write one side for all, or "
                "another [[fabric]] for what lies the other way",
            )
    return Face.WRONG_SIDE_UP, tuple(faces.items())


def _cuts(section: Section, shapes: ShapeNames, kits: int) -> tuple[tuple[str, int | Share], ...]:
    _, value = section.value("cuts")
    if value is None:
        return tuple((shape, Share.REST) for shape in shapes.usual)
    if not isinstance(value, dict):
        raise section.error("cuts", f'{quoted(value)} is not a table; write cuts = {{ blade = "rest" }}')
    if not value:
        raise section.error("cuts", "names no shape; leave cuts out for the rest of every shape")
    cuts: list[tuple[str, int | Share]] = []
    for shape, count in value.items():
        where = f"{section.where}.cuts.{shape}" if shape.isprintable() else f"{section.where}.cuts"
        if shape == BLADE and band_name(1) in shapes.usual:
            bands = " and ".join(name for name in shapes.usual if name.startswith(BAND))
            raise JobError(where, f"blades are pieced of bands here; name {bands} instead")
        if shape in PLATE_SHAPES and shape not in shapes.usual:
            raise JobError(where, f"this job has no {shape}; add a [{shape}] table or leave it out of cuts")
        known(shape, [*shapes.usual, *shapes.if_named], where, what="shape")
        if count in (Share.REST.value, Share.FILL.value):
            cuts.append((shape, Share(count)))
        elif isinstance(count, int) and not isinstance(count, bool) and 1 <= count <= MOST_CUT:
            cuts.append((shape, section.all_kits(f"cuts.{shape}", count, kits, most=MOST_CUT)))
        else:
            raise JobError(
                where,
                f'{quoted(count)} is not allowed; give a whole number from 1 to {MOST_CUT}, "rest" or "fill"',
            )
    return tuple(cuts)
