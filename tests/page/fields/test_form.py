"""Fields come from the field table, and an error stands beside the field that it is about."""

from __future__ import annotations

import re

import pytest

from cutfiles.core.errors import CutfilesError, JobError
from cutfiles.job.parse.read import parse_job
from cutfiles.job.schema import fields
from cutfiles.page.fields.document import tables_of
from cutfiles.page.fields.form import TableForm, form_of, forms_of
from cutfiles.page.fields.words import ON_PAGE, help_of, plain
from tests.cli.commands import DEMO

TEXT = DEMO.read_text(encoding="utf-8")


def _forms(text: str) -> list[TableForm]:
    tables = tables_of(text)
    problem: CutfilesError | None = None
    try:
        parse_job(text)
    except CutfilesError as error:
        problem = error
    forms: list[TableForm] = []
    for table in fields.TABLES:
        forms += forms_of(table, tables, problem) if table.repeated else [form_of(table, tables, problem)]
    return forms


def _errors(text: str) -> dict[str, str]:
    return {control.at: control.error for form in _forms(text) for control in form.controls if control.error}


def test_every_key_of_the_field_table_has_a_field() -> None:
    """Those inside tables of their own as well; none twice."""
    ats = [control.at for form in _forms(TEXT) for control in (*form.usual, *form.more)]
    assert len(ats) == len(set(ats))
    for table in fields.TABLES:
        for field in table.fields if not table.repeated else ():
            at = f"{table.name}.{field.key}"
            assert any(found == at or found.startswith(f"{at}.") for found in ats), at
    for field in fields.FABRIC.fields:
        at = f"fabric.5.{field.key}"
        assert any(found == at or found.startswith(f"{at}.") for found in ats), at


@pytest.mark.parametrize(
    ("old", "new", "at"),
    [
        ('blade_length = "4 3/4"', 'blade_length = "long"', "plate.blade_length"),
        ('print = "one-way"', 'print = "sideways"', "fabric.1.print"),
        ("cuts = { blade = 6,", "cuts = { blade = 0,", "fabric.4.cuts.blade"),
        ('name = "tide"', 'name = " tide"', "fabric.0.name"),
        ('name = "shingle"', 'name = "tide"', "fabric.1.name"),
        ('draw = ["sew", "fold", "label"]', 'draw = ["sew", "sing"]', "machine.draw"),
        ("height = 24", "height = -1", "mat.height"),
    ],
)
def test_an_error_stands_beside_its_field(old: str, new: str, at: str) -> None:
    """And beside no other."""
    assert old in TEXT
    assert list(_errors(TEXT.replace(old, new, 1))) == [at]


def _with_flaws(flaws: str) -> str:
    return TEXT.replace('name = "tide"\n', f'name = "tide"\navoid = {flaws}\n', 1)


def test_flaws_are_rows_of_four_fields_in_words() -> None:
    """A flaw by its points is one field with text, beside whatever else the file says of it."""
    flaws = '[{ x = "2 1/2", width = 1, length = 0.5 }, { points = [[0, 0], [1, 0], [0, 1]] }]'
    form = next(form for form in _forms(_with_flaws(flaws)) if form.path == ("fabric", 0))
    avoid = next(control for control in form.more if control.at == "fabric.0.avoid")
    rectangle, shape = ([(part.at, part.name, part.value) for part in row.controls] for row in avoid.rows)
    assert rectangle == [
        ("fabric.0.avoid.0.x", "Flaw 1: from the left", "2 1/2"),
        ("fabric.0.avoid.0.y", "Flaw 1: from the bottom", ""),
        ("fabric.0.avoid.0.width", "Flaw 1: width", "1"),
        ("fabric.0.avoid.0.length", "Flaw 1: length", "0.5"),
    ]
    assert shape == [("fabric.0.avoid.1.points", "Flaw 2: points", "[[0, 0], [1, 0], [0, 1]]")]


