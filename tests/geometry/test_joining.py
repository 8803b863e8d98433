"""Lines that meet end to end: outlines taken apart, shuffled and turned are put together again."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.joining import followed, loops, meetings, walks
from cutfiles.geometry.outline import Path, Vertex, area, length, line
from cutfiles.geometry.pose import Pose, placed
from tests.strategies import bulged_paths


def _apart(outline: Path) -> list[Path]:
    return [Path((edge.vertex(), Vertex(*edge.end)), closed=False) for edge in edges_of(outline)]


@given(first=bulged_paths(), second=bulged_paths(), data=st.data())
@settings(max_examples=60, deadline=None)
def test_outlines_taken_apart_are_put_together_again(first: Path, second: Path, data: st.DataObject) -> None:
    """Two of them, their edges in any order and run either way: two closed walks of the same area."""
    outlines = [first, placed(second, Pose(1000, 0))]
    edges = data.draw(st.permutations([edge for outline in outlines for edge in _apart(outline)]))
    turned = data.draw(st.lists(st.booleans(), min_size=len(edges), max_size=len(edges)))
    lines = [edge.backwards() if back else edge for edge, back in zip(edges, turned, strict=True)]
    near = meetings(lines, within_mm=1e-3, most=2)
    for partners in (near.sole_partners(), near.nearest(lines)):
        made = []
        for walk in walks(len(lines), partners):
            assert walk.closed
            number, forwards = walk.steps[0]
            assert forwards
            assert number == min(each for each, _ in walk.steps)
            corners = [vertex for path in walk.paths(lines) for vertex in path.vertices[:-1]]
            made.append(Path(tuple(corners), closed=True))
        assert sorted(abs(area(path)) for path in made) == pytest.approx(
            sorted(abs(area(path)) for path in outlines), rel=1e-9
        )
        assert sum(map(length, made)) == pytest.approx(sum(map(length, outlines)), rel=1e-9)


def test_a_chain_is_walked_from_its_beginning() -> None:
    """Wherever its lowest number stands in it, and that one is run forwards."""
    lines = [line((20, 0), (10, 0)), line((0, 0), (10, 0)), line((30, 5), (20, 0))]
    (walk,) = walks(3, meetings(lines, within_mm=0.01, most=2).sole_partners())
    assert walk.steps == ((2, True), (0, True), (1, False))
    assert not walk.closed


def test_where_three_ends_meet_nobody_knows_which_goes_on() -> None:
    """Lonely ends alone have a partner; by distance the nearest two have."""
    lines = [line((0, 0), (10, 0)), line((10, 0.02), (20, 0)), line((10, 0.001), (10, 9))]
    near = meetings(lines, within_mm=0.05, most=8)
    assert near.sole_partners() == {}
    assert near.nearest(lines) == {(0, 1): (2, 0), (2, 0): (0, 1)}
    assert meetings(lines, within_mm=0.05, most=2).is_crowded


def test_a_million_lines_to_one_point_are_not_compared_with_each_other() -> None:
    """A fan of 40,000 would take 1.6 thousand million pairs; what lies apart from it is found."""
    fan = [line((0, 0), (math.cos(turn), math.sin(turn))) for turn in range(40_000)]
    lines = [*fan, line((50, 0), (60, 0)), line((60, 0), (60, 9))]
    near = meetings(lines, within_mm=1e-9, most=2)
    assert near.is_crowded
    assert near.pairs == (((40_000, 1), (40_001, 0)),)


@given(outline=bulged_paths(), data=st.data())
@settings(max_examples=40, deadline=None)
def test_loops_leave_dead_ends_out(outline: Path, data: st.DataObject) -> None:
    """Edges that lead nowhere, and ones that nothing leads to."""
    edges = edges_of(outline)
    corner = edges[0].start
    away = (corner[0] + 500, corner[1])
    dead = [*edges_of(line(corner, away)), *edges_of(line((corner[0], corner[1] + 500), edges[-1].start))]
    (loop,) = loops(data.draw(st.permutations([*edges, *dead])), within_mm=1e-6)
    assert area(loop) == pytest.approx(area(outline), rel=1e-9)
    assert len(loop.vertices) == len(outline.vertices)


def test_an_arc_goes_on_from_either_end() -> None:
    """And keeps its side: run backwards a bulge changes its sign."""
    straight = line((0, 0), (10, 0))
    arc = Path((Vertex(20, 0, 0.5), Vertex(10, 0)), closed=False)
    joined = followed(straight, arc, within_mm=1e-3, turnable=False)
    assert joined is not None
    assert joined.vertices[:2] == (Vertex(0, 0), Vertex(10, 0, -0.5))
    assert followed(line((10, 0), (0, 0)), arc, within_mm=1e-3, turnable=False) is None
    assert followed(line((10, 0), (0, 0)), arc, within_mm=1e-3, turnable=True) == joined
