"""What the templates are filled with."""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.core.units import MM_PER_INCH, Unit, shown
from cutfiles.core.words import listed
from cutfiles.job.model.job import Print
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import Table
from cutfiles.page.cloth import outlines_of
from cutfiles.page.desk import Desk
from cutfiles.page.fields.blocks import BLOCKS, block_of
from cutfiles.page.fields.document import at
from cutfiles.page.fields.examples import examples
from cutfiles.page.fields.form import TableForm, form_of, forms_of, sentence
from cutfiles.page.fields.presets import PRESETS, template_shapes
from cutfiles.page.fields.step import unit_of
from cutfiles.page.fields.words import label
from cutfiles.page.pictures import blade_svg, definitions_svg, order_of, plate_svg, swatches
from cutfiles.page.processes.question import Enquiry
from cutfiles.page.seen import Seen, fabric_at
from cutfiles.pipeline import Sized
from cutfiles.plate.seam_tolerance import centre_tolerance_mm, for_a_sewer
from cutfiles.plate.words import cut_size
from cutfiles.sheet.markup.words import of_shape, several_of

# A table that is named in no part stands among those of the cutting.
_PLATE = ("job", "plate", "centre", "background", "quilt", "kits")
_FABRIC = ("fabric", "outline")
_TAKE = ("template", "stock")


@dataclass(frozen=True, slots=True)
class Row:
    """A table that may come again, with what is told of it while it is folded."""

    form: TableForm
    name: str
    says: str
    colour: str
    is_open: bool
    cloth: ShownCloth | None = None  # of a fabric with a picture
    can_be_pictured: bool = False
    first: str = ""  # of several names
    others: tuple[str, ...] = ()  # colours of the others of several names
    is_kept_out: bool = False  # in part


@dataclass(frozen=True, slots=True)
class ShownCloth:
    """A fabric's picture, to be set to scale, with its motif; mm of cloth, y down in `outlines`."""

    address: str
    paint: str  # what fills with it
    width: str
    height: str
    size: str  # in words
    repeats: bool
    view: str  # the part of the cloth that is shown for the motif
    outlines: tuple[str, ...]  # of all that it gives, about their origin
    x: str  # where its origin lies
    y: str
    step: str  # of an arrow key


def context(desk: Desk) -> dict[str, Any]:
    """Return all that a page shows."""
    seen = desk.seen
    focus, desk.focus = desk.focus, ""
    marked = replace(seen, problem=seen.problem or _found_late(desk))
    plate_forms, cutting_forms = _single(_PLATE, marked), _single(_cutting_tables(), marked)
    fabrics, outlines = (_rows(table, marked, desk.opened) for table in (fields.FABRIC, fields.OUTLINE))
    templates = _rows(_table("template"), marked, desk.opened)
    stock = form_of(_table("stock"), marked.tables, marked.problem)
    rows = (*fabrics, *outlines, *templates)
    place = _place((*plate_forms, *cutting_forms, stock, *(row.form for row in rows)))
    return {
        "desk": desk,
        "focus": focus,
        "examples": examples(),
        "blocks": BLOCKS,
        "block": block_of(seen.tables),
        "plate_forms": plate_forms,
        "fabrics": fabrics,
        "gives": gives_of(desk),
        "outlines": outlines,
        "cutting_forms": cutting_forms,
        "templates": templates,
        "stock": stock,
        "cloths": definitions_svg(seen.sized.job, seen.pictures) if seen.sized else "",
        "plate_picture": _plate_picture(desk),
        "blade_picture": blade_svg(seen.sized) if seen.sized else "",
        "order": _order(seen),
        "measures": measures(seen.sized) if seen.sized else (),
        "doubts": " ".join(sentence(note) for note in seen.sized.notes) if seen.sized else "",
        "problem": _problem(seen, is_placed=place is not None),
        "failed": _failed(desk, is_placed=place is not None),
        "place": place,
        "presets": PRESETS,
        "template_shapes": template_shapes(seen.tables),
        "prints": tuple((print_.value, label(print_.value)) for print_ in Print),
        "step": "1/8 in" if unit_of(seen.tables) is Unit.IN else "2 mm",
        "run": desk.run,
        "shown": desk.run.shown if desk.run else None,
    }


def _place(forms: Sequence[TableForm]) -> tuple[str, str] | None:
    """Return the id and the name of the field beside which the problem stands; None if it is no field's."""
    for form in forms:
        for control in form.controls:
            if control.error:
                return control.id, control.name
        if form.error:
            return form.id, form.heading
    return None


