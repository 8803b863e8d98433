"""A job file becomes a `Job`, or an error that names the key."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.formats.registry import DEFAULT, FORMATS, Audience
from cutfiles.job.model.blade_shapes import BAND, SECOND_BLADE
from cutfiles.job.model.job import (
    BACKING,
    BINDING,
    CutBy,
    Job,
    MatSpec,
    OutlineSpec,
)
from cutfiles.job.model.needs import BACKGROUND, CENTRE, PLATE_SHAPES
from cutfiles.job.model.template import SewnOrCut
from cutfiles.job.parse.fabric import MOST_CUT, ShapeNames, fabrics_of
from cutfiles.job.parse.fabric_shape import margin_within
from cutfiles.job.parse.machine import machine_of
from cutfiles.job.parse.machine_notes import notes_of
from cutfiles.job.parse.output import formats_of, layers_of, paper_of, plotter_of
from cutfiles.job.parse.plate import (
    background_spec_of,
    centre_spec_of,
    plate_spec_of,
    quilt_cuts,
    quilt_spec_of,
    shapes_in,
)
from cutfiles.job.parse.polygon import corners_of
from cutfiles.job.parse.section import Section, known, quoted
from cutfiles.job.parse.tables import section_of, sections_of
from cutfiles.job.parse.template import stock_for, templates_of
from cutfiles.job.parse.toml_file import tables_of, text_of
from cutfiles.job.schema import fields
from cutfiles.job.schema.output import LAYERS, OUTPUT
from cutfiles.job.schema.template import STOCK, TEMPLATE

_TAKEN = (*PLATE_SHAPES, SECOND_BLADE)  # names that no outline may have


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
    job = section_of(raw, fields.JOB, Unit.IN)
    unit = job.choice("unit", Unit)
    if fields.PLATE.name not in raw:
        raise JobError("plate", "is missing; add a [plate] table with two of its three sizes")
    kits = section_of(raw, fields.KITS, unit).sure_count("count")
    quilt = quilt_spec_of(raw, unit)
    outlines = _outlines(
        raw, unit, folder, kits, taken=_TAKEN if quilt is None else (*_TAKEN, BINDING, BACKING)
    )
    centre, background = centre_spec_of(raw, unit), background_spec_of(raw, unit)
    missing = {CENTRE: centre is None, BACKGROUND: background is None}
    own = section_of(raw, fields.PLATE, unit)
    cut_by = job.choice("cut", CutBy)
    blades = [shape.name for shape in shapes_in(own)]
    shapes = [
        *blades,
        *(shape for shape in (CENTRE, BACKGROUND) if not missing[shape]),
        *(outline.name for outline in outlines),
    ]
    fabrics, kept_out = fabrics_of(raw, unit, ShapeNames(shapes, quilt_cuts(quilt)), folder, kits=kits)
    templates = templates_of(
        sections_of(raw, TEMPLATE, unit),
        outlines=[outline.name for outline in outlines],
        has_centre=centre is not None,
        has_second="second_length" in own.raw,
        bands=blades if own.lengths("bands") else [],
    )
    return Job(
        title=job.text("title"),
        unit=unit,
        plate=plate_spec_of(own, fabrics, kits, quilt, kept_out=kept_out),
        centre=centre,
        background=background,
        fabrics=fabrics,
        kept_out=kept_out,
        outlines=outlines,
        mat=_mat(section_of(raw, fields.MAT, unit)),
        machine=(machine := machine_of(own_machine := section_of(raw, fields.MACHINE, unit))),
        files=_formats(output := section_of(raw, OUTPUT, unit), cut_by),
        split=output.flag("split"),
        layers=layers_of(section_of(raw, LAYERS, unit), place=machine.place),
        plotter=plotter_of(own_machine),
        paper=paper_of(output, unit),
        templates=templates,
        stock=stock_for(templates, section_of(raw, STOCK, unit) if STOCK.name in raw else None),
        kits=kits,
        cut_by=cut_by,
        quilt=quilt,
    )


def _formats(output: Section, cut_by: CutBy) -> tuple[str, ...]:
    """Those of the job; if nothing is said and no machine cuts, those of a template to print."""
    if cut_by is CutBy.HAND and "files" not in output.raw:
        printed = [name for name, kind in FORMATS.items() if kind.audience is Audience.PRINTER]
        return (DEFAULT[0], *printed)
    return formats_of(output)


def output_formats(text: str, *, where: str = "--files") -> tuple[str, ...]:
    """Return the formats of a list such as `svg,dxf`, as `--files` takes it.

    Raises:
        JobError: an unknown format, one named twice, or none; it names `where`.
    """
    words = [word.strip() for word in text.split(",") if word.strip()]
    return formats_of(Section(where, OUTPUT, {"files": words}, Unit.IN), where=where)


def _outlines(
    raw: dict[str, Any], unit: Unit, folder: Path, kits: int, *, taken: Sequence[str]
) -> tuple[OutlineSpec, ...]:
    outlines: list[OutlineSpec] = []
    for section in sections_of(raw, fields.OUTLINE, unit):
        name = section.name("name")
        if (
            name in taken
            or (name.startswith(BAND) and name[len(BAND) :].isdigit())
            or any(name == outline.name for outline in outlines)
        ):
            raise section.error("name", f"{quoted(name)} is taken by another shape; choose another")
        drawn = "file" in section.raw
        section.not_both("points", "file")
        outlines.append(
            OutlineSpec(
                name=name,
                points=() if drawn else corners_of(section),
                count=section.all_kits("count", section.sure_count("count"), kits, most=MOST_CUT),
                seam_mm=section.sure_length("seam"),
                line=section.choice("line", SewnOrCut),
                file=folder / section.text("file") if drawn else None,
            )
        )
    return tuple(outlines)


def _mat(section: Section) -> MatSpec:
    width, height = section.sure_length("width"), section.sure_length("height")
    return MatSpec(width, height, margin_within(section, width, height))
