"""How many pieces to buy is found, and what is cut to spare stands in for nothing that is needed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cutfiles.core.errors import UnmetError
from cutfiles.job.model.job import FabricSpec, RepeatSpec, Share
from cutfiles.job.model.purchase import Purchase
from cutfiles.nest.base.layout import FabricTally, Layout
from cutfiles.pieces.plate_shapes import blade_shape
from tests.nest.jobs import (
    IN,
    Count,
    background_square,
    blade_of,
    centre_circle,
    cut_list_of,
    fabric_of,
    nested,
)

# At a hole of 1.4 in and a margin of 1/8 in a plain square of 5 in gives two blades, or one centre of 4 in.
SHAPES = (blade_shape(blade_of(inner=1.4)), centre_circle())


def squares(name: str, *, spare: int = 0, pieces: int | None = None, **cuts: Count) -> FabricSpec:
    """Return squares of 5 in, as many as needed where no number is said."""
    plain = fabric_of(name, pieces=pieces or 10_000, margin=0.125, cuts=cuts or {"blade": Share.REST})
    return replace(plain, pieces_as_needed=pieces is None, purchase=Purchase(spare=spare))


def _tallies(layout: Layout) -> dict[str, FabricTally]:
    return {tally.fabric: tally for tally in layout.tallies}


def _pieces(layout: Layout) -> dict[str, int]:
    tallies = _tallies(layout)
    assert all(tally.pieces == tally.pieces_used for tally in tallies.values())
    return {name: tally.pieces for name, tally in tallies.items()}


def test_as_many_pieces_as_needed_are_found() -> None:
    """Two blades to a square and one centre: 19 blades of one print are 10 squares, 3 centres 3 more."""
    asked = cut_list_of(
        SHAPES, {"blade": 19, "centre": 3}, squares("tide"), squares("rope", centre=Share.REST)
    )
    assert _pieces(nested(asked)) == {"tide": 10, "rope": 3}
    mixed = cut_list_of(SHAPES, {"blade": 19, "centre": 3}, squares("tide", blade=Share.REST, centre=3))
    assert _pieces(nested(mixed)) == {"tide": 13}


def test_prints_share_so_that_no_square_is_opened_for_one_blade() -> None:
    """Twenty blades of three prints: 8, 6 and 6 blades are ten squares; evenly they would be eleven."""
    asked = cut_list_of(SHAPES, {"blade": 20}, *(squares(name) for name in ("tide", "rope", "buoy")))
    assert _pieces(nested(asked)) == {"tide": 4, "rope": 3, "buoy": 3}


@pytest.mark.parametrize(("count", "spare"), [(19, 0), (20, 0), (20, 1), (7, 4)])
def test_what_is_bought_makes_the_job_and_a_piece_less_does_not(count: int, spare: int) -> None:
    """Written into the job as its pieces."""
    needs = {"blade": count}
    bought = nested(cut_list_of(SHAPES, needs, squares("tide", spare=spare)))
    pieces = _pieces(bought)["tide"]
    assert pieces == -(-(count + spare) // 2)
    again = nested(cut_list_of(SHAPES, needs, squares("tide", spare=spare, pieces=pieces)))
    assert dict(_tallies(again)["tide"].counts) == {"blade": count + spare}
    with pytest.raises(UnmetError, match="1 more piece would do"):
        nested(cut_list_of(SHAPES, needs, squares("tide", spare=spare, pieces=pieces - 1)))


def test_spare_pieces_stand_in_for_nothing_that_is_needed() -> None:
    """Two to spare of a number, one of the rest: 20 needed, 6 + 2 from tide, the other 14 + 1 from rope."""
    layout = nested(
        cut_list_of(
            SHAPES, {"blade": 20}, squares("tide", spare=2, blade=6), squares("rope", spare=1, pieces=20)
        )
    )
    counts = {name: dict(tally.counts)["blade"] for name, tally in _tallies(layout).items()}
    assert counts == {"tide": 8, "rope": 15}
    assert "blade: 23 cut, 20 needed; 3 to spare" in layout.notes


def test_backgrounds_are_counted_in_pieces_too() -> None:
    """Cut by hand, two squares of 13 in side by side from each piece of 27 in."""
    shapes = (blade_shape(blade_of()), background_square(13))
    fabric = fabric_of("sailcloth", size=(27, 14), pieces=10_000, cuts={"background": Share.REST})
    fabric = replace(fabric, pieces_as_needed=True)
    assert _pieces(nested(cut_list_of(shapes, {"background": 5}, fabric))) == {"sailcloth": 3}


def test_a_piece_that_is_too_small_says_which_would_do() -> None:
    """Nobody is sent for ten thousand squares."""
    small = replace(squares("tide"), width_mm=2 * IN)
    with pytest.raises(
        UnmetError, match=r"^tide: no blade fits on a piece of 2 in × 5 in less its margins; pieces of 2 3/4"
    ):
        nested(cut_list_of(SHAPES, {"blade": 2}, small))


@pytest.mark.parametrize("as_needed", [True, False])
def test_a_size_that_would_do_is_told_as_it_is_bought(as_needed: bool) -> None:
    """Squares of 5 in have 4.745 in once washed: 5 in of cloth that is bought is too little, 5 1/8 in do."""
    loses = Purchase(shrink_length=0.051)
    size = (5, loses.usable_length_mm(5 * IN) / IN)
    one_way = replace(fabric_of(size=size, cuts={"blade": Share.REST}), purchase=loses)
    fabric = replace(one_way, pieces_as_needed=as_needed)
    with pytest.raises(UnmetError) as caught:
        nested(cut_list_of(SHAPES, {"blade": 2}, fabric))
    assert "5 in × 5 in as bought" in str(caught.value)
    assert "5 in × 5 1/8 in as bought" in str(caught.value)
    bought = replace(fabric, length_mm=loses.usable_length_mm(5.125 * IN))
    (tally,) = nested(cut_list_of(SHAPES, {"blade": 2}, bought)).tallies
    assert (tally.pieces_used, dict(tally.counts)) == (1, {"blade": 2})


def test_a_width_that_would_do_is_told_as_it_is_bought() -> None:
    """A blade takes 2 1/2 in, which 4 in a hundred shorter are of 2 5/8 in."""
    strip = fabric_of(size=(2.125 * 0.96, 1000), pieces=1, cuts={"blade": Share.REST})
    strip = replace(strip, as_needed=True, purchase=Purchase(shrink_width=0.04))
    with pytest.raises(
        UnmetError, match=r"across its 2 1/8 in as bought; fabric 2 5/8 in wide as bought would do"
    ):
        nested(cut_list_of(SHAPES, {"blade": 2}, strip))


def test_fewer_pieces_are_tried_than_come_out_first() -> None:
    """No two centres of 3 in lie on a square, but a blade beside each: so five squares are enough."""
    shapes = (blade_shape(blade_of()), centre_circle(1.5))
    fabric = replace(
        fabric_of(pieces=10_000, cuts={"blade": Share.REST, "centre": Share.REST}), pieces_as_needed=True
    )
    assert _pieces(nested(cut_list_of(shapes, {"blade": 3, "centre": 5}, fabric))) == {"tide": 5}


def test_where_a_print_repeats_a_larger_piece_that_would_do_is_found() -> None:
    """A square as long as the piece fits it, and misses the motif; with a repeat more it doesn't."""
    plain = fabric_of(size=(10, 6), pieces=10_000, cuts={"background": 1})
    repeated = replace(plain, repeat=RepeatSpec(3 * IN, 2 * IN, (1.5 * IN, 1.5 * IN)), pieces_as_needed=True)
    shapes = (background_square(6),)
    with pytest.raises(
        UnmetError, match=r"no background fits on a piece of .*; pieces of (.*) would do"
    ) as caught:
        nested(cut_list_of(shapes, {"background": 1}, repeated))
    assert "10 in × 8 in" in str(caught.value)
    larger = replace(repeated, length_mm=8 * IN)
    assert _pieces(nested(cut_list_of(shapes, {"background": 1}, larger))) == {"tide": 1}