@pytest.mark.parametrize(
    ("flaws", "at"),
    [
        ("[{ width = 1, length = 1 }, { width = 1, length = 'far' }]", "1.length"),
        ("[{ width = 1 }]", "0.length"),
        ("[{ width = 1, length = 1 }, { x = 9, width = 1, length = 1 }]", "1.x"),
        ("[{ points = [[0, 0], [1, 0], [0, 1]], x = 1 }]", "0.x"),
        ("[{ points = [[0, 0]] }]", "0.points"),
        ("[{ width = 1, length = 1, depth = 1 }]", "0.x"),
    ],
)
def test_what_is_wrong_with_a_flaw_stands_beside_its_field(flaws: str, at: str) -> None:
    """Beside the first where it is about the whole, such as a flaw that lies outside the fabric."""
    assert list(_errors(_with_flaws(flaws))) == [f"fabric.0.avoid.{at}"]
    form = next(form for form in _forms(_with_flaws(flaws)) if form.path == ("fabric", 0))
    assert form.has_error_in_more


def test_what_is_no_list_of_flaws_is_text() -> None:
    """As somebody wrote it, to be mended there."""
    assert list(_errors(_with_flaws('"a hole"'))) == ["fabric.0.avoid"]


def test_what_is_wrong_with_a_whole_table_is_told_at_its_head() -> None:
    """Two sizes are needed, and neither field is the wrong one."""
    forms = {form.path: form for form in _forms(TEXT.replace('inner_radius = "1 1/4"\n', ""))}
    assert "only “blade length” is given" in forms[("plate",)].error.lower()
    assert not any(form.error for path, form in forms.items() if path != ("plate",))


def test_a_sound_job_has_no_errors() -> None:
    """None beside a field, none at a table's head."""
    assert _errors(TEXT) == {}
    assert not any(form.has_error for form in _forms(TEXT))


def test_the_problem_of_no_place_is_no_fields() -> None:
    """Such as a text that is no TOML."""
    tables = tables_of(TEXT)
    form = form_of(fields.PLATE, tables, JobError("line 3", "is not TOML"))
    assert not form.has_error


def test_a_side_for_each_shape_has_a_field_for_each() -> None:
    """One for all where one word stands, both where nothing does; an error stands beside its shape."""
    background = TEXT.replace("[background]", "[background]", 1)
    assert "face" not in background

    def fields_of(face: str) -> list[str]:
        text = background.replace('name = "tide"\n', f'name = "tide"\n{face}', 1)
        form = next(form for form in _forms(text) if form.path == ("fabric", 0))
        names = [control.at for control in (*form.usual, *form.more)]
        return [name.removeprefix("fabric.0.") for name in names if ".face" in name]

    shapes = [f"face.{shape}" for shape in _given(0)]
    assert fields_of('face = "right side up"\n') == ["face"]
    assert fields_of('face = { blade = "right side up" }\n') == shapes
    wrong = TEXT.replace('name = "tide"\n', 'name = "tide"\nface = { blade = "up" }\n', 1)
    assert "fabric.0.face.blade" in _errors(wrong)


def _given(fabric: int) -> list[str]:
    cuts = tables_of(TEXT)["fabric"][fabric].get("cuts")
    return list(cuts) if cuts else ["blade", "centre", "background"]


def test_words_of_the_page_are_those_of_keys_that_there_are() -> None:
    """And differ from the table's; of all other keys a person is told what the table says."""
    known = {(table.name, field.key): field for table in fields.TABLES for field in table.fields}
    assert set(ON_PAGE) <= set(known)
    told = {place: help_of(place[0], field) for place, field in known.items()}
    assert {place for place, field in known.items() if told[place] != plain(field.says)} == set(ON_PAGE)
    # Marks of a text file.
    marked = [place for place, says in told.items() if re.search(r"see below|\]\(|`|\[\]|\b\w+ = ", says)]
    assert marked == []
