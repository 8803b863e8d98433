"""What the sheet and layout.json say of fabric that is bought by its length."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutfiles.core.units import SoldBy, Unit
from cutfiles.job.model.job import Job
from cutfiles.job.model.purchase import Purchase
from cutfiles.job.schema.field import LONGEST_MM
from cutfiles.nest.base.clock import Clock
from cutfiles.output.layout_json import layout_json
from tests.sheet.jobs import HARBOUR, IN, REST, fabric, sheet_of

# Squares of 13 in stand in for all else: cut by hand, so that their rows can be counted in the head.
OPEN = replace(
    HARBOUR,
    title="Open",
    fabrics=(
        fabric("tide", 24, 16, cuts=(("blade", REST), ("centre", REST))),
        fabric("samphire", 42, LONGEST_MM / IN, as_needed=True, cuts=(("background", REST),)),
    ),
)


def _of_side(inches: float) -> Job:
    """Background squares of a size on samphire, whose margin is 1/8 in."""
    assert OPEN.background is not None
    return replace(OPEN, background=replace(OPEN.background, margin_mm=None, cut_mm=inches * IN))


def test_the_length_and_what_to_buy_stand_in_the_cutting_list() -> None:
    """A square of 13 in and its margins: 13 1/4 in, 3/8 yd; other fabric is counted in pieces."""
    cutting = sheet_of(_of_side(13)).section("Cutting list")
    assert "samphire 13 1/4 in needed of 42 in wide fabric; buy 3/8 yd 1 background" in cutting
    assert "tide 1 of 1" in cutting
    assert "Of fabric whose length the job leaves open" in cutting
    assert "length the job leaves open" not in sheet_of(HARBOUR).text


@pytest.mark.parametrize(
    ("side", "words"),
    [
        (13, "samphire: 3/8 yd is 1/4 in more than is needed; take 1/8 yd more if that is too little"),
        (
            13.25,
            "samphire: 3/8 yd is just what is needed; take 1/8 yd more if that is too little for its ends",
        ),
        (14, ""),
    ],
)
def test_little_to_spare_is_said_before_it_is_cut(side: float, words: str) -> None:
    """Ends from a shop are seldom straight: a quarter inch to spare is little, 3 3/4 in are enough."""
    rough = sheet_of(_of_side(side)).section("Before cutting: rough cuts")
    assert "Straighten the lower end of samphire first: cuts are measured from there." in rough
    assert words in rough
    assert ("take 1/8 yd more" in rough) == bool(words)


def test_what_is_lost_is_bought_as_well() -> None:
    """13 1/4 in, 5 % shorter once washed, 2 in of ends: 15.9474 in of 42 in wide cloth, in quarter yards."""
    job = _of_side(13)
    purchase = Purchase(0.02, 0.05, 2 * IN, SoldBy(228.6, None))
    tide, samphire = job.fabrics
    samphire = replace(samphire, width_mm=42 * 0.98 * IN, purchase=purchase)
    sheet = sheet_of(replace(job, fabrics=(tide, samphire)))
    words = "samphire 15 15/16 in (15.9474) needed of 42 in wide fabric; buy 1/2 yd"
    assert words in sheet.section("Cutting list")
    # 2 in to spare would be little, had the ends not been seen to.
    assert "more if that is too little" not in sheet.section("Before cutting: rough cuts")
    _, samphire_json = layout_json(sheet.job, {}, sheet.layout, sheet.plan)["fabrics"]
    assert samphire_json["needed_length_mm"] / IN == pytest.approx(13.25 / 0.95 + 2)
    assert samphire_json["buy_mm"] == pytest.approx(457.2)


def test_layout_json_has_both_lengths() -> None:
    """In mm, of that fabric alone."""
    job = replace(_of_side(13), unit=Unit.CM)
    sheet = sheet_of(job)
    tide, samphire = layout_json(job, {}, sheet.layout, sheet.plan)["fabrics"]
    # 13 1/4 in are 336.55 mm: to the next 5 mm, and 10 cm.
    assert (samphire["needed_length_mm"], samphire["buy_mm"]) == (pytest.approx(340), pytest.approx(400))
    assert not {"needed_length_mm", "buy_mm", "hurried"} & set(tide)
    assert "hurried" not in samphire


def test_a_hurried_length_says_so_beside_the_amount() -> None:
    """With no time at all, on sheet and in layout.json; not of what is ruled by hand, which is certain."""
    job = _of_side(13)
    tide, samphire = job.fabrics
    tide = replace(tide, width_mm=42 * IN, length_mm=LONGEST_MM, as_needed=True)
    sheet = sheet_of(replace(job, fabrics=(tide, samphire)), Clock(0.0))
    cutting = sheet.section("Cutting list")
    assert cutting.count("(found in a hurry: a search left to its end may need less)") == 1
    blades, squares = layout_json(sheet.job, {}, sheet.layout, sheet.plan)["fabrics"]
    assert blades["hurried"] is True
    assert "hurried" not in squares


def test_the_shopping_list_says_what_to_ask_for() -> None:
    """A square of 13 in off the bolt; two blades to a square of 5 in, in packs of four; all in a line."""
    job = _of_side(13)
    tide, samphire = job.fabrics
    squares = replace(
        tide,
        width_mm=5 * IN,
        length_mm=5 * IN,
        pieces=10_000,
        pieces_as_needed=True,
        cuts=(("blade", REST),),
        purchase=Purchase(pack=4, together=("tide",)),
    )
    lantern = replace(squares, name="lantern", cuts=(("centre", REST),), purchase=Purchase())
    listed = sheet_of(replace(job, fabrics=(squares, lantern, samphire))).section("Shopping list")
    blades = 20
    packs = -(-blades // 2 // 4)
    assert f"tide {packs} packs of 4 ({blades // 2} pieces of 5 × 5 in needed) {blades} blades" in listed
    assert "lantern 1 piece of 5 × 5 in 1 centre" in listed
    assert "samphire 3/8 yd of 42 in wide fabric (13 1/4 in needed) 1 background" in listed
    assert f"In all: 1 piece, {packs} packs, 3/8 yd." in listed
    assert "Shopping list" not in sheet_of(HARBOUR).text
