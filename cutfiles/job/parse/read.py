"""The only place where dicts live: a job file becomes a `Job`, or an error that names the key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import Unit, in_both, shown
from cutfiles.job.model.blade_shapes import BAND, BLADE, SECOND_BLADE, BladeShape, band_name, blade_shapes
from cutfiles.job.model.job import (
    BACKING,
    BINDING,
    LEAST_PICTURE_MM,
    BackgroundSpec,
    CentreKind,
    CentreSpec,
    CutBy,
    FabricSpec,
    Face,
    Grain,
    Job,
    MatSpec,
    OutlineSpec,
    PlateSpec,
    Print,
    QuiltSpec,
    Setting,
    Share,
)
from cutfiles.job.model.needs import BACKGROUND, CENTRE, PLATE_SHAPES, usual_face
from cutfiles.job.model.purchase import Purchase
from cutfiles.job.model.template import SewnOrCut
from cutfiles.job.parse.fabric_shape import FabricShape, margin_within, shape_of
from cutfiles.job.parse.machine import machine_of
from cutfiles.job.parse.machine_notes import notes_of
from cutfiles.job.parse.motif import repeat_of
from cutfiles.job.parse.named import named
from cutfiles.job.parse.output import colour_of, formats_of, layers_of, paper_of, plotter_of
from cutfiles.job.parse.polygon import corners_of
from cutfiles.job.parse.purchase import are_pieces_as_needed, is_as_needed, purchase_of
from cutfiles.job.parse.section import Section, known, quoted
from cutfiles.job.parse.template import stock_for, templates_of
from cutfiles.job.parse.toml_file import tables_of, text_of
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import SPREAD, Table
from cutfiles.job.schema.output import LAYERS, OUTPUT
from cutfiles.job.schema.template import STOCK, TEMPLATE
from cutfiles.tips.registry import Tip

_MOST_CUT = 100_000
_TAKEN = (*PLATE_SHAPES, SECOND_BLADE)  # names that no outline may have
_MOST_TABLES = 1000
_MOST_PIECES = int(fields.FABRIC.field("pieces").most)


@dataclass(frozen=True, slots=True)
class _ShapeNames:
    """What fabrics may give: all of it where they say nothing, some only where they name it."""

    usual: list[str]
    if_named: list[str]


def read_job(path: Path) -> Job:
    """Return the job in a TOML file (UTF-8).

    Raises:
        JobError: the file can't be read, or a key of it is wrong.
    """
    try:
        text = text_of(path)
    except OSError as error:
        raise JobError("", f"can't be read ({error.strerror}); give the path of a job file") from None
    return parse_job(text, folder=path.parent)


def parse_job(text: str, *, folder: Path = Path()) -> Job:
    """Return the job that a TOML text describes; paths in it start at `folder`.

    Raises:
        JobError: it isn't TOML, or a key of it is wrong.
    """
    own = tables_of(text)
    notes = notes_of(own, folder)
    with notes.named(own):
        return _job(notes.under(own), folder)


def _in_a_table(key: str, value: object) -> None:
    """Do nothing unless a key that some table has stands above all tables.

    Raises:
        JobError: it does; the tables that it may stand under are named.
    """
    if isinstance(value, dict) or any(table.name == key for table in fields.TABLES):
        return
    homes = [table.label for table in fields.TABLES if any(field.key == key for field in table.fields)]
    if homes:
        raise JobError(key, f"stands above all tables; put it under {' or '.join(homes)}")


def _job(raw: dict[str, Any], folder: Path) -> Job:
    for key, value in raw.items():
        _in_a_table(key, value)
        known(key, [table.name for table in fields.TABLES], key if key.isprintable() else "", what="table")
    job = _section(raw, fields.JOB, Unit.IN)
    unit = job.choice("unit", Unit)
    if fields.PLATE.name not in raw:
        raise JobError("plate", "is missing; add a [plate] table with two of its three sizes")
    kits = _section(raw, fields.KITS, unit).sure_count("count")
    quilt = _quilt(raw, unit)
    outlines = _outlines(
        raw, unit, folder, kits, taken=_TAKEN if quilt is None else (*_TAKEN, BINDING, BACKING)
    )
    centre, background = _centre(raw, unit), _background(raw, unit)
    missing = {CENTRE: centre is None, BACKGROUND: background is None}
    own = _section(raw, fields.PLATE, unit)
    cut_by = job.choice("cut", CutBy)
    blades = [shape.name for shape in _shapes(own)]
    shapes = [
        *blades,
        *(shape for shape in (CENTRE, BACKGROUND) if not missing[shape]),
        *(outline.name for outline in outlines),
    ]
    fabrics = _fabrics(raw, unit, _ShapeNames(shapes, _of_quilt(quilt)), folder, kits=kits)
    templates = templates_of(
        _sections(raw, TEMPLATE, unit),
        outlines=[outline.name for outline in outlines],
        has_centre=centre is not None,
        has_second="second_length" in own.raw,
        bands=blades if own.lengths("bands") else [],
    )
    return Job(
        title=job.text("title"),
        unit=unit,
        plate=_plate(own, fabrics, kits, quilt),
        centre=centre,
        background=background,
        fabrics=fabrics,
        outlines=outlines,
        mat=_mat(_section(raw, fields.MAT, unit)),
        machine=(machine := machine_of(own_machine := _section(raw, fields.MACHINE, unit))),
        files=_formats(output := _section(raw, OUTPUT, unit), cut_by),
        split=output.flag("split"),
        layers=layers_of(_section(raw, LAYERS, unit), place=machine.place),
        plotter=plotter_of(own_machine),
        paper=paper_of(output, unit),
        templates=templates,
        stock=stock_for(templates, _section(raw, STOCK, unit) if STOCK.name in raw else None),
        kits=kits,
        cut_by=cut_by,
        quilt=quilt,
    )


def _formats(output: Section, cut_by: CutBy) -> tuple[str, ...]:
    """Those of the job; if nothing is said and no machine cuts, those of a template to print."""
    if cut_by is CutBy.HAND and "files" not in output.raw:
        return ("svg", "pdf")
    return formats_of(output)


def output_formats(text: str, *, where: str = "--files") -> tuple[str, ...]:
    """Return the formats of a list such as `svg,dxf`, as `--files` takes it.

    Raises:
        JobError: an unknown format, one named twice, or none; it names `where`.
    """
    words = [word.strip() for word in text.split(",") if word.strip()]
    return formats_of(Section(where, OUTPUT, {"files": words}, Unit.IN), where=where)


def _section(raw: dict[str, Any], table: Table, unit: Unit) -> Section:
    value = raw.get(table.name, {})
    if not isinstance(value, dict):
        how = f"write it once, as [{table.name}]" if isinstance(value, list) else f"write [{table.name}]"
        raise JobError(table.name, f"{quoted(value)} is not a table; {how}")
    return Section(table.name, table, value, unit)


def _sections(raw: dict[str, Any], table: Table, unit: Unit) -> list[Section]:
    value = raw.get(table.name, [])
    if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
        raise JobError(table.name, f"write each one as [[{table.name}]], in double brackets")
    if len(value) > _MOST_TABLES:
        raise JobError(table.name, f"{len(value)} are too many; at most {_MOST_TABLES} are allowed")
    places = named(table, value)
    return [Section(where, table, entry, unit) for where, entry in zip(places, value, strict=True)]


def _of_all_kits(section: Section, key: str, count: int, kits: int, most: int) -> int:
    """A number of one kit, so many times.

    Raises:
        JobError: that is more than is allowed.
    """
    if count * kits > most:
        raise section.error(
            key, f"{count} in each of {kits} kits are {count * kits}; at most {most} are allowed in all"
        )
    return count * kits


def _plate(
    section: Section, fabrics: tuple[FabricSpec, ...], kits: int, quilt: QuiltSpec | None
) -> PlateSpec:
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
    names = {shape.name for shape in _shapes(section)}
    settles = {
        fabric.name: any(shape in names and count is not Share.FILL for shape, count in fabric.cuts)
        for fabric in fabrics
    }
    return PlateSpec(
        count=_of_all_kits(section, "count", _count(section, quilt), kits, _MOST_TABLES),
        blades=blades,
        sewn=sewn,
        blade_length_mm=section.length("blade_length"),
        inner_radius_mm=section.length("inner_radius"),
        finished_diameter_mm=section.length("finished_diameter"),
        seam_mm=section.sure_length("seam"),
        tip=section.choice("tip", Tip),
        order=section.order("order", settles, places=sewn),
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


def _of_quilt(quilt: QuiltSpec | None) -> list[str]:
    """What of a quilt fabrics may be told to give."""
    if quilt is None:
        return []
    return [name for name, mm in ((BINDING, quilt.binding_mm), (BACKING, quilt.backing_mm)) if mm]


def _quilt(raw: dict[str, Any], unit: Unit) -> QuiltSpec | None:
    if fields.QUILT.name not in raw:
        return None
    section = _section(raw, fields.QUILT, unit)
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
    if quilt.blocks > _MOST_TABLES:
        raise JobError("quilt", f"{quilt.blocks} blocks are too many; at most {_MOST_TABLES} are allowed")
    return quilt


def _shapes(plate: Section) -> tuple[BladeShape, ...]:
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


def _not_both(section: Section, first: str, second: str) -> None:
    if first in section.raw and second in section.raw:
        raise section.error(first, f"stands beside {second}; leave one of the two out")


def _centre(raw: dict[str, Any], unit: Unit) -> CentreSpec | None:
    if fields.CENTRE.name not in raw:
        return None
    section = _section(raw, fields.CENTRE, unit)
    _not_both(section, "cover", "diameter")
    diameter = section.length("diameter")
    cover = section.length("cover")
    return CentreSpec(
        cover_mm=cover,
        turn_mm=section.sure_length("turn"),
        diameter_mm=diameter,
        kind=section.choice("kind", CentreKind),
    )


def _background(raw: dict[str, Any], unit: Unit) -> BackgroundSpec | None:
    if fields.BACKGROUND.name not in raw:
        return None
    section = _section(raw, fields.BACKGROUND, unit)
    _not_both(section, "margin", "cut")
    cut = section.length("cut")
    return BackgroundSpec(
        margin_mm=section.sure_length("margin") if cut is None else None,
        cut_mm=cut,
        trim_mm=section.sure_length("trim"),
    )


def _fabrics(
    raw: dict[str, Any], unit: Unit, shapes: _ShapeNames, folder: Path, *, kits: int
) -> tuple[FabricSpec, ...]:
    fabrics: list[FabricSpec] = []
    taken: set[str] = set()
    for section in _sections(raw, fields.FABRIC, unit):
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
    if len(fabrics) > _MOST_TABLES:
        raise JobError("fabric", f"{len(fabrics)} are too many; at most {_MOST_TABLES} are allowed")
    return tuple(fabrics)


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


def _cuts(section: Section, shapes: _ShapeNames, kits: int) -> tuple[tuple[str, int | Share], ...]:
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
        elif isinstance(count, int) and not isinstance(count, bool) and 1 <= count <= _MOST_CUT:
            cuts.append((shape, _of_all_kits(section, f"cuts.{shape}", count, kits, _MOST_CUT)))
        else:
            raise JobError(
                where,
                f"{quoted(count)} is not allowed; "
                f'give a whole number from 1 to {_MOST_CUT}, "rest" or "fill"',
            )
    return tuple(cuts)


def _outlines(
    raw: dict[str, Any], unit: Unit, folder: Path, kits: int, *, taken: Sequence[str]
) -> tuple[OutlineSpec, ...]:
    outlines: list[OutlineSpec] = []
    for section in _sections(raw, fields.OUTLINE, unit):
        name = section.name("name")
        if (
            name in taken
            or (name.startswith(BAND) and name[len(BAND) :].isdigit())
            or any(name == outline.name for outline in outlines)
        ):
            raise section.error("name", f"{quoted(name)} is taken by another shape; choose another")
        drawn = "file" in section.raw
        _not_both(section, "points", "file")
        outlines.append(
            OutlineSpec(
                name=name,
                points=() if drawn else corners_of(section),
                count=_of_all_kits(section, "count", section.sure_count("count"), kits, _MOST_CUT),
                seam_mm=section.sure_length("seam"),
                line=section.choice("line", SewnOrCut),
                file=folder / section.text("file") if drawn else None,
            )
        )
    return tuple(outlines)


def _mat(section: Section) -> MatSpec:
    width, height = section.sure_length("width"), section.sure_length("height")
    return MatSpec(width, height, margin_within(section, width, height))
