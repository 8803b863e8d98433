"""Fabric whose length is to be found: how long it comes out, and that all that is asked lies on it."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import UnmetError
from cutfiles.geometry.outline import Path, Vertex, area
from cutfiles.job.model.job import FabricSpec, Print, Register, Share
from cutfiles.job.schema.field import LONGEST_MM
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.layout import Bought, Layout
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.reach import Reach, Rect
from cutfiles.nest.fabric.yardage import Yardage, _Way
from cutfiles.nest.nest import Bed
from cutfiles.nest.search.solver import Solver
from cutfiles.nest.verify.verify import Law, faults_of
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import CutList, Shape
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
    usual_shapes,
)
from tests.nest.measured import faults
from tests.strategies import convex_outlines

WIDE = bed_of(mat=(60, 60), gap=0.0, register=Register.NONE)
USUAL = bed_of(gap=0.0, register=Register.NONE)


def _open(name: str = "tide", *, width: float = 42, margin: float = 0.0, **cuts: Count) -> FabricSpec:
    """Return fabric of a width in inches and of any length."""
    fabric = fabric_of(name, size=(width, 1), pieces=1, margin=margin, cuts=cuts)
    return replace(fabric, length_mm=LONGEST_MM, as_needed=True)


def _bought(layout: Layout, fabric: str = "tide") -> Bought:
    bought = next(tally.bought for tally in layout.tallies if tally.fabric == fabric)
    assert bought is not None
    return bought


def _length(layout: Layout, fabric: str = "tide") -> float:
    """In inches."""
    return round(_bought(layout, fabric).length_mm / IN, 6)


def _rectangle(name: str, width: float, length: float) -> Shape:
    """A shape of a user's own, in inches."""
    corners = ((0.0, 0.0), (width, 0.0), (width, length), (0.0, length))
    return Shape(
        name, Path(tuple(Vertex(x * IN, y * IN) for x, y in corners), closed=True), (), symmetric=False
    )


@pytest.mark.parametrize(
    ("bed", "count"),
    [
        *((WIDE, count) for count in (1, 10, 11, 57)),
        *((USUAL, count) for count in (1, 9, 10, 11, 20, 21, 57)),
    ],
)
def test_squares_lie_in_full_rows(bed: Bed, count: int) -> None:
    """Ten of 4 in lie across 42 in; a mat of 12 by 24 takes five of them beside each other, two above."""
    job = cut_list_of((background_square(4),), {"background": count}, _open(background=count))
    assert _length(nested(job, bed)) == 4 * math.ceil(count / 10)


def test_rough_cuts_begin_on_marks_of_the_rule() -> None:
    """A mat that takes 11.8 by 23.7 in: nobody measures that off the roll where 11 3/4 do."""
    bed = bed_of(mat=(12.3, 24.2), gap=0.0, register=Register.NONE)
    job = cut_list_of((background_square(4),), {"background": 57}, _open(width=41.3, background=57))
    layout = nested(job, bed)
    assert len(layout.rough_cuts) > 2
    for cut in layout.rough_cuts:
        assert cut.x_mm / (IN / 8) == pytest.approx(round(cut.x_mm / (IN / 8)), abs=1e-6)
        assert cut.y_mm / (IN / 8) == pytest.approx(round(cut.y_mm / (IN / 8)), abs=1e-6)


def test_margins_count_at_both_ends() -> None:
    """Squares of 4 in and a margin of 1/2 in: 5 in, on a rule's mark."""
    job = cut_list_of((background_square(4),), {"background": 3}, _open(margin=0.5, background=3))
    assert _length(nested(job, WIDE)) == 5
    askew = cut_list_of((background_square(4.01),), {"background": 3}, _open(margin=0.5, background=3))
    assert _length(nested(askew, WIDE)) == 5.125


def test_bought_is_rounded_up_as_fabric_is_sold() -> None:
    """By the eighth of a yard, 4 1/2 in; never down."""
    for rows, eighths in ((1, 1), (2, 2), (9, 8), (10, 9)):
        job = cut_list_of((background_square(4),), {"background": rows}, _open(width=4, background=rows))
        assert _bought(nested(job, WIDE)).buy_mm == pytest.approx(eighths * 4.5 * IN)


