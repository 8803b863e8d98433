"""Short lengths of cloth: everything lies on it, apart, and never on more than the start."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Circle, Path, area, ring
from cutfiles.nest.base.clock import Clock, Effort, StripWork
from cutfiles.nest.base.orientations import Orientations
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.greedy.packing import never
from cutfiles.nest.search.nofit.half_planes import HalfPlanes
from cutfiles.nest.search.nofit.simplified import FINER
from cutfiles.nest.search.solver import Solver
from cutfiles.nest.search.strip.compact import Compaction
from cutfiles.nest.search.strip.improve import StripImprovement
from cutfiles.nest.search.strip.proposal import Proposal, StripTask, is_there
from cutfiles.pieces.shape import Shape
from tests.nest.concave_shapes import ELL
from tests.nest.shapes import QUARTERS, clashes, square, strip_of, where
from tests.strategies import convex_outlines

SOME = Effort(1, 50)


def end(placed: tuple[PlacedItem, ...]) -> float:
    """Where the last piece ends, measured by shapely."""
    return max(where(placed_item).bounds[3] for placed_item in placed)


@pytest.mark.parametrize(("count", "rows"), [(1, 1), (3, 1), (4, 2), (7, 3)])
def test_squares_side_by_side_take_the_length_that_one_counts(count: int, rows: int) -> None:
    """Three squares of 50 mm lie in 154 mm with gaps of 2 mm, the margin of 5 mm at both ends."""
    solver = Solver((square(50.0),), gap_mm=2.0, clock=Clock(effort=SOME))
    placed = solver.shortest(strip_of(164.0, margin=5.0), (("square", count),))
    assert placed is not None
    assert len(placed) == count
    assert end(placed) == pytest.approx(5 + rows * 50 + (rows - 1) * 2, abs=1e-4)


def test_what_the_ground_is_too_short_for_is_refused() -> None:
    """Four squares of 50 mm in two rows need 100 mm."""
    solver = Solver((square(50.0),), gap_mm=0.0, clock=Clock())
    assert solver.shortest(strip_of(110.0, length=99.0), (("square", 4),)) is None
    assert solver.shortest(strip_of(110.0, length=100.0), (("square", 4),)) is not None
    assert solver.shortest(strip_of(110.0), (("square", 0),)) == ()


def test_discs_come_nearer_than_rows() -> None:
    """Two rows of discs of 40 mm, one pushed into the hollows of the other: 20·(2 + √3) mm, not 80."""
    solver = Solver(
        (Shape("disc", Circle(0, 0, 20), (), symmetric=True),), gap_mm=0.0, clock=Clock(effort=SOME)
    )
    placed = solver.shortest(strip_of(180.0), (("disc", 8),))
    assert placed is not None
    # Their rings lie a hair outside of the circles, so the circles are measured.
    middles = [(placed_item.x_mm, placed_item.y_mm) for placed_item in placed]
    assert min(math.dist(*pair) for pair in combinations(middles, 2)) >= 40 - 1e-6
    assert max(y for _, y in middles) + 20 == pytest.approx(20 * (2 + math.sqrt(3)), abs=1e-6)


@settings(max_examples=4, deadline=None)
@given(
    outlines=st.tuples(convex_outlines(), convex_outlines()),
    counts=st.tuples(st.integers(1, 4), st.integers(1, 4)),
)
def test_a_strip_holds_all_apart_and_is_never_shorter_than_the_cloth_in_it(
    outlines: tuple[Path, Path], counts: tuple[int, int]
) -> None:
    """Any two shapes: all of both lie in the strip a gap apart; searched, it is no longer than built."""
    shapes = [Shape(name, outline, (), symmetric=False) for name, outline in zip("ab", outlines, strict=True)]
    wanted = tuple(zip("ab", counts, strict=True))
    strip = strip_of(260.0, turns=QUARTERS)
    built = Solver(shapes, gap_mm=1.0, clock=Clock()).shortest(strip, wanted)
    placed = Solver(shapes, gap_mm=1.0, clock=Clock(effort=SOME)).shortest(strip, wanted)
    assert placed is not None
    assert built is not None
    assert sorted(placed_item.item.shape for placed_item in placed) == ["a"] * counts[0] + ["b"] * counts[1]
    assert clashes(placed, 1.0) == []
    assert end(placed) <= end(built) + 1e-6
    assert end(placed) * 260.0 >= sum(
        area(shape.cut) * n for shape, (_, n) in zip(shapes, wanted, strict=True)
    )
    box = shapely.box(-1e-3, -1e-3, 260.001, 2000.001)
    assert all(box.covers(where(placed_item).buffer(-0.02)) for placed_item in placed)


def test_a_strip_is_shortened_and_the_same_each_time() -> None:
    """Ells laid one above the other, though they lie side by side: the strip gets shorter, twice alike."""
    items = Orientations((ELL,)).on(strip_of(130.0, turns=QUARTERS), "ell")
    start = tuple(PlacedItem(items[0], 0.0, 61.0 * number) for number in range(4))
    strips = []
    for _ in range(2):
        strip = StripImprovement(Compaction(HalfPlanes(items, gap_mm=1.0, detail=FINER), width_mm=130.0))
        strips.append(strip.shortened(start, work=StripWork(60, 10**9), seed=3, stop=lambda: False))
    assert end(strips[0]) < 0.8 * end(start)
    assert clashes(strips[0], 1.0) == []
    assert [(placed_item.item.turn_deg, placed_item.x_mm, placed_item.y_mm) for placed_item in strips[0]] == [
        (placed_item.item.turn_deg, placed_item.x_mm, placed_item.y_mm) for placed_item in strips[1]
    ]


def test_a_proposal_a_hair_too_near_is_put_right() -> None:
    """Two squares that overlap by a tenth of a micrometre and one that sticks out: pushed apart and in."""
    items = Orientations((square(50.0),)).on(strip_of(100.0), "square")
    strip = StripImprovement(Compaction(HalfPlanes(items, gap_mm=0.0, detail=FINER), width_mm=101.0))
    proposal = (
        PlacedItem(items[0], -1e-4, 0.0),
        PlacedItem(items[0], 49.9999, 1e-4),
        PlacedItem(items[0], 3.0, 49.9999),
    )
    right = strip.put_right(proposal, stop=never)
    assert right is not None
    assert clashes(right, 0.0) == []
    assert end(right) == pytest.approx(100.0, abs=0.1)


def test_the_outside_solver_lies_where_our_frame_says() -> None:
    """What it proposes for lopsided pieces at several turns overlaps by no more than its rounding."""
    assert is_there(), "the solver is one of the tools for development"
    shapes = (ELL, Shape("flag", ring((10, 5), (70, 5), (10, 45)), (), symmetric=False))
    items = Orientations(shapes).on(strip_of(150.0, turns=QUARTERS), "ell", "flag")
    proposal = Proposal(StripTask(items, (("ell", 3), ("flag", 2)), 150.0, 1.0), seconds=1, workers=1)
    placed = proposal.answer()
    assert placed is not None
    assert sorted(placed_item.item.shape for placed_item in placed) == ["ell"] * 3 + ["flag"] * 2
    assert clashes(placed, 0.9) == []
    assert all(shapely.box(-0.01, -0.01, 150.01, 500).covers(where(placed_item)) for placed_item in placed)


def test_more_tries_never_give_a_longer_strip() -> None:
    """Flags and ells from one start: the more changes are tried, the shorter, at last by a tenth."""
    shapes = (ELL, Shape("flag", ring((10, 5), (70, 5), (10, 45)), (), symmetric=False))
    items = Orientations(shapes).on(strip_of(150.0, turns=QUARTERS), "ell", "flag")
    first = {name: next(item for item in items if item.shape == name) for name in ("ell", "flag")}
    start = tuple(PlacedItem(first[name], 0.0, 62.0 * n) for n, name in enumerate(["ell", "flag"] * 3))
    strip = StripImprovement(Compaction(HalfPlanes(items, gap_mm=1.0, detail=FINER), width_mm=150.0))
    lengths = [
        end(strip.shortened(start, work=StripWork(tries, 10**9), seed=0, stop=lambda: False))
        for tries in (0, 5, 40, 160)
    ]
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[-1] < 0.9 * lengths[0] < 0.9 * end(start)


def test_rows_of_programs_end_a_search_as_tries_do() -> None:
    """What bays cost is counted: a bound on rows breaks off where the bound on tries would go on for long."""
    items = Orientations((ELL,)).on(strip_of(130.0, turns=QUARTERS), "ell")
    start = tuple(PlacedItem(items[0], 0.0, 61.0 * number) for number in range(4))
    asked = []

    def shortened(work: StripWork) -> float:
        strip = StripImprovement(Compaction(HalfPlanes(items, gap_mm=1.0, detail=FINER), width_mm=130.0))
        asked.append(0)

        def count() -> bool:
            asked[-1] += 1
            return False

        return end(strip.shortened(start, work=work, seed=3, stop=count))

    lengths = [shortened(StripWork(60, rows)) for rows in (1, 500, 10**9)]
    assert asked[0] < asked[1] < asked[2]
    assert lengths[0] >= lengths[1] >= lengths[2]
    assert shortened(StripWork(0, 10**9)) == lengths[0]  # shifted together once, nothing tried


def test_a_search_that_is_stopped_keeps_what_it_has() -> None:
    """Told to stop at once, it keeps the pieces where they lie: even a linear program takes time."""
    items = Orientations((square(50.0),)).on(strip_of(60.0), "square")
    start = (PlacedItem(items[0], 3.0, 0.0), PlacedItem(items[0], 0.0, 90.0))
    strip = StripImprovement(Compaction(HalfPlanes(items, gap_mm=2.0, detail=FINER), width_mm=60.0))
    stopped = strip.shortened(start, work=StripWork(1000, 10**9), seed=0, stop=lambda: True)
    assert [(item.x_mm, item.y_mm) for item in stopped] == [(3.0, 0.0), (0.0, 90.0)]


def test_without_a_time_limit_nobody_outside_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """It stops by the clock; a job without a limit must come out the same each time."""

    def asked(*_: object, **__: object) -> None:
        raise AssertionError("asked")

    monkeypatch.setattr("cutfiles.nest.search.strip.shortest.Proposal", asked)
    solver = Solver((square(50.0),), gap_mm=0.0, clock=Clock(effort=SOME))
    assert solver.shortest(strip_of(110.0), (("square", 4),)) is not None
