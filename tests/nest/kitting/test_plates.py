"""Every blade gets its plate and its place, and says so."""

from __future__ import annotations

import json
from collections import Counter
from functools import cache
from typing import Any

import pytest

from cutfiles import Made, Options, make, parse_job
from cutfiles.check.layout.layout import read_layout
from cutfiles.check.layout_rules.plates import plate_faults
from cutfiles.core.letters import nearest_letters
from tests.conftest import briefly

JOB = """
[plate]
count = 2
blades = 8
blade_length = "3"
inner_radius = "1"
ORDER

[[fabric]]
name = "tide"
width = 12
length = 12
cuts = { blade = TIDE }

[[fabric]]
name = "shingle"
width = 12
length = 12
cuts = { blade = SHINGLE }

[machine]
gap = 0
register = "none"
"""


def _laid_pieces(layout: dict[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    """Return each piece of a `layout.json`, beside the name of its fabric."""
    return [
        (laid["fabric"], piece)
        for load in layout["loads"]
        for laid in load["fabrics"]
        for piece in laid["pieces"]
    ]


@cache
def made(order: str = "", tide: str = '"rest"', shingle: str = '"rest"', sewn: int = 8) -> Made:
    """Two small plates of two fabrics."""
    text = JOB.replace("ORDER", f"{order}\nsewn = {sewn}").replace("TIDE", tide).replace("SHINGLE", shingle)
    return make(parse_job(text), Options(("svg",), around_search=briefly, processes=1))


@pytest.mark.parametrize(
    ("order", "tide", "shingle", "sewn"),
    [
        ("", '"rest"', '"rest"', 8),
        ('order = ["tide", "tide", "shingle"]', '"rest"', "4", 8),
        ("", "5", '"rest"', 3),
    ],
)
def test_the_pieces_of_the_layout_fill_the_plates(order: str, tide: str, shingle: str, sewn: int) -> None:
    """From the file alone: each place of each plate has one blade, cut from the fabric that stands there."""
    layout = json.loads(made(order, tide, shingle, sewn).files["layout.json"])
    cut = _laid_pieces(layout)
    there = Counter((fabric, piece["plate"], piece["place"]) for fabric, piece in cut if "plate" in piece)
    wanted = Counter(
        (fabric, plate, place)
        for plate, listed in enumerate(layout["plates"], start=1)
        for place, fabric in enumerate(listed["order"], start=1)
    )
    assert there == wanted
    assert [len(listed["order"]) for listed in layout["plates"]] == [sewn, sewn]
    for fabric, piece in cut:
        assert piece["label"] == f"{piece['plate']}·{piece['place']:02d} {fabric}"


def test_blades_to_spare_have_no_place() -> None:
    """Four more than two plates take: they keep their number, and the commoner fabric has them."""
    result = made(tide="12", shingle="8").nested
    blades = [
        (laid.fabric, placement)
        for load in result.loads
        for laid in load.fabrics
        for placement in laid.placements
    ]
    spare = [(fabric, placement.label) for fabric, placement in blades if not placement.plate]
    assert spare == [("tide", f"tide {number}") for number in (9, 10, 11, 12)]
    assert Counter(fabric for order in result.plates for fabric in order) == {"tide": 8, "shingle": 8}


def test_names_are_repeated_round_every_plate() -> None:
    """Tide, tide, shingle, tide …: as written, and nothing is said of neighbours that were asked for."""
    result = made('order = ["tide", "tide", "shingle"]', shingle="5")
    once = ("tide", "tide", "shingle", "tide", "tide", "shingle", "tide", "tide")
    assert result.nested.plates == (once, once)
    assert not any("side by side" in note or "beside" in note for note in result.notes)


def test_neighbours_that_must_be_alike_are_told_once_with_what_would_do() -> None:
    """10 of 16 blades can't keep apart round two plates of eight; 8 could."""
    notes = [note for note in made(tide="10").notes if "side by side" in note]
    assert notes == [
        "tide gives 10 of the 16 blades, so some of them must be sewn side by side; with at most 8 (4 a "
        "plate) they need not"
    ]
    assert not any("side by side" in note for note in made(tide="8").notes)


def test_a_list_that_closes_on_itself_is_told() -> None:
    """Two fabrics in turn round seven blades of eight: an open row, nothing to tell; round nine there is."""
    text = JOB.replace("ORDER", 'order = ["tide", "shingle"]').replace("TIDE", '"rest"')
    text = text.replace("SHINGLE", '"rest"').replace("count = 2", "count = 1")
    ring = make(
        parse_job(text.replace("blades = 8", "blades = 9")),
        Options(("svg",), around_search=briefly, processes=1),
    )
    assert any("tide is sewn beside tide where the ring closes" in note for note in ring.notes)
    fan = make(
        parse_job(text.replace("blades = 8", "blades = 9\nsewn = 7")),
        Options(("svg",), around_search=briefly, processes=1),
    )
    assert not any("ring closes" in note for note in fan.notes)


def test_the_pen_has_letters_for_plate_and_place() -> None:
    """What the sheet shows with a raised dot is written with a full stop."""
    assert nearest_letters("2·07 tide") == "2.07 tide"


@pytest.mark.parametrize("order", ["", 'order = ["tide", "shingle", "tide", "samphire"]'])
def test_blades_of_two_lengths_stand_in_turn(order: str) -> None:
    """Long ones at odd places, short ones at even ones, each in the fabric that the list names there."""
    text = f"""
[plate]
count = 2
blades = 8
blade_length = "3"
second_length = "2 1/2"
inner_radius = "1"
{order}

[[fabric]]
name = "tide"
width = 12
length = 12
cuts = {{ blade = "rest" }}

[[fabric]]
names = ["shingle", "samphire"]
width = 12
length = 12
cuts = {{ second-blade = "rest" }}

[machine]
gap = 0
register = "none"
"""
    layout = json.loads(
        make(parse_job(text), Options(("svg",), around_search=briefly, processes=1)).files["layout.json"]
    )
    cut = _laid_pieces(layout)
    there = {
        (piece["plate"], piece["place"]): (piece["shape"], fabric)
        for fabric, piece in cut
        if "plate" in piece
    }
    assert len(there) == 16
    for (plate, place), (shape, fabric) in there.items():
        assert shape == ("blade" if place % 2 else "second-blade")
        assert layout["plates"][plate - 1]["order"][place - 1] == fabric
    if order:
        assert layout["plates"][0]["order"] == ["tide", "shingle", "tide", "samphire"] * 2


def test_two_lengths_that_can_not_keep_apart_say_so() -> None:
    """Two fabrics give half of either length, and none over half of all: some neighbours are alike."""
    text = JOB.replace("ORDER", 'second_length = "2 1/2"').replace("count = 2", "count = 1")
    text = text.replace("blade = TIDE", "blade = 2, second-blade = 2")
    made = make(
        parse_job(text.replace("blade = SHINGLE", "blade = 2, second-blade = 2")),
        Options(("svg",), around_search=briefly, processes=1),
    )
    (note,) = (note for note in made.notes if "neighbours" in note)
    assert note.startswith("some neighbours are of one fabric: no order of the long and the short blades")


def test_every_band_of_a_blade_has_its_place() -> None:
    """Two at each place, each in the fabric that its own list names there; check agrees, and sees a swap."""
    text = """
[plate]
blades = 8
blade_length = "3"
inner_radius = "1"
bands = [2]

[[fabric]]
name = "tide"
width = 12
length = 12
cuts = { band-1 = "rest" }

[[fabric]]
names = ["shingle", "samphire"]
width = 12
length = 6
cuts = { band-2 = "rest" }

[machine]
gap = 0
register = "none"
"""
    layout = json.loads(
        make(parse_job(text), Options(("svg",), around_search=briefly, processes=1)).files["layout.json"]
    )
    pieces = _laid_pieces(layout)
    (plate,) = layout["plates"]
    inner, outer = plate["bands"]
    assert plate["order"] == outer
    there = {(piece["shape"], piece["place"]): fabric for fabric, piece in pieces}
    assert there == {
        **{("band-1", place): fabric for place, fabric in enumerate(inner, start=1)},
        **{("band-2", place): fabric for place, fabric in enumerate(outer, start=1)},
    }
    assert set(inner) == {"tide"}
    assert sorted(outer) == ["samphire"] * 4 + ["shingle"] * 4
    known, _ = read_layout(json.dumps(layout).encode())
    assert known
    assert not list(plate_faults(known))
    outer[0], outer[1] = outer[1], outer[0]
    assert outer[0] != outer[1]
    swapped, _ = read_layout(json.dumps(layout).encode())
    assert swapped
    assert len(list(plate_faults(swapped))) == 2