@pytest.mark.parametrize("count", [1, 2, 3, 6, 7])
def test_few_rectangles_take_what_trying_all_gives(count: int) -> None:
    """Rectangles of 3 by 2 in that keep their way on fabric 7 in wide: two a row, and a margin of none."""
    shape = _rectangle("flag", 3, 2)
    fabric = replace(_open(width=7, flag=count), print_=Print.ONE_WAY)
    best = min(
        2 * max(rows)
        for rows in ([math.ceil(count / columns)] for columns in range(1, 8))
        if 3 * math.ceil(count / rows[0]) <= 7
    )
    assert _length(nested(cut_list_of((shape,), {"flag": count}, fabric), WIDE)) == best


@st.composite
def _jobs(draw: st.DrawFn) -> tuple[CutList, Bed]:
    """One or two shapes, some of each, on fabric and mat of many widths; each fits either."""
    shapes = [
        Shape(name, draw(convex_outlines()), (), symmetric=False)
        for name in draw(st.sampled_from([("leaf",), ("leaf", "wave")]))
    ]
    counts = {shape.name: draw(st.integers(1, 9)) for shape in shapes}
    margin = draw(st.sampled_from([0.0, 0.25]))
    width = draw(st.floats(6.0, 30.0))
    fabric = replace(_open(width=width, margin=margin, **counts), print_=draw(st.sampled_from(Print)))
    mat = draw(st.floats(6.5, 20.0)), draw(st.floats(6.5, 20.0))
    bed = bed_of(mat=mat, gap=draw(st.sampled_from([0.0, 0.0625])), register=Register.NONE)
    return cut_list_of(tuple(shapes), counts, fabric), bed


@settings(max_examples=5)
@given(job=_jobs())
def test_all_that_is_asked_lies_on_what_is_bought(job: tuple[CutList, Bed]) -> None:
    """Measured anew, with none of the nest's code; no shorter than the area of its pieces allows."""
    cut_list, bed = job
    layout = nested(cut_list, bed)
    assert faults(layout, cut_list, bed) == []
    on_mats = Counter(
        placement.shape for load in layout.loads for laid in load.fabrics for placement in laid.placements
    )
    assert on_mats == Counter(dict(cut_list.needs))
    bought = _bought(layout)
    # A band as long as the mat takes may end between two marks.
    spare = bought.length_mm - max(cut.y_mm + cut.length_mm for cut in layout.rough_cuts)
    assert -1e-6 <= spare < IN / 8 + 1e-6
    covered = sum(area(cut_list.shape(name).cut) * count for name, count in cut_list.needs)
    assert covered <= bought.width_mm * bought.length_mm <= bought.width_mm * bought.buy_mm + 1e-6
    assert bought.length_mm / (IN / 8) == pytest.approx(round(bought.length_mm / (IN / 8)))


@settings(max_examples=3)
@given(
    count=st.integers(1, 40),
    heights=st.lists(st.integers(8, 40), min_size=2, max_size=3, unique=True).map(sorted),
)
@example(count=30, heights=[12, 24])
def test_a_longer_mat_never_needs_more_bands(count: int, heights: list[int]) -> None:
    """Squares of 4 in, two across: as many rows to a band as the mat is long."""
    job = cut_list_of((background_square(4),), {"background": count}, _open(width=8, background=count))
    bands = []
    for height in heights:
        bed = bed_of(mat=(9, height), margin=0.0, gap=0.0, register=Register.NONE)
        layout = nested(job, bed)
        bands.append(len({cut.y_mm for cut in layout.rough_cuts}))
        # Of two ways to turn the mat the longer bands do.
        most = max(height, 9 if height >= 8 else 0) // 4
        assert bands[-1] == math.ceil(math.ceil(count / 2) / most)
        assert _length(layout) == 4 * math.ceil(count / 2)
    assert bands == sorted(bands, reverse=True)


def test_more_blades_never_need_less() -> None:
    """And an overlap minimisation finds no longer a fabric than greedy rules do."""
    lengths = []
    for count in (2, 4, 8):
        job = cut_list_of(usual_shapes()[:1], {"blade": count}, _open(width=20, margin=0.25, blade=count))
        lengths.append(_length(nested(job)))
    assert lengths == sorted(lengths)
    refined = nested(job, clock=Clock(effort=Effort(1, 20)))
    assert _length(refined) <= lengths[-1]


