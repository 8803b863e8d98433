"""The order of runs: each once, and never a longer way than the order given."""

from __future__ import annotations

import math
import random
from itertools import pairwise, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Circle, Contour, Point, line, ring
from cutfiles.toolpath.order import improve
from cutfiles.toolpath.order.improve import improved
from cutfiles.toolpath.order.neighbours import neighbours_of
from cutfiles.toolpath.order.travel import DirectedRun, ends_of, in_short_order, run_backwards, travel_of
from cutfiles.toolpath.order.within import shortened

points = st.tuples(st.integers(0, 300), st.integers(0, 300))
runs = st.tuples(points, points | st.none()).map(lambda ends: (ends[0], ends[1] or ends[0]))


def way(order: list[DirectedRun], ends: list[tuple[Point, Point]]) -> float:
    """Return how far the tool travels between runs, from the mat's corner on."""
    here, total = (0.0, 0.0), 0.0
    for step in order:
        begin, end = ends[step.run][:: -1 if step.backwards else 1]
        total += math.dist(here, begin)
        here = end
    return total


def as_given(ends: list[tuple[Point, Point]]) -> list[DirectedRun]:
    """Return the order in which the runs came."""
    return [DirectedRun(index, backwards=False) for index in range(len(ends))]


@given(ends=st.lists(runs, max_size=30))
def test_every_run_comes_once_and_the_way_is_no_longer_than_as_given(ends: list[tuple[Point, Point]]) -> None:
    """A permutation of what was given, and travel never grows."""
    order = in_short_order(ends)
    assert sorted(step.run for step in order) == list(range(len(ends)))
    assert way(order, ends) <= way(as_given(ends), ends) + 1e-6


@settings(max_examples=40, deadline=None, derandomize=True)
@given(ends=st.lists(runs, min_size=1, max_size=5))
def test_the_way_is_near_the_shortest_of_all(ends: list[tuple[Point, Point]]) -> None:
    """For a few runs every order and direction can be tried: ours is at most a third longer."""
    shortest = min(
        way([DirectedRun(run, back) for run, back in zip(order, backs, strict=True)], ends)
        for order in permutations(range(len(ends)))
        for backs in product((False, True), repeat=len(ends))
    )
    assert way(in_short_order(ends), ends) <= shortest * 1.34 + 1e-6


@given(ends=st.lists(runs, max_size=25), seed=st.integers(0, 99))
def test_improving_keeps_every_run_and_never_lengthens(ends: list[tuple[Point, Point]], seed: int) -> None:
    """From any order at all, runs turned any way; the first stays first."""
    places = [(0.0, 0.0), (0.0, 0.0), *(point for pair in ends for point in pair)]
    chance = random.Random(seed)
    tour = [2 * run + chance.randint(0, 1) for run in chance.sample(range(1, len(ends) + 1), len(ends))]
    shorter = improved(places, [0, *tour])

    def far(order: list[int]) -> float:
        return sum(math.dist(places[a ^ 1], places[b]) for a, b in pairwise(order))

    assert sorted(begin >> 1 for begin in shorter) == list(range(len(ends) + 1))
    assert shorter[0] == 0
    assert far(shorter) <= far([0, *tour]) + 1e-6


@given(ends=st.lists(points, max_size=60))
def test_neighbours_are_other_runs_nearest_first(ends: list[Point]) -> None:
    """None of an end's neighbours is its own run's, and they come by distance."""
    ends = ends[: len(ends) // 2 * 2]
    for end, near in enumerate(neighbours_of(ends)):
        away = [math.dist(ends[end], ends[other]) for other in near]
        assert away == sorted(away)
        assert all(other >> 1 != end >> 1 for other in near)


def test_the_nearest_run_is_next_and_may_be_run_backwards() -> None:
    """From the corner outwards, whatever order they came in, from the near end of each."""
    ends = [((91.0, 0.0), (90.0, 0.0)), ((10.0, 0.0), (11.0, 0.0)), ((50.0, 0.0), (51.0, 0.0))]
    assert in_short_order(ends) == [DirectedRun(1, False), DirectedRun(2, False), DirectedRun(0, True)]


def test_nothing_to_run_is_an_empty_order() -> None:
    """A load without strokes is no special case."""
    assert in_short_order([]) == []
    assert travel_of([]) == 0.0


@pytest.mark.parametrize("columns", [1, 48])
def test_the_work_grows_little_faster_than_the_runs(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times as many runs, on a grid or in one row, take less than eight times as many looks."""
    looks = 0
    plain = improve._Search._apart

    def counted(self: improve._Search, first: int, second: int | None) -> float:
        nonlocal looks
        looks += 1
        return plain(self, first, second)

    monkeypatch.setattr(improve._Search, "_apart", counted)
    counts = []
    for count in (300, 1200):
        looks = 0
        points = [(5.0 * (index % columns), 9.0 * (index // columns)) for index in range(count)]
        random.Random(7).shuffle(points)
        assert len(in_short_order([(point, point) for point in points])) == count
        counts.append(looks)
    assert 0 < counts[0] < counts[1] < 8 * counts[0]


@st.composite
def strokes(draw: st.DrawFn) -> Contour:
    """Lines, circles and triangles anywhere on a mat."""
    x, y = draw(points)
    kind = draw(st.sampled_from(["line", "circle", "ring"]))
    if kind == "circle":
        return Circle(float(x), float(y), 5.0)
    if kind == "ring":
        return ring((x, y), (x + 9, y), (x, y + 9))
    end_x, end_y = draw(points)
    return line((x, y), (end_x + 0.5, end_y))


def between(paths: list[Contour]) -> float:
    """Return the way within a piece, without that to its first stroke."""
    first = paths[0]
    start = (first.x + first.radius, first.y) if isinstance(first, Circle) else first.vertices[0][:2]
    return travel_of(paths) - math.dist((0, 0), start)


@given(pieces=st.lists(st.lists(strokes(), min_size=1, max_size=8), max_size=6))
def test_a_pieces_strokes_all_stay_and_their_way_never_grows(pieces: list[list[Contour]]) -> None:
    """Each stroke once, as it was or run backwards, whatever the other pieces are."""
    orders = shortened([[ends_of(path) for path in paths] for paths in pieces])
    for given_paths, order in zip(pieces, orders, strict=True):
        assert sorted(step.run for step in order) == list(range(len(given_paths)))
        drawn = [run_backwards(given_paths[s.run]) if s.backwards else given_paths[s.run] for s in order]
        assert between(drawn) <= between(given_paths) + 1e-6
