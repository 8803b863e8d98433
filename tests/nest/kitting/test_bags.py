"""Kits: every piece that a kit needs is in its bag, and says so."""

from __future__ import annotations

import json
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from cutfiles import Made, Options, check, make, parse_job, save
from tests.conftest import at_once, briefly

JOB = """
[plate]
count = 2
blades = 8
sewn = 3
blade_length = "3"
inner_radius = "1"

[kits]
count = 3

[centre]

[[outline]]
name = "tab"
points = [[0, 0], [2, 0], [2, 1], [0, 1]]
count = 2

[[fabric]]
names = ["tide", "shingle"]
width = 12
length = 12
pieces = 2
spare = 1

[machine]
gap = 0
register = "none"
"""


@cache
def made() -> Made:
    """Three kits of two fans each."""
    return make(parse_job(JOB), Options(("svg",), around_search=briefly, processes=1))


def test_each_bag_holds_what_one_kit_needs() -> None:
    """From the file alone: two fans of three blades, two centres, two tabs; what is spare is in none."""
    layout = json.loads(made().files["layout.json"])
    pieces = [
        (laid["fabric"], piece)
        for load in layout["loads"]
        for laid in load["fabrics"]
        for piece in laid["pieces"]
    ]
    bags: dict[int, Counter[str]] = {}
    for _, piece in pieces:
        bags.setdefault(piece.get("bag", 0), Counter())[piece["shape"]] += 1
    assert set(bags) == {0, 1, 2, 3}
    for bag in (1, 2, 3):
        assert bags[bag] == {"blade": 6, "centre": 2, "tab": 2}
    for _, piece in pieces:
        if "plate" in piece:
            assert piece["bag"] == (piece["plate"] + 1) // 2
        said = re.match(r"bag (\d+) ", piece["label"])
        assert (int(said[1]) if said else 0) == piece.get("bag", 0)


def test_the_sheet_has_a_list_for_each_bag() -> None:
    """With every blade's plate and place once in all."""
    page = etree.fromstring(made().files["job-sheet.html"], etree.HTMLParser(encoding="utf-8"))
    lists = ["".join(bag.itertext()) for bag in page.xpath("//div[@class='bag']")]
    assert len(lists) == 3
    assert "bag 2 of 3, fans 3 to 4" in lists[1]
    assert all("2 centres" in text and "2 × tab" in text for text in lists)
    for number, text in enumerate(lists, start=1):
        places = re.findall(r"\d+·\d+", text)
        plates = (2 * number - 1, 2 * number)
        assert sorted(places) == [f"{plate}·{place:02d}" for plate in plates for place in (1, 2, 3)]


def test_a_job_without_kits_has_no_bags() -> None:
    """Nor a word of them."""
    text = JOB.replace("[kits]\ncount = 3\n", "")
    files = make(parse_job(text), Options(("svg",), around_search=at_once, processes=1)).files
    assert b'"bag"' not in files["layout.json"]
    assert b"<h2>Bags" not in files["job-sheet.html"]


@pytest.mark.parametrize(
    ("before", "after"),
    [("[plate]", '[job]\ncut = "by hand"\n\n[plate]'), ("gap = 0", 'gap = 0\ndraw = ["sew"]')],
)
def test_pieces_without_labels_are_counted_out(before: str, after: str) -> None:
    """Cut by hand, or with a pen that draws no labels, nothing says whose a piece is."""
    text = JOB.replace(before, after, 1)
    sheet = make(parse_job(text), Options(("svg",), around_search=at_once, processes=1)).files[
        "job-sheet.html"
    ]
    assert b"Labels say which bag" in made().files["job-sheet.html"]
    assert b"Labels say which bag" not in sheet
    assert b"Pieces have no labels: count them out." in sheet


SQUARES = """
[plate]
blades = 20
sewn = 4
blade_length = "4 3/4"
inner_radius = "1 1/4"
order = ["tide", "shingle"]

[kits]
count = 3

[[fabric]]
names = ["tide", "shingle"]
width = 5
length = 5
pieces = 3

[mat]
width = 11
height = 11

[machine]
gap = 0
register = "none"
"""


def test_squares_change_places_so_that_a_bag_comes_off_one_load(tmp_path: Path) -> None:
    """A square of each fabric a bag, four squares a load: fabric by fabric, two bags lie on both loads."""
    job = parse_job(SQUARES)
    made = make(job, Options(("svg",), around_search=briefly, processes=1))
    layout = json.loads(made.files["layout.json"])
    assert len(layout["loads"]) == layout["least_loads"] == 2
    loads_of: dict[int, set[str]] = {}
    for load in layout["loads"]:
        for laid in load["fabrics"]:
            for piece in laid["pieces"]:
                loads_of.setdefault(piece["bag"], set()).add(load["name"])
    assert {bag: len(loads) for bag, loads in loads_of.items()} == {1: 1, 2: 1, 3: 1}
    save(tmp_path / "cut", made)
    assert list(check(tmp_path / "cut").findings) == []


def test_whatever_moves_lies_as_it_lay_on_its_fabric() -> None:
    """Pieces, edges and flaws keep their places on the rectangle; rough cuts go where it went."""
    plain = parse_job(SQUARES.replace("[kits]\ncount = 3\n", "").replace("sewn = 4", "sewn = 4\ncount = 3"))
    whole = Options(("svg",), around_search=briefly, processes=1)
    on_fabric = []
    for made in (make(plain, whole), make(parse_job(SQUARES), whole)):
        on_fabric.append(
            sorted(
                (
                    laid.fabric,
                    laid.piece,
                    placement.piece_id,
                    round(placement.pose.x_mm - laid.x_mm, 6),
                    round(placement.pose.y_mm - laid.y_mm, 6),
                    placement.pose.turn_deg,
                )
                for load in made.nested.loads
                for laid in load.fabrics
                for placement in laid.placements
            )
        )
    assert on_fabric[0] == on_fabric[1]