def test_a_mixture_in_two_columns_is_as_short_as_its_area() -> None:
    """Eight squares of 6 in and twelve of 4 in cover 24 by 20 in, in full rows of two cells of 12 in."""
    large, small = _rectangle("jib", 6, 6), _rectangle("flag", 4, 4)
    job = cut_list_of((large, small), {"jib": 8, "flag": 12}, _open(width=24, jib=8, flag=12))
    assert _length(nested(job, bed_of(mat=(12, 22), gap=0.0, register=Register.NONE))) == 20


def test_shapes_that_need_the_mat_turned_get_bands_of_their_own() -> None:
    """On a mat of 12 by 24 one is too long for one way, the other too wide for the other."""
    shapes = (_rectangle("mast", 3, 20), _rectangle("keel", 20, 3))
    job = cut_list_of(shapes, {"mast": 3, "keel": 2}, _open(width=22, mast=3, keel=2))
    layout = nested(job, USUAL)
    assert dict(layout.tallies[0].counts) == {"mast": 3, "keel": 2}
    # Three masts side by side, two keels above each other.
    assert _length(layout) == 26


def test_what_is_cut_by_hand_lies_below_and_small_shapes_beside_it() -> None:
    """Two squares of 13 in leave 16 in beside them: room for centres that costs no length."""
    shapes = (background_square(13), centre_circle(2.0))
    alone = cut_list_of(shapes, {"background": 2}, _open(background=2))
    both = cut_list_of(shapes, {"background": 2, "centre": 3}, _open(background=2, centre=3))
    assert _length(nested(alone, USUAL)) == _length(nested(both, USUAL)) == 13
    more = cut_list_of(shapes, {"background": 3, "centre": 20}, _open(background=3, centre=20))
    layout = nested(more, USUAL)
    assert dict(layout.tallies[0].counts) == {"background": 3, "centre": 20}
    assert _length(layout) == 17 + 4  # 42 in hold three squares of 13; then two rows of ten circles of 4 in


def test_a_stopped_search_gives_all_the_same() -> None:
    """A search in a hurry gives a longer length, not fewer pieces."""
    clock = Clock(effort=Effort(4, 500))
    clock.stop()
    shapes = usual_shapes()
    job = cut_list_of(shapes, {"blade": 30, "centre": 3}, _open(margin=0.25, blade=30, centre=3))
    layout = nested(job, clock=clock)
    assert dict(layout.tallies[0].counts) == {"blade": 30, "centre": 3}


def test_the_rest_is_shared_evenly_with_fabric_that_is_there() -> None:
    """Eight blades: squares give four, the roll four; what squares lack comes off the roll."""
    shapes = (blade_shape(blade_of(inner=1.4)),)
    squares = fabric_of("rope", pieces=4, margin=0.125)
    roll = _open(blade=Share.REST)
    layout = nested(cut_list_of(shapes, {"blade": 8}, squares, roll))
    assert [dict(tally.counts) for tally in layout.tallies] == [{"blade": 4}, {"blade": 4}]
    few = nested(cut_list_of(shapes, {"blade": 8}, replace(squares, pieces=1), roll))
    assert [dict(tally.counts) for tally in few.tallies] == [{"blade": 2}, {"blade": 6}]
    filled = replace(squares, pieces=1, cuts=(("blade", Share.FILL),))
    after = nested(cut_list_of(shapes, {"blade": 8}, filled, roll))
    assert [dict(tally.counts) for tally in after.tallies] == [{"blade": 2}, {"blade": 6}]


def test_no_bound_is_claimed_and_nothing_bought_where_nothing_is_cut() -> None:
    """What a length holds at most is no news where the length follows from what is asked."""
    shapes = (blade_shape(blade_of(inner=1.4)),)
    fabrics = fabric_of("rope", cuts={"blade": 4}), _open(blade=Share.REST)
    tally = nested(cut_list_of(shapes, {"blade": 6}, *fabrics)).tallies[1]
    assert (tally.at_most, tally.limited) == ((), ())
    assert tally.bought is not None
    assert nested(cut_list_of(shapes, {"blade": 4}, *fabrics)).tallies[1].bought is None