def _found_late(desk: Desk) -> JobError | None:
    """Return what the laying out found wrong with a key of the job, as long as the job is the same."""
    run = desk.run
    if run is None or not run.failed_at or desk.is_outdated:
        return None
    return JobError(run.failed_at, run.failed)


@dataclass(frozen=True, slots=True)
class Gives:
    """What is told of what the fabrics give."""

    answer: Enquiry | None
    pending: bool  # more will be known
    waits: str  # said where not all is known


def gives_of(desk: Desk) -> Gives:
    """Return what is known of what the fabrics of the job as it stands give."""
    seen, answer = desk.seen, desk.answer
    if seen.sized is None:
        return Gives(None, pending=False, waits="Something in the job is wrong; it is marked.")
    if not seen.sized.job.fabrics:
        return Gives(None, pending=False, waits="There is no fabric yet.")
    pending = answer is None or not answer.over
    waits = "Once the layout is done." if desk.is_laying_out else "Being worked out …"
    return Gives(answer, pending, waits)


def measures(sized: Sized) -> tuple[tuple[str, str], ...]:
    """Return what the plate measures, as name and size."""
    plate, unit = sized.plate, sized.job.unit
    blade = plate.blade
    rows = [
        ("Finished plate", f"{shown(blade.finished_diameter_mm, unit)} across"),
        ("Blade, cut", f"{shown(blade.length_mm, unit)} long"),
        ("Narrow end, wide end", f"{shown(blade.narrow_width_mm, unit)}, {shown(blade.wide_width_mm, unit)}"),
        ("Blade's angle", f"{2 * blade.half_angle_deg:.4g}°"),
    ]
    if blade.opening_radius_mm > 0:
        rows.append(("Opening", f"{shown(2 * blade.opening_radius_mm, unit)} at its widest"))
    if plate.centre:
        rows.append(("Circle, cut", f"{shown(2 * plate.centre.cut_radius_mm, unit)} across"))
        spare = for_a_sewer(centre_tolerance_mm(blade, plate.centre), unit)
        sure = (
            f"each may be up to {spare} too narrow, and the circle still covers the hole"
            if spare
            else "exact: the circle would not cover the hole"
        )
        rows.append(("How sure the side seams must be", sure))
    if plate.background:
        rows.append(("Background, cut", cut_size(plate.background, unit)))
    rows.append(("Needed", ", ".join(f"{count} × {shape}" for shape, count in sized.needs)))
    return tuple(rows)


def _table(name: str) -> Table:
    return next(table for table in fields.TABLES if table.name == name)


def _cutting_tables() -> tuple[str, ...]:
    elsewhere = (*_PLATE, *_FABRIC, *_TAKE)
    return tuple(table.name for table in fields.TABLES if table.name not in elsewhere and not table.repeated)


def _single(names: tuple[str, ...], seen: Seen) -> tuple[TableForm, ...]:
    return tuple(form_of(_table(name), seen.tables, seen.problem) for name in names)


def _rows(table: Table, seen: Seen, opened: Set[str]) -> tuple[Row, ...]:
    colours = swatches(seen.sized.job) if seen.sized else {}
    in_words = dict(template_shapes(seen.tables))
    rows = []
    for index, form in enumerate(forms_of(table, seen.tables, seen.problem)):
        values = {control.path[-1]: control.value for control in form.usual}
        names = seen.tables[table.name][index].get("names")
        several = ", ".join(map(str, names)) if isinstance(names, list) else ""
        name = values.get("name") or several or f"{table.name} {index + 1}"
        if table.name == "template":
            name = in_words.get(values.get("shape", ""), values.get("shape", "")) or name
        first = names[0] if isinstance(names, list) and names else name
        colour = colours.get(first, "") if isinstance(first, str) else ""
        cut = {
            str(control.path[-1]): control.value
            for control in form.usual
            if control.path[-2] == "cuts" and control.value
        }
        is_open = f"{table.name}.{index}" in opened or form.has_error
        is_fabric = table is fields.FABRIC
        cloth = _cloth(seen, index) if is_fabric else None
        kept_out = bool(values.get("keep_out"))
        said = _said(table, values, cut)
        others = (
            tuple(colours.get(str(other), "none") for other in names[1:]) if isinstance(names, list) else ()
        )
        rows.append(Row(form, name, said, colour, is_open, cloth, is_fabric, str(first), others, kept_out))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class ShownOrder:
    """Which fabric stands where round the plate, to be changed by hand."""

    by_hand: bool
    places: tuple[tuple[str, str], ...]  # name and colour of each, in the order of sewing


