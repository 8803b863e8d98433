"""What a person fills in: a control for each key of the field table, with its value, its help and its error.

A key that the table gains appears here by itself; only what is shown at once, before "More", is chosen here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from cutfiles.core.errors import CutfilesError, JobError
from cutfiles.job.model.blade_shapes import blade_shapes
from cutfiles.job.model.job import BACKING, BINDING
from cutfiles.job.model.needs import BACKGROUND, CENTRE, usual_face
from cutfiles.job.parse.tables import named
from cutfiles.job.schema.field import Field, Kind, Table
from cutfiles.page.fields.blocks import is_pictured
from cutfiles.page.fields.document import KeyPath, at
from cutfiles.page.fields.entry import INNER, LISTED, shown
from cutfiles.page.fields.named_files import PICTURE, endings_of
from cutfiles.page.fields.words import choice, help_of, help_of_table, in_words, label

# Shown at once; all else is under "More".
_USUAL = {
    "job": ("title", "unit"),
    "plate": ("count", "blades", "blade_length", "inner_radius", "finished_diameter", "seam", "tip"),
    "centre": ("cover", "kind"),
    "background": ("margin",),
    "fabric": ("name", "width", "length", "pieces", "keep_out", "print", "cuts", "colour"),
    "outline": ("name", "file", "count"),
    "mat": ("width", "height", "margin"),
    "machine": ("draw", "register"),
    "output": ("files",),
    "template": ("shape", "count"),
    "stock": ("material", "width", "height", "thickness"),
}
_HEADINGS = {
    "job": "The job", "plate": "The ring of blades", "centre": "The circle in the middle",
    "background": "The square underneath", "mat": "The mat", "machine": "The machine", "output": "Files",
    "kits": "Kits", "layers": "Layers of the files", "fabric": "Fabric", "outline": "A shape of your own",
    "template": "Template", "stock": "What templates are cut from",
}  # fmt: skip
# What is there only if its table is, however empty.
OPTIONAL = {
    "centre": "With a circle over the hole",
    "background": "With a square to sew the plate to",
    "stock": "With sheets to cut templates from",
}


@dataclass(frozen=True, slots=True)
class Control:
    """One thing to fill in, to choose or to tick."""

    path: KeyPath
    name: str  # read out and shown: the key in words
    says: str
    kind: str  # "text", "choice", "choices", "flag" or "rows"
    value: str  # as a person would write it; empty where the job says nothing
    default: str  # what holds then
    choices: tuple[tuple[str, str, bool], ...] = ()  # as written, in words, whether it is chosen
    error: str = ""
    steps: bool = False  # a length that can be made a little longer or shorter
    pictured: bool = False  # its choices have small pictures
    endings: tuple[str, ...] = ()  # of files, one of which may be chosen for it
    is_colour: bool = False
    rows: tuple[ControlRow, ...] = ()
    short: str = ""  # its name below a heading that says the rest

    @property
    def at(self) -> str:
        """Its place as one word."""
        return ".".join(str(step) for step in self.path)

    @property
    def chosen(self) -> str:
        """What holds of a choice: what is written, or else what is usual; in words."""
        return next((says for _, says, is_chosen in self.choices if is_chosen), self.default)

    @property
    def id(self) -> str:
        """Tells it apart within a page."""
        return _id(self.path)


@dataclass(frozen=True, slots=True)
class ControlRow:
    """The controls of one table of a list, such as of one flaw."""

    path: KeyPath
    name: str
    controls: tuple[Control, ...]

    @property
    def at(self) -> str:
        """Its place as one word."""
        return ".".join(str(step) for step in self.path)

    @property
    def id(self) -> str:
        """Tells it apart within a page."""
        return _id(self.path)


@dataclass(frozen=True, slots=True)
class TableForm:
    """The controls of one table."""

    path: KeyPath
    heading: str
    says: str
    usual: tuple[Control, ...]
    more: tuple[Control, ...]
    error: str = ""  # of the table as a whole
    option: str = ""  # what to tick for it to be there
    there: bool = True

    @property
    def id(self) -> str:
        """Tells it apart within a page."""
        return "t-" + "-".join(str(step) for step in self.path)

    @property
    def controls(self) -> tuple[Control, ...]:
        """All of them, those in rows as well."""
        return _flat((*self.usual, *self.more))

    @property
    def has_error(self) -> bool:
        """Whether anything in it is wrong."""
        return bool(self.error or any(control.error for control in self.controls))

    @property
    def has_error_in_more(self) -> bool:
        """Whether what is wrong would be folded away."""
        return any(control.error for control in _flat(self.more))


def _id(path: KeyPath) -> str:
    return "f-" + "".join(sign if sign.isalnum() else "-" for sign in ".".join(map(str, path)))


def _flat(controls: Iterable[Control]) -> tuple[Control, ...]:
    return tuple(
        part
        for control in controls
        for part in (control, *(inner for row in control.rows for inner in row.controls))
    )


def form_of(table: Table, tables: Mapping[str, Any], problem: CutfilesError | None) -> TableForm:
    """Return the form of a table that stands once."""
    return _form(table, (table.name,), table.name, tables, problem)


def forms_of(table: Table, tables: Mapping[str, Any], problem: CutfilesError | None) -> tuple[TableForm, ...]:
    """Return a form for each of the tables of that name."""
    entries = tables.get(table.name, [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        return ()
    return tuple(
        _form(table, (table.name, index), place, tables, problem)
        for index, place in enumerate(named(table, entries))
    )


def shapes_of(tables: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the shapes that a job has, as far as its text can be read."""
    bands = at(tables, ("plate", "bands"))
    seams = len(bands) if isinstance(bands, list) else 0
    two_lengths = not seams and at(tables, ("plate", "second_length")) is not None
    blades = (shape.name for shape in blade_shapes(two_lengths=two_lengths, seams=seams))
    of_quilt = (BINDING, BACKING) if "quilt" in tables else ()
    plate = (*blades, *(name for name in (CENTRE, BACKGROUND) if name in tables), *of_quilt)
    outlines = tables.get("outline", [])
    own = [entry.get("name") for entry in outlines if isinstance(entry, dict)]
    return (*plate, *(name for name in own if isinstance(name, str)))


