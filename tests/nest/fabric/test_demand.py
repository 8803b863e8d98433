"""Who gives how many, and what is said when it can't be."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from cutfiles.core.errors import UnmetError
from cutfiles.job.model.job import FabricSpec, Grain, Share
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.base.progress import Progress
from cutfiles.nest.nest import nest
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import CutList
from tests.nest.jobs import (
    IN,
    Count,
    background_square,
    bed_of,
    blade_of,
    centre_circle,
    cut_list_of,
    fabric_of,
    nested,
)

# At a hole of 1.4 in and a margin of 1/8 in a plain square of 5 in gives two blades.
SHAPES = (blade_shape(blade_of(inner=1.4)), centre_circle())


def job(needs: dict[str, int], *fabrics: FabricSpec) -> CutList:
    """Return what the fabrics must give of blades and centres."""
    return cut_list_of(SHAPES, needs, *fabrics)


def squares(name: str, pieces: int, *, margin: float = 0.125, **cuts: Count) -> FabricSpec:
    """Return a pack of 5 in squares."""
    return fabric_of(name, pieces=pieces, margin=margin, cuts=cuts or {"blade": Share.REST})


def given(layout: Layout) -> dict[str, dict[str, int]]:
    """Return what each fabric gives, by shape."""
    return {tally.fabric: dict(tally.counts) for tally in layout.tallies}


def test_the_rest_is_shared_evenly_in_whole_squares() -> None:
    """Twenty blades of three fabrics: 8, 6 and 6, so that no square is opened for one blade."""
    layout = nested(job({"blade": 20}, *(squares(name, 10) for name in ("tide", "rope", "buoy"))))
    assert given(layout) == {"tide": {"blade": 8}, "rope": {"blade": 6}, "buoy": {"blade": 6}}


def test_a_fabric_that_has_little_gives_what_it_has() -> None:
    """The others make up for it."""
    layout = nested(job({"blade": 20}, squares("tide", 1), squares("rope", 10), squares("buoy", 10)))
    assert given(layout) == {"tide": {"blade": 2}, "rope": {"blade": 10}, "buoy": {"blade": 8}}


def test_the_rest_is_what_numbers_leave() -> None:
    """Fixed numbers come first, and are kept to."""
    layout = nested(job({"blade": 20}, squares("tide", 10, blade=6), squares("rope", 10)))
    assert given(layout) == {"tide": {"blade": 6}, "rope": {"blade": 14}}


def test_numbers_above_the_need_are_cut_and_said() -> None:
    """A job that asks for more gets more, with a word about it."""
    layout = nested(job({"blade": 4}, squares("tide", 10, blade=6), squares("rope", 10)))
    assert given(layout) == {"tide": {"blade": 6}, "rope": {}}
    assert layout.notes == ("blade: 6 cut, 4 needed; 2 to spare",)


def test_what_a_fabric_fills_is_taken_off_the_rest() -> None:
    """Three squares filled give six; the rest of the plate comes from elsewhere."""
    layout = nested(job({"blade": 20}, squares("tide", 3, blade=Share.FILL), squares("rope", 10)))
    assert given(layout) == {"tide": {"blade": 6}, "rope": {"blade": 14}}


def test_fill_elsewhere_excuses_what_is_missing() -> None:
    """Where a fabric gives all it holds, too few is a note, not an error."""
    layout = nested(job({"blade": 20}, squares("tide", 3, blade=Share.FILL), squares("rope", 10, blade=4)))
    assert given(layout) == {"tide": {"blade": 6}, "rope": {"blade": 4}}
    assert layout.notes == ("blade: only 10 of the 20 needed are cut here",)


def test_what_a_fabric_only_fills_stands_back_for_the_rest() -> None:
    """A fabric that fills up with centres first gives the blades that the plate needs."""
    cuts: dict[str, Count] = {"centre": Share.FILL, "blade": Share.REST}
    both = [fabric_of(name, pieces=4, margin=0.125, cuts=cuts) for name in ("tide", "rope")]
    layout = nested(job({"blade": 12}, *both))
    assert given(layout) == {"tide": {"blade": 6, "centre": 1}, "rope": {"blade": 6, "centre": 1}}


def test_a_rest_makes_up_for_what_others_fill_with_less() -> None:
    """Tide's blades take the room of its centres, and rope gives the centres that are then missing."""
    both = fabric_of("tide", pieces=4, margin=0.125, cuts={"centre": Share.FILL, "blade": Share.REST})
    layout = nested(job({"blade": 6, "centre": 4}, both, squares("rope", 4, centre=Share.REST)))
    assert given(layout) == {"tide": {"blade": 6, "centre": 1}, "rope": {"centre": 3}}


