"""The text of a job changed one key at a time: what a person wrote beside it stays."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.job.parse.read import parse_job
from cutfiles.job.schema import fields
from cutfiles.page.fields.document import (
    KeyPath,
    tables_of,
    with_inner,
    with_table,
    with_tables,
    with_value,
    without,
)
from cutfiles.page.fields.entry import field_at, shown, value_of
from cutfiles.page.fields.presets import PRESETS, fabric_of
from cutfiles.page.fields.step import stepped
from tests.cli.commands import DEMO

TEXT = DEMO.read_text(encoding="utf-8")


def _lines(text: str) -> set[str]:
    return {line for line in text.splitlines() if line.strip()}


def test_one_value_changes_one_line() -> None:
    """Comments, order and all other keys are what they were."""
    changed = with_value(TEXT, ("plate", "blade_length"), "5 1/8")
    assert _lines(TEXT) - _lines(changed) == {'blade_length = "4 3/4"'}
    assert _lines(changed) - _lines(TEXT) == {'blade_length = "5 1/8"'}


def test_an_inner_table_goes_with_its_last_key() -> None:
    """Cuts without any would be an error that nobody asked for."""
    changed = with_value(TEXT, ("fabric", 0, "cuts", "blade"), None)
    assert "cuts" not in tomllib.loads(changed)["fabric"][0]
    parse_job(changed)


def test_tables_come_and_go() -> None:
    """One more fabric reads as it was meant; taken out again, the job is the old one."""
    more = with_tables(TEXT, "fabric", [{"name": "kelp", "width": 5, "length": 5, "cuts": {"blade": "rest"}}])
    assert parse_job(more).fabrics[-1].name == "kelp"
    assert parse_job(without(more, ("fabric", 6))) == parse_job(TEXT)


@pytest.mark.parametrize(
    "written",
    [
        "",
        "avoid = [\n  {x = 1, width = 1, length = 1},  # a hole\n]\n",
        "[[fabric.avoid]]\nwidth = 1\nlength = 1\n",
    ],
)
def test_flaws_come_and_go(written: str) -> None:
    """However they were written; the last takes its list along, and all else is what it was."""
    avoid: KeyPath = ("fabric", 6, "avoid")
    bare = f'{TEXT}\n[[fabric]]\nname = "kelp"\nwidth = 5\nlength = 5\n'
    text = bare + written
    before = tables_of(text)["fabric"][6].get("avoid", [])
    more = with_value(with_inner(text, avoid, {"width": 1, "length": 1}), (*avoid, len(before), "y"), "1/2")
    assert tables_of(more)["fabric"][6]["avoid"] == [*before, {"width": 1, "length": 1, "y": "1/2"}]
    parse_job(more)
    assert tables_of(without(more, (*avoid, len(before)))) == tables_of(text)
    for _ in range(len(before) + 1):
        more = without(more, (*avoid, 0))
    assert tables_of(more) == tables_of(bare)


def test_a_flaw_stays_while_it_is_typed_anew() -> None:
    """Emptied of its last side it is still there to be filled in."""
    text = with_inner(TEXT, ("fabric", 0, "avoid"), {"width": 1})
    emptied = with_value(text, ("fabric", 0, "avoid", 0, "width"), None)
    assert tables_of(emptied)["fabric"][0]["avoid"] == [{}]


@pytest.mark.parametrize(
    "path", [("fabric", "name"), ("fabric", 0, "name", "x"), ("fabric", 0, "avoid", "x")]
)
def test_a_place_that_is_no_table_takes_no_key(path: KeyPath) -> None:
    """Whatever form was made up."""
    text = with_inner(TEXT, ("fabric", 0, "avoid"), {"width": 1, "length": 1})
    with pytest.raises(JobError, match="no table"):
        with_value(text, path, 1)


def test_a_table_may_be_there_without_keys() -> None:
    """A circle over the hole is asked for by its table alone."""
    bare = without(TEXT, ("centre",))
    assert parse_job(bare.replace(', centre = "rest"', "")).centre is None
    assert parse_job(with_table(bare, "centre")).centre is not None


@pytest.mark.parametrize("path", [("fabric", 99), ("fabric", -1), ("outline", 0)])
def test_what_is_gone_is_said_to_be(path: tuple[str, int]) -> None:
    """Another window may have taken it out."""
    with pytest.raises(JobError, match="no longer there"):
        without(TEXT, path)


def test_a_broken_text_is_left_alone() -> None:
    """It is mended as text first."""
    with pytest.raises(JobError, match="mend it"):
        with_value("[plate", ("plate", "count"), 2)


def _scalars() -> list[tuple[str | int, ...]]:
    return [
        (table.name, *((0,) if table.repeated else ()), field.key)
        for table in fields.TABLES
        for field in table.fields
    ]


@given(path=st.sampled_from(_scalars()), typed=st.text(min_size=1, max_size=12))
def test_whatever_is_typed_the_text_stays_toml(path: tuple[str | int, ...], typed: str) -> None:
    """In any field; the reader, not TOML, says what is wrong with it."""
    text = TEXT + "\n[[outline]]\n\n[[template]]\n"
    value = value_of(field_at(path), typed)
    changed = with_value(text, path, value)
    here = tables_of(changed).get(str(path[0]), {})
    found = (here[0] if isinstance(path[1], int) else here).get(path[-1])
    assert found == value or (value is None and found is None)


@pytest.mark.parametrize(
    ("path", "typed", "value"),
    [
        (("plate", "blade_length"), "4 3/4", "4 3/4"),
        (("plate", "blade_length"), "4.75", 4.75),
        (("plate", "blade_length"), "7,5 cm", "7,5 cm"),
        (("plate", "count"), "3", 3),
        (("fabric", 0, "cuts", "blade"), "12", 12),
        (("fabric", 0, "cuts", "blade"), "rest", "rest"),
        (("machine", "scale_x"), "1,002", 1.002),
        (("plate", "order"), "tide, shingle", ["tide", "shingle"]),
        (("plate", "order"), "spread", "spread"),
        (("fabric", 0, "avoid"), "[{ x = 1, width = 2 }]", [{"x": 1, "width": 2}]),
        (("fabric", 0, "avoid", 3, "x"), "2 1/2", "2 1/2"),
        (("fabric", 0, "avoid", 0, "points"), "[[0, 0]]", [[0, 0]]),
        (("fabric", 0, "shrink", "width"), "2", 2),
        (("plate", "count"), "  ", None),
    ],
)  # fmt: skip
def test_what_is_typed_is_what_a_job_file_would_have(
    path: tuple[str | int, ...], typed: str, value: object
) -> None:
    """And is shown again as it was typed, but for blanks."""
    found = value_of(field_at(path), typed)
    assert found == value
    assert type(found) is type(value)
    assert value_of(field_at(path), shown(found)) == value


@pytest.mark.parametrize(
    "path",
    [
        ("plate", "nothing"),
        ("nothing", "count"),
        ("plate",),
        ("plate", "count", "x"),
        ("fabric", "avoid", "x"),
    ],
)
def test_there_are_no_other_keys(path: tuple[str, ...]) -> None:
    """A form that was made up can't write into the job what the field table doesn't know."""
    with pytest.raises(JobError, match="no such key"):
        field_at(path)


@pytest.mark.parametrize(
    ("unit", "written", "up", "then"),
    [
        ("in", "4 3/4", True, "4 7/8"),
        ("in", "4 3/4", False, "4 5/8"),
        ("in", 4.8, True, "4 7/8"),
        ("in", 4.8, False, "4 3/4"),
        ("in", "0", False, "0"),
        ("cm", 12, True, "12.2"),
        ("mm", "12 cm", False, "118"),
    ],
)
def test_a_step_leads_to_the_next_mark_of_the_rule(unit: str, written: object, up: bool, then: str) -> None:
    """1/8 in, or 2 mm; from between two marks to the nearer end of the gap."""
    tables = {"job": {"unit": unit}, "plate": {"blade_length": written}}
    assert stepped(tables, ("plate", "blade_length"), up=up) == then


def test_every_usual_cut_is_a_fabric() -> None:
    """As it is added it reads, and each has a name of its own."""
    text = TEXT
    for preset in PRESETS:
        fabric = fabric_of(preset.key, pieces="2", print_="one-way", tables=tables_of(text))
        text = with_tables(text, "fabric", [fabric])
    job = parse_job(text)
    assert len(job.fabrics) == 6 + len(PRESETS)
    assert job.fabrics[6].pieces == 2