@pytest.mark.parametrize("count", [2, Share.REST])
def test_fabric_too_narrow_for_a_shape_is_said(count: Count) -> None:
    """No length helps."""
    job = cut_list_of(usual_shapes()[:1], {"blade": 2}, _open(width=2.5, margin=0.125, blade=count))
    with pytest.raises(UnmetError) as caught:
        nested(job)
    assert str(caught.value) == (
        "tide: no blade fits across its 2 1/2 in less its margins; fabric 2 3/4 in wide would do"
    )
    wide = replace(_open(margin=0.125, blade=count), width_mm=2.75 * IN)
    assert nested(cut_list_of(usual_shapes()[:1], {"blade": 2}, wide)).tallies[0].bought


def test_more_than_a_roll_holds_is_said() -> None:
    """Squares of 30 in, one a row: 131 of them fit on 100 m."""
    job = cut_list_of((background_square(30),), {"background": 140}, _open(background=140))
    with pytest.raises(UnmetError, match=r"^tide: 140 backgrounds asked, 131 fit on 100 m, the longest that"):
        nested(job, USUAL)


def test_a_length_too_short_is_found_out() -> None:
    """Before it leaves the nest."""
    cut_list = cut_list_of((background_square(4),), {"background": 3}, _open(background=3))
    layout = nested(cut_list, WIDE)
    law = Law(cut_list, WIDE.mat, WIDE.machine)
    assert list(faults_of(layout, law)) == []
    tally = layout.tallies[0]
    for length, buy in ((3.9, 4.5), (4.0, 3.9)):
        wrong = replace(tally, bought=Bought(42 * IN, length * IN, buy * IN))
        broken = list(faults_of(replace(layout, tallies=(wrong,)), law))
        assert broken == ["the rough cut of tide for load-01 ends beyond what is to be bought"]


def _yardage(*shapes: Shape) -> Yardage:
    """A cutter off the roll, for a mat that takes 11 by 12 in."""
    solver = Solver(shapes, gap_mm=0.0, clock=Clock(effort=Effort(1, 10)))
    reach = Reach((Rect(0.0, 0.0, 11 * IN, 12 * IN),), ())
    return Yardage(shapes, reach, solver, mark_mm=IN / 8)


@pytest.mark.parametrize("count", [1, 7, 40])
def test_the_best_rows_are_found_without_laying_all(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same way comes out as if every way were laid; some need not be, as a bound already says."""
    cloth, yardage = cloth_of(_open(width=22)), _yardage(_rectangle("flag", 3, 2))
    ways = [
        (index, number, low)
        for index, way in enumerate(yardage._ways(cloth))
        for number, low in yardage._row_ways(cloth, way, "flag")
    ]
    choices = []
    for index, number, low in ways:
        band = yardage._band(cloth, low, (("flag", count),), yardage._lay_quickly)
        bands = math.ceil(count * number / sum(map(len, band)) - 1e-6)
        long = round(bands * low.most_mm / number, 3)
        choices.append((long, len(low.columns_mm), -number, index, low))
    laid: list[object] = []
    lay = Yardage._band
    monkeypatch.setattr(Yardage, "_band", lambda *all_: laid.append(all_) or lay(*all_))
    assert yardage._best_rows(cloth, "flag", count) == min(choices, key=lambda choice: choice[:4])[4]
    looks = len(yardage._ways(cloth))  # each is laid once to see how pieces turn
    assert len(laid) - looks < len(ways)


@pytest.mark.parametrize(("squares", "searched"), [(12, False), (14, True), (15, False)])
def test_a_length_is_searched_only_where_a_search_may_add_what_lacks(
    squares: int, searched: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two cells of 11 by 12 in hold twelve squares of 4 in: two more are searched for, three are not."""
    asked: list[Wanted] = []
    fill = Solver.fill

    def counted(solver: Solver, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        asked.append(wanted)
        return fill(solver, container, wanted)

    monkeypatch.setattr(Solver, "fill", counted)
    cloth = cloth_of(replace(_open(width=22), print_=Print.ONE_WAY))
    yardage = _yardage(_rectangle("square", 4, 4), _rectangle("flag", 1, 1))
    way = _Way((11 * IN, 11 * IN), 12 * IN)
    band = yardage._all_on(cloth, way, (("square", squares), ("flag", 1)))
    assert (band is None) == (squares > 12)
    assert bool(asked) == searched
