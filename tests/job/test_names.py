"""Fabrics may be called anything, and many at once: through the whole line."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from cutfiles import Made, Options, check, errors, make, parse_job, save
from cutfiles.cli.texts.made_text import made_text
from cutfiles.core.units import Unit
from tests.conftest import briefly

PLATE = '[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\nsewn = 6\n'
NAMES = ("Grün, hell", "海", "沙", "30s", 'a "b" & <c>', "Полынь")
FABRIC = f"[[fabric]]\nnames = {json.dumps(NAMES, ensure_ascii=False)}\nwidth = 5\nlength = 5\n"


@cache
def made() -> Made:
    """A fan with a blade of each."""
    return make(
        parse_job(PLATE + FABRIC + "cuts = { blade = 1 }\n"),
        Options(("svg", "dxf", "dxf-r12", "hpgl", "sewn-dxf", "pdf"), around_search=briefly),
    )


def test_names_are_as_many_fabrics_alike_but_for_their_names() -> None:
    """In their order, each with all the pieces."""
    several = parse_job(PLATE + FABRIC + "pieces = 3\n").fabrics
    assert [fabric.name for fabric in several] == list(NAMES)
    single = PLATE + "".join(
        f"[[fabric]]\nname = {json.dumps(name, ensure_ascii=False)}\nwidth = 5\nlength = 5\npieces = 3\n"
        for name in NAMES
    )
    assert parse_job(single).fabrics == several


@pytest.mark.parametrize("name", ["é" * 40, "tide", "Ж", "می\u200cخواهم", "a.b/c\\d"])
def test_a_name_may_be_anything_that_can_be_read(name: str) -> None:
    """Composed as NFC has it, so that two ways to type an é are one name."""
    text = PLATE + f"[[fabric]]\nname = {json.dumps(name)}\nwidth = 5\nlength = 5\n"
    assert parse_job(text).fabrics[0].name == name
    twice = text + '[[fabric]]\nname = "cafe\u0301"\nwidth = 5\nlength = 5\n' * 2
    with pytest.raises(errors.JobError, match="taken by an earlier fabric"):
        parse_job(twice)
    assert (
        parse_job(text + '[[fabric]]\nname = "cafe\u0301"\nwidth = 5\nlength = 5\n').fabrics[1].name == "café"
    )


@pytest.mark.parametrize("name", ["", " ", " tide", "tide ", "a\nb", "\u200d", "x" * 41, "\x07"])
def test_what_nobody_can_read_is_no_name(name: str) -> None:
    """Empty, blank, with line breaks or signs that don't show, too long."""
    with pytest.raises(errors.JobError, match=r"fabric\.1\.name: .* is not a name"):
        parse_job(PLATE + f"[[fabric]]\nname = {json.dumps(name)}\nwidth = 5\nlength = 5\n")


def test_ids_are_plain_and_files_have_no_faults(tmp_path: Path) -> None:
    """In every format, read back; the layout keeps the names as they were given."""
    save(tmp_path / "cut", made())
    report = check(tmp_path / "cut")
    assert report.findings == ()
    laid = [fabric for load in made().layout["loads"] for fabric in load["fabrics"]]
    assert sorted(fabric["fabric"] for fabric in laid) == sorted(NAMES)
    ids = [piece["id"] for fabric in laid for piece in fabric["pieces"]]
    assert all(id_.isascii() and id_[0].isalpha() for id_ in ids)
    assert len({id_.lower() for id_ in ids}) == len(NAMES)


def test_what_the_pen_writes_is_told() -> None:
    """On the sheet, as on the terminal: one note a name that it can't write."""
    notes = [note for note in made().notes if "the pen lacks" in note]
    assert notes == [
        "Grün, hell: the pen lacks some of its letters and writes Grun, hell",
        "海: the pen lacks some of its letters and writes the number alone",
        "沙: the pen lacks some of its letters and writes the number alone",
        "Полынь: the pen lacks some of its letters and writes Polyn",
    ]
    sheet = " ".join(etree.HTML(made().files["job-sheet.html"]).itertext())
    assert all(note in sheet for note in notes)


def test_a_label_that_the_pen_lacks_is_drawn_as_the_nearest() -> None:
    """The strokes of “海 1” are those of a 1; those of Grün are those of Grun."""
    from cutfiles.pieces.lettering.letters import written

    assert written("海 1", capitals_mm=4.0) == written("1", capitals_mm=4.0)
    assert written("Grün", capitals_mm=4.0) == written("Grun", capitals_mm=4.0)


def test_fabrics_that_give_the_same_are_told_in_one_line() -> None:
    """On the terminal and in the cutting list; alone, a fabric has its own line."""
    text = made_text(made(), Path("cut"), Unit.IN)
    (line,) = [row_text for row_text in text.splitlines() if "of it used" in row_text]
    assert line.startswith(f"{', '.join(NAMES)}: each 1 × blade from 1 of 1 piece, ")
    sheet = etree.HTML(made().files["job-sheet.html"])
    (row,) = sheet.xpath("//section[h2='Cutting list']//tbody/tr")
    cells = [" ".join(cell.itertext()) for cell in row]
    assert cells[:3] == [", ".join(NAMES), "1 of 1 each", "1 blade each"]