def _order(seen: Seen) -> ShownOrder | None:
    """Return the order as it is written, or what it would be; None where there is nothing to order."""
    written = at(seen.tables, ("plate", "order"))
    if isinstance(written, list):
        colours = swatches(seen.sized.job) if seen.sized else {}
        return ShownOrder(True, tuple((str(name), colours.get(str(name), "none")) for name in written))
    if seen.sized is None or seen.sized.plate.bands:
        return None
    colours = swatches(seen.sized.job)
    names = order_of(seen.sized)
    return ShownOrder(False, tuple((name, colours[name]) for name in names)) if len(set(names)) > 1 else None


def _cloth(seen: Seen, index: int) -> ShownCloth | None:
    fabric = fabric_at(seen, index)
    picture = seen.pictures.get(fabric.name) if fabric else None
    if fabric is None or picture is None or seen.sized is None:
        return None
    sized, unit = seen.sized, seen.sized.job.unit
    outlines = outlines_of(sized.job, sized.plate, fabric)
    across_all, up_all = zip(*(point for outline in outlines for point in outline), strict=True)
    left, right, low, high = min(across_all), max(across_all), min(up_all), max(up_all)
    x, y = fabric.repeat.motif if fabric.repeat else (0.0, 0.0)
    # So much cloth that the piece can be moved by a repeat; all of it lies to the right of and above the
    # corner that motifs are counted from.
    across, up = (fabric.repeat.width_mm, fabric.repeat.length_mm) if fabric.repeat else (0.0, 0.0)
    x += across * math.ceil(max(0.0, -left - x) / across) if across else 0.0
    y += up * math.ceil(max(0.0, -low - y) / up) if up else 0.0
    width = max(picture.width_mm, x + right + across)
    height = max(picture.height_mm, y + high + up)
    return ShownCloth(
        address=picture.address,
        paint=f"url(#cloth-{[known.name for known in sized.job.fabrics].index(fabric.name) + 1})",
        width=f"{picture.width_mm:.3f}",
        height=f"{picture.height_mm:.3f}",
        size=f"{shown(picture.width_mm, unit)} × {shown(picture.height_mm, unit)}",
        repeats=fabric.repeat is not None,
        view=f"0 {-height:.3f} {width:.3f} {height:.3f}",
        outlines=tuple(" ".join(f"{x:.3f},{-y:.3f}" for x, y in outline) for outline in outlines),
        x=f"{x:.3f}",
        y=f"{y:.3f}",
        step=f"{MM_PER_INCH / 16 if unit is Unit.IN else 1.0:.4f}",
    )


def _said(table: Table, values: dict[Any, str], cut: dict[str, str]) -> str:
    """What is told of a folded table."""
    if table is fields.FABRIC:
        size = f"{values['width'] or '?'} × {values['length'] or '?'}" if values["width"] else "a scrap"
        pieces = values["pieces"] or "1"
        pieces = f"{pieces} {'piece' if pieces == '1' else 'pieces'} of {size}"
        given = [_given(shape, count) for shape, count in cut.items()]
        kept_out = f"; {values['keep_out']} kept out" if values["keep_out"] else ""
        return f"{pieces}; gives {listed(given) or 'what is still to be cut'}{kept_out}"
    return f"{values.get('count') or '1'} to cut"


def _given(shape: str, count: str) -> str:
    """How many of a shape a fabric gives, as far as what is written says anything."""
    several = several_of(shape)
    if count == "rest":
        return f"the {several} still to be cut"
    if count == "fill":
        return f"as many {several} as it holds"
    return of_shape(int(count), shape) if count.isascii() and count.isdigit() else f"{several}: {count}"


def _plate_picture(desk: Desk) -> str:
    seen, run = desk.seen, desk.run
    if run and run.shown and not desk.is_outdated:
        return str(run.shown["plate"])
    return plate_svg(seen.sized, seen.pictures) if seen.sized else ""


def _failed(desk: Desk, *, is_placed: bool) -> tuple[str, ...]:
    """Return why a laying out came to nothing, a line each."""
    run = desk.run
    if run is None or not run.failed:
        return ()
    where = f"{run.failed_at}: " if run.failed_at and not is_placed else ""
    return tuple(sentence(f"{where}{run.failed}").splitlines())


def _problem(seen: Seen, *, is_placed: bool) -> str:
    if seen.problem is None:
        return ""
    if isinstance(seen.problem, JobError):
        where = f"{seen.problem.where}: " if seen.problem.where else "The job file "
        return sentence(seen.problem.says if is_placed else f"{where}{seen.problem.says}")
    return sentence(str(seen.problem))
