"""Kinds of block to choose from, each with a small picture that the tool draws itself.

A kind is a set of keys of the job file; choosing one writes them into the job, with `cuts` named
anew where the blades' shapes are others by then.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from cutfiles.core.errors import CutfilesError, JobError
from cutfiles.job.model.blade_shapes import BLADE, SECOND_BLADE, blade_shapes
from cutfiles.job.parse.read import parse_job
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import Kind
from cutfiles.page.fields.document import KeyPath, Value, at, with_table, with_value, with_values
from cutfiles.page.fields.examples import example
from cutfiles.page.fields.step import on_a_mark, unit_of
from cutfiles.pipeline import Sized, size

# Small, so that the picture is clear where it is as large as a thumb.
_SAMPLE = """\
[plate]
blades = 12
blade_length = 3
inner_radius = "3/4"
[centre]
[background]
[[fabric]]
name = "tide"
width = 42
length = "as needed"
"""
_KEYS = ("set", "sewn", "second_length", "bands")
_SHORTER = 0.9  # the second length, as a share of the first


@dataclass(frozen=True, slots=True)
class BlockKind:
    """A kind of block: its name on the page, and the key of `[plate]` that makes it what it is."""

    name: str
    says: str
    key: str = ""
    value: str = ""  # empty: it follows from the plate's sizes


BLOCKS = (
    BlockKind("ring", "Whole plate"),
    BlockKind("corner", "Fan in a corner", "set", "corner"),
    BlockKind("edge", "Fan on an edge", "set", "edge"),
    BlockKind("fan", "Open fan", "sewn"),
    BlockKind("two-lengths", "Blades of two lengths", "second_length"),
    BlockKind("bands", "Blades pieced of bands", "bands"),
)


def block_of(tables: Mapping[str, Any]) -> str:
    """Return the name of the kind that a job's keys make."""
    for block in BLOCKS[1:]:
        written = at(tables, ("plate", block.key))
        if written is not None and written == (block.value or written):
            return block.name
    return BLOCKS[0].name


def with_block(text: str, tables: Mapping[str, Any], sized: Sized | None, name: str) -> str:
    """Return a job's text with the keys of another kind of block, all other keys as they were.

    Args:
        text: of the job.
        tables: what the text holds.
        sized: what the reader makes of it; None where something is wrong.
        name: of the kind.

    Raises:
        JobError: there is no such kind; the text is no TOML; or sizes follow from the plate, and it has none.
    """
    block = next((block for block in BLOCKS if block.name == name), None)
    if block is None:
        raise JobError("plate", f"there is no kind of block called {name}")
    plate: dict[str, Value | None] = dict.fromkeys(_KEYS)
    if block.key:
        plate[block.key] = block.value or _following(block.key, tables, sized)
    changes: list[tuple[KeyPath, Value | None]] = [(("plate", key), value) for key, value in plate.items()]
    seams = len(plate["bands"]) if isinstance(plate["bands"], list) else 0
    shapes = [shape.name for shape in blade_shapes(two_lengths=bool(plate["second_length"]), seams=seams)]
    changes += _cuts(tables, shapes)
    return with_values(text, changes)


def _following(key: str, tables: Mapping[str, Any], sized: Sized | None) -> Value:
    if sized is None:
        raise JobError(f"plate.{key}", "follows from the plate's sizes; mend what is marked first")
    blade, unit = sized.plate.blade, unit_of(tables)
    if key == "sewn":
        return max(1, blade.blades // 2)
    if key == "second_length":
        return on_a_mark(_SHORTER * blade.length_mm, unit)
    return [on_a_mark(blade.inner_radius_mm + blade.length_mm / 2, unit)]


def _cuts(tables: Mapping[str, Any], shapes: list[str]) -> Iterator[tuple[KeyPath, Value | None]]:
    """Each fabric that gives blades gives those of the new shapes, as many as it gave of the first."""
    fabrics = tables.get("fabric", [])
    for index, fabric in enumerate(fabrics if isinstance(fabrics, list) else []):
        cuts = fabric.get("cuts") if isinstance(fabric, dict) else None
        if not isinstance(cuts, dict):
            continue
        old = [shape for shape in cuts if shape in (BLADE, SECOND_BLADE) or shape.startswith("band-")]
        if not old or old == shapes:
            continue
        renamed: dict[str, Value] = {}
        for shape, count in cuts.items():
            if shape == old[0]:
                renamed |= {new: count for new in shapes}  # noqa: C420  # whose values may be of any kind
            elif shape not in old:
                renamed[shape] = count
        yield ("fabric", index, "cuts"), renamed


@cache
def block_svg(name: str) -> str:
    """Return the small picture of a kind of block; empty if there is no such kind."""
    if name not in {block.name for block in BLOCKS}:
        return ""
    return _svg(with_block(_SAMPLE, tomllib.loads(_SAMPLE), size(parse_job(_SAMPLE)), name))


@cache
def example_svg(name: str) -> str:
    """Return the small picture of an example's plate; empty if there is no such example."""
    known = example(name)
    return _svg(known.text) if known else ""


def is_pictured(table: str, key: str) -> bool:
    """Return whether the choices of a key have small pictures, beside those of the kinds of block."""
    return key not in _KEYS and bool(_pictures(table, key))


@cache
def choice_svg(table: str, key: str, word: str) -> str:
    """Return the small picture of a plate with a choice; empty if there is none to be seen.

    That is where the choice is no choice, or makes no difference to the eye beside its neighbours.
    """
    return _pictures(table, key).get(word, "")


@cache
def _pictures(table: str, key: str) -> Mapping[str, str]:
    found = next((known for known in fields.TABLES if known.name == table and not known.repeated), None)
    field = next((known for known in found.fields if known.key == key), None) if found else None
    if field is None or field.kind is not Kind.CHOICE:
        return {}
    pictures = {}
    for word in field.choices:
        try:
            text = with_value(with_table(_SAMPLE, table), (table, key), word)
            pictures[word] = _svg(text)
        except CutfilesError:
            return {}
    return pictures if len(set(pictures.values())) == len(pictures) else {}


def _svg(text: str) -> str:
    from lxml import etree  # noqa: PLC0415

    from cutfiles.sheet.pictures.plate import Sizes, plate_drawing  # noqa: PLC0415

    sized = size(parse_job(text))
    drawing = plate_drawing(sized.plate, sized.job.unit, sizes=Sizes.NONE)
    return etree.tostring(drawing, encoding="unicode")