def test_a_number_too_high_says_how_many_fit_and_what_would_do() -> None:
    """One line: what was asked, what fits on what, and two remedies that do."""
    with pytest.raises(UnmetError) as caught:
        nested(job({"blade": 30}, squares("tide", 12, blade=30)))
    assert str(caught.value) == "tide: 30 blades asked, 24 fit on 12 pieces; 3 more pieces would do"


def test_a_rest_too_large_says_who_gives_how_many() -> None:
    """Every fabric that offers is named with what it can give."""
    with pytest.raises(UnmetError) as caught:
        nested(job({"blade": 20}, squares("tide", 2), squares("rope", 3)))
    assert str(caught.value) == (
        "20 blades still to be cut, 10 fit (tide 4, rope 6): 10 short; of tide, 5 more pieces would do"
    )


def test_a_shape_that_no_piece_holds_is_said_with_the_pieces_sizes() -> None:
    """More of what is too small would not help, so it isn't proposed."""
    small = fabric_of("tide", size=(4, 4), cuts={"blade": Share.REST})
    with pytest.raises(UnmetError) as caught:
        nested(job({"blade": 2}, small))
    assert str(caught.value) == (
        "2 blades still to be cut, 0 fit (tide 0): 2 short; no piece has room for one (tide 4 in × 4 in); "
        "of tide, pieces of 4 in × 4 3/4 in would do"
    )


def test_no_margin_is_proposed_where_it_is_the_margin_that_stands_in_the_way() -> None:
    """A blade of 4 7/8 in fits a 5 in square but for its margin."""
    shapes = (blade_shape(blade_of(length=4.875)),)
    with pytest.raises(UnmetError, match=r"2 blades asked, 0 fit on 1 piece; no margin, or 1 piece of "):
        nested(cut_list_of(shapes, {"blade": 2}, squares("tide", 1, blade=2)))


