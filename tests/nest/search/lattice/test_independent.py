"""Largest independent sets: against trying every set, and on grids whose answer is known."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.nest.base.clock import Clock
from cutfiles.nest.search.lattice.independent import Graph

ENOUGH = 100_000


@st.composite
def graphs(draw: st.DrawFn) -> Graph:
    """Graphs of up to 12 vertices."""
    count = draw(st.integers(1, 12))
    clashes = [0] * count
    for i in range(count):
        for j in range(i):
            if draw(st.booleans()):
                clashes[i] |= 1 << j
                clashes[j] |= 1 << i
    return Graph(clashes)


def is_choice(graph: Graph, vertices: tuple[int, ...]) -> bool:
    """Return whether no two clash and none is there twice."""
    bits = sum(1 << vertex for vertex in vertices)
    return len(set(vertices)) == len(vertices) and not any(
        graph.clashes[vertex] & bits for vertex in vertices
    )


def most_of(graph: Graph) -> int:
    """Return the size of the largest choice by trying every set of vertices."""
    best = 0
    for bits in range(1 << len(graph.clashes)):
        vertices = [vertex for vertex in range(len(graph.clashes)) if bits >> vertex & 1]
        if len(vertices) > best and not any(graph.clashes[vertex] & bits for vertex in vertices):
            best = len(vertices)
    return best


@settings(max_examples=60, deadline=None)
@given(graph=graphs())
def test_branch_and_bound_finds_the_most(graph: Graph) -> None:
    """From nothing, and from a choice that is no good start; the cover of cliques is never below it."""
    most = most_of(graph)
    for start in ((), (0,)):
        choice = graph.largest(start, nodes=ENOUGH, clock=Clock())
        assert choice.proven
        assert is_choice(graph, choice.vertices)
        assert len(choice.vertices) == most
    assert graph.cover() >= most


@settings(max_examples=60, deadline=None)
@given(graph=graphs(), kicks=st.integers(0, 20))
def test_swaps_keep_to_choices_and_never_lose(graph: Graph, kicks: int) -> None:
    """What comes out can't be added to, and is no smaller than what went in."""
    start = graph.largest((), nodes=3, clock=Clock()).vertices
    choice = graph.improved(start, most=99, kicks=kicks, clock=Clock())
    assert is_choice(graph, choice)
    assert len(start) <= len(choice) <= most_of(graph)
    taken = 0
    for vertex in choice:
        taken |= 1 << vertex | graph.clashes[vertex]
    assert taken == graph.everything
    assert graph.improved(start, most=99, kicks=kicks, clock=Clock()) == choice


def kings(side: int) -> Graph:
    """Return the squares of a board, those clashing that a king steps between."""
    squares = [(x, y) for y in range(side) for x in range(side)]
    return Graph(
        [
            sum(
                1 << other
                for other, (to_x, to_y) in enumerate(squares)
                if 0 < max(abs(to_x - x), abs(to_y - y)) <= 1
            )
            for x, y in squares
        ]
    )


@pytest.mark.parametrize(("side", "most"), [(5, 9), (7, 16), (8, 16)])
def test_kings_on_a_board(side: int, most: int) -> None:
    """One king to every block of two by two, ⌈side/2⌉² in all: a puzzle of old, worked out by hand."""
    graph = kings(side)
    assert graph.cover() == most
    assert len(graph.improved((), most=99, kicks=200, clock=Clock())) == most


def test_swaps_climb_out_of_a_bad_start() -> None:
    """A path of three with its middle taken needs a swap; one of seven with every other a kick."""
    assert _path(3).improved((1,), most=99, kicks=0, clock=Clock()) == (0, 2)
    assert _path(7).improved((1, 3, 5), most=99, kicks=0, clock=Clock()) == (1, 3, 5)
    assert _path(7).improved((1, 3, 5), most=99, kicks=50, clock=Clock()) == (0, 2, 4, 6)


def _path(count: int) -> Graph:
    return Graph([sum(1 << j for j in (i - 1, i + 1) if 0 <= j < count) for i in range(count)])


def test_a_proof_that_runs_out_of_work_is_none() -> None:
    """It says so, and keeps the best that it had."""
    choice = kings(6).largest((0,), nodes=2, clock=Clock())
    assert not choice.proven
    assert choice.vertices
    assert len(kings(6).improved((), most=4, kicks=50, clock=Clock())) == 4