def placed_error(problem: CutfilesError | None, place: str, *, inside: bool = True) -> str:
    """Return what is said of a place, empty if the problem is elsewhere."""
    if not isinstance(problem, JobError) or not problem.where:
        return ""
    here = problem.where == place or (inside and problem.where.startswith(f"{place}."))
    return sentence(problem.says) if here else ""


def sentence(says: str) -> str:
    """Return a message as a sentence of its own, keys in words."""
    says = in_words(says)
    return f"{says[:1].upper()}{says[1:]}{'' if says.endswith('.') else '.'}"


def _form(
    table: Table, path: KeyPath, place: str, tables: Mapping[str, Any], problem: CutfilesError | None
) -> TableForm:
    usual_keys = _USUAL.get(table.name, ())
    by_key = {
        field.key: tuple(_controls(field, path, place, tables, problem))
        for field in table.fields
    }  # fmt: skip
    usual = [control for key in usual_keys for control in by_key.pop(key, ())]
    more = [control for controls in by_key.values() for control in controls]
    known = any(control.error for control in _flat((*usual, *more)))
    whole = "" if known else placed_error(problem, place)
    return TableForm(
        path=path,
        heading=_HEADINGS.get(table.name, label(table.name)),
        says=help_of_table(table),
        usual=tuple(usual),
        more=tuple(more),
        error=whole,
        option=OPTIONAL.get(table.name, ""),
        there=table.repeated or table.name not in OPTIONAL or at(tables, path) is not None,
    )


def _controls(
    field: Field, path: KeyPath, place: str, tables: Mapping[str, Any], problem: CutfilesError | None
) -> Iterable[Control]:
    here, value = (*path, field.key), at(tables, (*path, field.key))
    where = f"{place}.{field.key}"
    if field.kind is Kind.CUTS:
        yield from _cuts(field, here, where, tables, problem)
    elif field.kind is Kind.CHOICE_BY_SHAPE:
        yield from _choices_by_shape(field, here, where, tables, problem)
    elif field.kind in INNER and (value is None or isinstance(value, dict)):
        inner = INNER[field.kind]
        for part in inner.fields:
            for control in _controls(part, here, where, tables, problem):
                yield replace(control, name=f"{label(field.key)}: {label(part.key).lower()}")
    elif field.kind in LISTED and (entries := _listed(value)) is not None:
        yield _rows(field, here, where, entries, problem)
    else:
        yield _control(field, here, value, placed_error(problem, where))


def _listed(value: object) -> list[dict[str, Any]] | None:
    """Return the tables of a list, None if it is something else: that stays text."""
    if value is None:
        return []
    are_tables = isinstance(value, list) and all(isinstance(entry, dict) for entry in value)
    return value if are_tables else None  # type: ignore[return-value]


def _rows(
    field: Field,
    path: KeyPath,
    where: str,
    entries: Sequence[Mapping[str, Any]],
    problem: CutfilesError | None,
) -> Control:
    """A row for each table of a list; what is wrong with a whole one stands beside its first field."""
    rows = tuple(
        _row(LISTED[field.kind], (*path, index), f"{where}.{index + 1}", entry, problem)
        for index, entry in enumerate(entries)
    )
    placed = any(control.error for row in rows for control in row.controls)
    error = "" if placed else placed_error(problem, where)
    return Control(
        path, label(field.key), help_of(str(path[0]), field), "rows", "", "", error=error, rows=rows
    )