def test_blades_too_long_for_a_strip_may_lie_across_it() -> None:
    """A strip of 2 1/2 in from 42 in wide cloth holds eight blades of 4 3/4 in, end to end."""
    strips = fabric_of("tide", size=(42, 2.5), pieces=3, cuts={"blade": Share.REST})
    each = int(42 // 4.75)
    with pytest.raises(UnmetError) as caught:
        nested(job({"blade": 3 * each}, strips))
    assert str(caught.value).endswith(
        'no piece has room for one (tide 42 in × 2 1/2 in); of tide, grain = "crosswise" (8 to a piece), '
        "or pieces of 42 in × 4 3/4 in, would do"
    )
    turned = replace(strips, grain=Grain.CROSSWISE)
    assert given(nested(job({"blade": 3 * each}, turned))) == {"tide": {"blade": 24}}
    with pytest.raises(UnmetError, match=r'grain = "crosswise" \(8 to a piece\) and 1 more piece,'):
        nested(job({"blade": 3 * each + 1}, strips))


def test_what_can_give_blades_is_kept_for_them_where_that_is_enough() -> None:
    """Shared evenly, two squares would give a centre each, and the blades be short of them."""
    tide = squares("tide", 4, blade=Share.REST, centre=Share.REST)
    lantern = squares("lantern", 4, centre=Share.REST)
    assert given(nested(job({"blade": 8, "centre": 4}, tide, lantern))) == {
        "tide": {"blade": 8},
        "lantern": {"centre": 4},
    }
    with pytest.raises(UnmetError) as caught:
        nested(job({"blade": 9, "centre": 4}, tide, lantern))
    assert str(caught.value) == (
        "9 blades still to be cut, 8 fit (tide 8): 1 short; of tide, 1 more piece would do"
    )
    few = given(nested(job({"blade": 4, "centre": 4}, tide, lantern)))
    assert few == {"tide": {"blade": 4, "centre": 2}, "lantern": {"centre": 2}}  # evenly, where that does


def test_all_shortages_are_said_at_once() -> None:
    """A line each: two numbers too high, and a rest that no fabric has room for; each remedy by itself."""
    fabrics = (
        squares("tide", 2, blade=10),
        fabric_of("rope", size=(3, 3), pieces=2, cuts={"centre": 4}),
        squares("sailcloth", 1),
    )
    with pytest.raises(UnmetError) as caught:
        nested(job({"blade": 20}, *fabrics))
    assert str(caught.value).splitlines() == [
        "tide: 10 blades asked, 4 fit on 2 pieces; 3 more pieces would do",
        "rope: 4 centres asked, 0 fit on 2 pieces; 4 pieces of 4 in × 4 in would do",
        "10 blades still to be cut, 2 fit (sailcloth 2): 8 short; of sailcloth, 4 more pieces would do",
    ]
    mended = (
        replace(fabrics[0], pieces=5),
        replace(fabrics[1], pieces=4, width_mm=4 * IN, length_mm=4 * IN),
        replace(fabrics[2], pieces=5),
    )
    assert given(nested(job({"blade": 20}, *mended))) == {
        "tide": {"blade": 10},
        "rope": {"centre": 4},
        "sailcloth": {"blade": 10},
    }


def test_what_is_short_of_two_shapes_is_proposed_together() -> None:
    """A square gives a centre or two blades: what the last line says is enough, and none too many."""
    both = squares("tide", 2, centre=Share.REST, blade=Share.REST)
    with pytest.raises(UnmetError) as caught:
        nested(job({"blade": 7, "centre": 3}, both))
    first, last = str(caught.value).splitlines()
    assert first.endswith(
        "3 centres still to be cut, 2 fit (tide 2): 1 short; of tide, 1 more piece would do"
    )
    assert last.endswith("5 more pieces would do, also for what is short above")
    assert given(nested(job({"blade": 7, "centre": 3}, replace(both, pieces=7)))) == {
        "tide": {"centre": 3, "blade": 7}
    }
    with pytest.raises(UnmetError):
        nested(job({"blade": 7, "centre": 3}, replace(both, pieces=6)))


@pytest.mark.parametrize(("key", "count"), [("outline", 1), ("avoid", 1), ("outline", Share.REST)])
def test_uneven_fabric_that_cannot_be_ruled_by_hand_is_the_reason_given(key: str, count: Count) -> None:
    """More of it would not help: a background above the mat is cut by hand, from plain rectangles only."""
    triangle = ((0.0, 0.0), (300.0, 0.0), (0.0, 300.0))
    fabric = fabric_of("driftwood", size=(11, 11), pieces=1, cuts={"background": count})
    fabric = replace(fabric, **{key: triangle if key == "outline" else (triangle,)})
    with pytest.raises(UnmetError) as caught:
        nested(cut_list_of((background_square(14),), {"background": 1}, fabric))
    assert str(caught.value).endswith(
        "; background is too large for the mat, and cuts by hand are ruled on plain rectangles only, not on "
        f"driftwood with {key}; use a larger mat, or give it a fabric without"
    )
    plain = replace(fabric, width_mm=400.0, length_mm=400.0, outline=(), avoid=())
    assert nested(cut_list_of((background_square(14),), {"background": 1}, plain)).hand_cuts


SHORT = {
    "a number of blades": job({"blade": 30}, squares("tide", 12, blade=30)),
    "a rest of two fabrics": job({"blade": 20}, squares("tide", 2), squares("rope", 3)),
    "a mixture": job(
        {}, fabric_of("tide", size=(9, 6), pieces=2, margin=0.125, cuts={"centre": 2, "blade": 7})
    ),
    "a rest beside a number": job(
        {"blade": 9},
        fabric_of("tide", size=(9, 6), pieces=2, margin=0.125, cuts={"centre": 2, "blade": Share.REST}),
    ),
    "squares for one or the other": job({}, squares("tide", 2, centre=3, blade=4)),
    "a margin": cut_list_of(
        (blade_shape(blade_of(length=4.875)),), {"blade": 2}, squares("tide", 1, blade=2)
    ),
    "both": cut_list_of(
        (blade_shape(blade_of(inner=1.4, length=4.5)),),
        {"blade": 6},
        fabric_of("tide", size=(5, 9.125), pieces=1, margin=0.125, cuts={"blade": 4}),
    ),
}


def test_more_pieces_are_as_many_as_the_whole_mixture_takes() -> None:
    """One more square would give the third centre; the blades need two beside it."""
    with pytest.raises(UnmetError, match=r"3 centres asked, 2 fit on 2 pieces; 3 more pieces would do"):
        nested(SHORT["squares for one or the other"])


@pytest.mark.parametrize("short", SHORT.values(), ids=SHORT.keys())
def test_every_proposed_remedy_works(short: CutList) -> None:
    """As many more pieces as the message says, or no margin where it says so, and the job is met."""
    with pytest.raises(UnmetError) as caught:
        nested(short)
    text = str(caught.value)
    named = re.search(r"of (\w+),|^(\w+):", text)
    assert named
    name = named[1] or named[2]
    tried = 0
    more = re.search(r"(\d+) more pieces?", text)
    if more:
        nested(_changed(short, name, pieces=int(more[1])))
        tried += 1
        if int(more[1]) > 1 and len(short.demands) == 1 and "blade" in text:
            with pytest.raises(UnmetError):
                nested(_changed(short, name, pieces=int(more[1]) - 1))
    if "no margin" in text:
        nested(_changed(short, name, margin_mm=0.0))
        tried += 1
    assert tried


def _changed(cuts: CutList, name: str, *, pieces: int = 0, margin_mm: float | None = None) -> CutList:
    demands = []
    for demand in cuts.demands:
        fabric = demand.fabric
        if fabric.name == name:
            fabric = replace(fabric, pieces=fabric.pieces + pieces)
            if margin_mm is not None:
                fabric = replace(fabric, margin_mm=margin_mm)
        demands.append(replace(demand, fabric=fabric))
    return replace(cuts, demands=tuple(demands))


def test_progress_names_each_fabric_and_ends_with_every_piece() -> None:
    """Pieces placed never go down, never pass the whole, and reach it."""
    heard: list[Progress] = []
    wanted = job({"blade": 20}, squares("tide", 10), squares("rope", 10))
    nest(wanted, bed_of(), clock=Clock(), progress=heard.append)
    assert {report.fabric for report in heard} == {"tide", "rope"}
    placed = [report.placed for report in heard]
    assert placed == sorted(placed)
    assert all(report.placed <= report.of for report in heard)
    assert (heard[-1].fabric, heard[-1].placed, heard[-1].of) == ("rope", 20, 20)
    left = [report.fabrics_left for report in heard]
    assert left == sorted(left, reverse=True)
    assert (left[0], left[-1], heard[0].left, heard[-1].left) == (2, 0, 20, 0)


def test_progress_passes_on_what_the_search_has_found() -> None:
    """Through the clock, while one fabric is long in the search; after the nest nobody is told any more."""
    heard: list[Progress] = []
    clock = Clock()
    wanted = job({"blade": 2}, squares("tide", 1))

    def told(standing: Progress) -> None:
        heard.append(standing)
        if len(heard) == 1:
            clock.tick(38)

    nest(wanted, bed_of(), clock=clock, progress=told)
    assert Progress("tide", 38, 0, 2, 1) in heard
    count = len(heard)
    clock.tick(39)
    assert len(heard) == count


def test_beside_numbers_no_more_than_the_rest_is_searched_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A large cloth with a centre and a blade still to give: how many blades it holds is nobody's question.

    It isn't said to give all that it holds either, though it gives all that is asked for.
    """
    asked: list[int] = []
    fill = Solver.fill

    def noted(self: Solver, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        asked.append(dict(wanted).get("blade", 0))
        return fill(self, container, wanted)

    monkeypatch.setattr(Solver, "fill", noted)
    large = fabric_of("tide", size=(20, 20), pieces=1, cuts={"centre": 1, "blade": Share.REST})
    layout = nested(job({"blade": 3, "centre": 1}, squares("rope", 1, blade=2), large))
    assert given(layout) == {"rope": {"blade": 2}, "tide": {"centre": 1, "blade": 1}}
    assert 0 < max(asked) <= 2
    assert not layout.tallies[1].limited


@pytest.mark.parametrize(("blades", "orders"), [(13, 2), (40, 1)])
def test_an_order_is_searched_where_rules_lay_nearly_all(
    monkeypatch: pytest.MonkeyPatch, blades: int, orders: int
) -> None:
    """Where they lack far more than a search was seen to add, another order can't help."""
    seen: set[tuple[str, ...]] = set()
    fill = Solver.fill

    def noted(self: Solver, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        seen.add(tuple(shape for shape, _ in wanted))
        return fill(self, container, wanted)

    monkeypatch.setattr(Solver, "fill", noted)
    cloth = fabric_of(size=(12, 24), pieces=1, cuts={"blade": blades, "centre": 12})
    with pytest.raises(UnmetError):
        nested(job({"blade": blades, "centre": 12}, cloth))
    assert len({order for order in seen if len(order) == len(SHAPES)}) == orders
