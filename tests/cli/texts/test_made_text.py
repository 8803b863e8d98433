"""The summary of `make`, line by line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cutfiles.cli.texts.made_text import made_text
from cutfiles.core.units import MM_PER_INCH, Unit
from cutfiles.formats.model.plan import CutPlan
from cutfiles.job.model.job import Face
from cutfiles.nest.base.layout import (
    Bought,
    FabricTally,
    HandCut,
    Layout,
    Left,
    Lie,
    Load,
    RoughCut,
    Strip,
)
from cutfiles.nest.cutting_rules.guillotine import through_cuts
from cutfiles.nest.rough_cuts import PieceCuts
from cutfiles.pipeline import Made
from cutfiles.shopping.shopping_list import Length, Pieces, ShoppingList


def _line(tally: FabricTally) -> str:
    made = Made({}, Layout((), (), (), (), (tally,), ()), CutPlan((), ()), ())
    text = made_text(made, Path("cut"), Unit.IN)
    return text.splitlines()[1]


_LEFT = Left(1, 0.0, 0.0, 127.0, 215.9)


@pytest.mark.parametrize(
    ("tally", "says"),
    [
        (
            FabricTally("tide", 1, 1, (("blade", 38),), (("blade", 43),), 0.63, ("blade",), _LEFT),
            "tide: 38 × blade (all it was found to hold) from 1 of 1 piece, 63% of it used, "
            "left in one piece: 5 × 8 1/2 in",
        ),
        (
            FabricTally("tide", 1, 1, (("blade", 43),), (("blade", 43),), 0.63, ("blade",)),
            "tide: 43 × blade (no more can fit) from 1 of 1 piece, 63% of it used",
        ),
        (
            FabricTally("tide", 3, 2, (("blade", 5), ("centre", 1)), (("blade", 43), ("centre", 9)), 0.5),
            "tide: 5 × blade, 1 × centre from 2 of 3 pieces, 50% of it used",
        ),
        (FabricTally("tide", 3, 0, (), (), 0.0), "tide: nothing from 0 of 3 pieces"),
    ],
)
def test_a_fabrics_line(tally: FabricTally, says: str) -> None:
    """Where that is all a fabric was found to hold it says so; the bound by area is no promise."""
    assert _line(tally) == says


def _summary_of_loads(loads: int, at_least: int) -> str:
    """Return the summary of a layout with so many empty loads."""
    names = tuple(Load(f"load-{number:02d}", ()) for number in range(1, loads + 1))
    layout = Layout((), names, (), (), (), (), at_least)
    return made_text(Made({}, layout, CutPlan((), ()), ()), Path("cut"), Unit.IN, details=True)


@pytest.mark.parametrize(
    ("loads", "at_least", "says"),
    [
        (3, 3, "3 loads, proven fewest"),
        (4, 3, "4 loads, at least 3 needed"),
        (1, 1, "1 load, proven fewest"),
    ],
)
def test_the_loads_stand_beside_what_is_proven(loads: int, at_least: int, says: str) -> None:
    """Behind the list of loads; where there are none, nothing is said of them."""
    assert says in _summary_of_loads(loads, at_least).splitlines()
    assert "fewest" not in _summary_of_loads(0, 0)


def test_what_to_buy_stands_below_what_a_fabric_gives() -> None:
    """The length needed, the width that it is of, and what a shop cuts."""
    bought = Bought(42 * MM_PER_INCH, 31.75 * MM_PER_INCH, 36 * MM_PER_INCH)
    tally = FabricTally("tide", 1, 1, (("blade", 60),), (), 0.5, bought=bought)
    made = Made({}, Layout((), (), (), (), (tally,), ()), CutPlan((), ()), ())
    assert made_text(made, Path("cut"), Unit.IN).splitlines()[1:3] == [
        "tide: 60 × blade, 50% of it used",
        "tide: 31 3/4 in needed of 42 in wide fabric; buy 1 yd",
    ]
    hurried = FabricTally("tide", 1, 1, (("blade", 60),), (), 0.5, bought=replace(bought, hurried=True))
    made = Made({}, Layout((), (), (), (), (hurried,), ()), CutPlan((), ()), ())
    assert made_text(made, Path("cut"), Unit.IN).splitlines()[2] == (
        "tide: 31 3/4 in needed of 42 in wide fabric; buy 1 yd "
        "(found in a hurry: a search left to its end may need less)"
    )
    metric = FabricTally("tide", 1, 1, (("blade", 60),), (), 0.5, bought=Bought(1100.0, 815.0, 900.0))
    made = Made({}, Layout((), (), (), (), (metric,), ()), CutPlan((), ()), ())
    line = made_text(made, Path("cut"), Unit.CM).splitlines()[2]
    assert line == "tide: 81.5 cm needed of 110 cm wide fabric; buy 90 cm"


def test_what_is_bought_by_the_piece_is_told_with_all_there_is_to_buy() -> None:
    """A fabric bought by length has its line already; without a list nothing is said."""
    made = Made({}, Layout((), (), (), (), (), ()), CutPlan((), ()), ())
    squares = Pieces("tide", 30, 5 * MM_PER_INCH, 5 * MM_PER_INCH, (("blade", 60),))
    bolt = Length("shingle", 1100.0, 815.0, 900.0, Unit.CM.sold_by, (("centre", 3),))
    lines = made_text(made, Path("cut"), Unit.IN, ShoppingList((squares, bolt))).splitlines()
    assert "tide: buy 30 pieces of 5 × 5 in" in lines
    assert "to buy in all: 30 pieces, 90 cm" in lines
    assert not any("shingle" in line for line in lines)
    assert "buy" not in made_text(made, Path("cut"), Unit.IN)


def test_alike_rough_cuts_share_a_line() -> None:
    """Counted; another size, and another use, has a line of its own. 4 in is 101.6 mm."""
    cut = RoughCut("sailcloth", 1, 0.0, 0.0, 101.6, 203.2, "background, by hand")
    cuts = (cut, replace(cut, x_mm=120.0), replace(cut, width_mm=127.0), replace(cut, x_mm=240.0))
    made = Made({}, Layout((), (), cuts, (), (), ()), CutPlan((), ()), ())
    assert made_text(made, Path("cut"), Unit.IN).splitlines()[1:3] == [
        "rough-cut sailcloth: 3 of 4 × 8 in for background, by hand",
        "rough-cut sailcloth: 5 × 8 in for background, by hand",
    ]


def test_the_cuts_of_a_piece_are_told_in_their_order() -> None:
    """In words what the sheet draws; pieces that are cut alike together."""
    cuts = through_cuts((0.0, 0.0, 508.0, 406.4), [(0.0, 0.0, 254.0, 254.0), (254.0, 0.0, 508.0, 254.0)])
    assert cuts is not None
    pieces = (
        PieceCuts("tide", (1,), 508.0, 406.4, (), cuts, Face.WRONG_SIDE_UP),
        PieceCuts("shingle", (2, 3), 508.0, 406.4, (), cuts[:1], Face.WRONG_SIDE_UP),
        PieceCuts("kelp", (2,), 508.0, 406.4, (), cuts[:1], Face.WRONG_SIDE_UP),
    )
    made = Made({}, Layout((), (), (), (), (), ()), CutPlan((), ()), ())
    assert made_text(made, Path("cut"), Unit.IN, cuts=pieces).splitlines()[1:4] == [
        "cut tide 1: across, 10 in from the lower edge; 2: along the grain, 10 in from the left edge",
        "cut shingle (pieces 2, 3) 1: across, 10 in from the lower edge",
        "cut kelp (piece 2) 1: across, 10 in from the lower edge",
    ]


def test_strips_are_told_by_kind() -> None:
    """Alike ones counted; nothing of rectangles."""
    strip = Strip("tide", 1, 0.0, 0.0, 1066.8, 120.65, "blade", 24, Lie.END_FOR_END, 0.0, (0.0,), (0.0,))
    strips = (strip, replace(strip, y_mm=120.65), replace(strip, count=3))
    hand = (HandCut("tide", "blade", 51),)
    made = Made({}, Layout((), (), (), hand, (), (), strips=strips), CutPlan((), ()), ())
    assert made_text(made, Path("cut"), Unit.IN).splitlines()[1:3] == [
        "tide: 2 strips 4 3/4 in high, 24 × blade from each, end for end",
        "tide: 1 strip 4 3/4 in high, 3 × blade, end for end",
    ]


def test_how_tools_travel_and_how_few_loads_there_can_be_are_details() -> None:
    """Neither is asked by who only wants to cut."""
    names = (Load("load-01", ()),)
    layout = Layout((), names, (), (), (), (), 1)
    made = Made({}, layout, CutPlan((), ()), ())
    plain = made_text(made, Path("cut"), Unit.IN)
    assert ("proven" in plain, "way of the tools" in plain) == (False, False)
    full = made_text(made, Path("cut"), Unit.IN, details=True)
    assert ("proven" in full, "way of the tools" in full) == (True, True)