def _row(
    table: Table, path: KeyPath, where: str, entry: Mapping[str, Any], problem: CutfilesError | None
) -> ControlRow:
    """The sides of a rectangle; a shape by its points is what it is, as text, and needs no sides."""
    name, is_shape = f"Flaw {int(path[-1]) + 1}", "points" in entry
    controls = [
        replace(
            _control(
                part, (*path, part.key), entry.get(part.key), placed_error(problem, f"{where}.{part.key}")
            ),
            name=f"{name}: {label(part.key).lower()}",
            short=label(part.key),
            says="",
        )
        for part in table.fields
        if (part.key in entry if is_shape else part.key != "points")
    ]
    if not any(control.error for control in controls):
        controls[0] = replace(controls[0], error=placed_error(problem, where))
    return ControlRow(path, name, tuple(controls))


def _cuts(
    field: Field, path: KeyPath, where: str, tables: Mapping[str, Any], problem: CutfilesError | None
) -> Iterable[Control]:
    """A control for each shape; one that the job no longer has is there as long as the text names it."""
    written = at(tables, path)
    named_there = written if isinstance(written, dict) else {}
    shapes = list(dict.fromkeys([*shapes_of(tables), *named_there]))
    default = "rest" if written is None else "none"
    whole = placed_error(problem, where, inside=False)
    for shape in shapes:
        says = help_of(str(path[0]), field) if shape == shapes[0] else ""
        value = shown(named_there.get(shape))
        error = placed_error(problem, f"{where}.{shape}") or (whole if shape == shapes[0] else "")
        yield Control((*path, shape), f"Cuts: {shape}", says, "text", value, default, error=error)


def _choices_by_shape(
    field: Field, path: KeyPath, where: str, tables: Mapping[str, Any], problem: CutfilesError | None
) -> Iterable[Control]:
    """A choice for all shapes, or one for each: what is written decides, and where nothing is, both."""
    one, written = replace(field, kind=Kind.CHOICE), at(tables, path)
    whole = placed_error(problem, where, inside=False)
    if not isinstance(written, dict):
        yield _control(one, path, written, whole)
    given = at(tables, (*path[:-1], "cuts"))
    shapes = list(given) if isinstance(given, dict) else list(shapes_of(tables))
    for_each = written if isinstance(written, dict) else {}
    # What has no background has nothing to draw on the side that the others have below.
    if for_each or (written is None and BACKGROUND in shapes and len(shapes) > 1):
        for shape in dict.fromkeys([*shapes, *for_each]):
            error = placed_error(problem, f"{where}.{shape}") or (whole if for_each else "")
            control = _control(
                replace(one, default=usual_face(shape).value), (*path, shape), for_each.get(shape), error
            )
            yield replace(control, name=f"{label(field.key)}: {shape}")


def _control(field: Field, path: KeyPath, value: object, error: str) -> Control:
    name, says = label(field.key), help_of(str(path[0]), field)
    default = shown(list(field.default) if isinstance(field.default, tuple) else field.default)
    if field.kind is Kind.CHOICE and (value is None or value in field.choices):
        choices = tuple((word, choice(word), word == value) for word in field.choices)
        pictured = is_pictured(str(path[0]), field.key)
        given = shown(value), choice(default), choices, error
        return Control(path, name, says, "choice", *given, pictured=pictured)
    if field.kind is Kind.CHOICES and (value is None or _known(value, field.choices)):
        chosen: Sequence[object] = value if isinstance(value, list) else (field.default or ())  # type: ignore[assignment]
        choices = tuple((word, choice(word), word in chosen) for word in field.choices)
        return Control(path, name, says, "choices", shown(value), default, choices, error)
    if field.kind is Kind.FLAG and (value is None or isinstance(value, bool)):
        ticked = field.default if value is None else value
        return Control(path, name, says, "flag", shown(bool(ticked)), default, error=error)
    steps = field.kind is Kind.LENGTH
    # Words that may stand where something else is typed, such as "as needed": offered, not asked for.
    words = () if field.kind in (Kind.CHOICE, Kind.CHOICES) else field.choices
    offered = tuple((word, word, word == value) for word in words)
    # A picture is given where it is set to scale as well.
    endings = endings_of(path) if field.key != PICTURE else ()
    given = shown(value), default, offered, error
    return Control(
        path, name, says, "text", *given, steps=steps, endings=endings, is_colour=field.key == "colour"
    )


def _known(value: object, choices: tuple[str, ...]) -> bool:
    return isinstance(value, list) and all(word in choices for word in value)
