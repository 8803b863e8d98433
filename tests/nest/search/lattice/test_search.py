"""As many pieces on the places of a repeat as can be: against trying every choice."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import FabricSpec, Face, Grain, Print
from cutfiles.nest.search.lattice import search
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import Shape
from cutfiles.tips.registry import Tip
from tests.nest.concave_shapes import ELL
from tests.nest.jobs import blade_of, fabric_of, usual_shapes
from tests.nest.measured import laid_at, may_turn, points_of
from tests.nest.printed import SAME_MM, container_of, repeats, with_repeat

BLADE = blade_shape(blade_of(length=2.5))


@st.composite
def tiny_grounds(draw: st.DrawFn) -> tuple[FabricSpec, Shape, float]:
    """A small fabric whose positions a person could try one by one."""
    shape = draw(st.sampled_from([BLADE, blade_shape(blade_of(9, length=2, tip=Tip.FLAT)), ELL]))
    fabric = fabric_of(
        size=(draw(st.floats(3, 8)), draw(st.floats(3, 8))),
        print_=draw(st.sampled_from(Print)),
        grain=draw(st.sampled_from(Grain)),
        face=draw(st.sampled_from(Face)),
        margin=draw(st.sampled_from([0.0, 0.125])),
    )
    width, length = draw(st.floats(0.8, 3)), draw(st.floats(0.8, 3))
    fabric = with_repeat(
        fabric, width, length, (draw(st.floats(0, 1)) * width, draw(st.floats(0, 1)) * length)
    )
    return fabric, shape, draw(st.sampled_from([0.0, 1.5]))


def positions_by_hand(fabric: FabricSpec, shape: Shape) -> list[shapely.Polygon]:
    """Return every piece that could be cut, alone: all places of the motif, at every quarter turn allowed."""
    repeat = fabric.repeat
    assert repeat is not None
    margin = fabric.margin_mm - SAME_MM
    room = shapely.box(margin, margin, fabric.width_mm - margin, fabric.length_mm - margin)
    wrong = fabric.face is Face.WRONG_SIDE_UP
    pieces = []
    for turn in (0.0, 90.0, 180.0, 270.0):
        if not may_turn(fabric, 0.0, turn):
            continue
        for i in range(-12, 24):
            for j in range(-12, 24):
                x, y = repeat.motif[0] + i * repeat.width_mm, repeat.motif[1] + j * repeat.length_mm
                x = fabric.width_mm - x if wrong else x
                pose = Pose(x, y, turn, wrong and not shape.symmetric)
                piece = shapely.Polygon(laid_at(points_of(shape.cut), pose))
                if room.covers(piece):
                    pieces.append(piece)
    return pieces


def most_by_hand(pieces: list[shapely.Polygon], gap: float) -> int:
    """Return the most pieces of which no two are nearer than the gap, by trying with and without each."""
    count = len(pieces)
    near = np.zeros((count, count), dtype=bool)
    for i in range(count):
        for j in range(i):
            overlap = pieces[i].intersection(pieces[j]).area > 1e-3
            near[i, j] = near[j, i] = overlap or pieces[i].distance(pieces[j]) < gap

    def most(left: frozenset[int]) -> int:
        if not left:
            return 0
        # A piece with at most one rival may be taken; else the one with most rivals is tried both ways.
        rivals = {piece: frozenset(rival for rival in left if near[piece, rival]) for piece in left}
        least = min(left, key=lambda piece: (len(rivals[piece]), piece))
        if len(rivals[least]) <= 1:
            return 1 + most(left - rivals[least] - {least})
        worst = max(left, key=lambda piece: (len(rivals[piece]), piece))
        return max(most(left - {worst}), 1 + most(left - rivals[worst] - {worst}))

    return most(frozenset(range(count)))


@settings(max_examples=25, deadline=None)
@given(tiny=tiny_grounds())
def test_few_positions_give_the_most_there_is(tiny: tuple[FabricSpec, Shape, float]) -> None:
    """As many as trying every choice gives; the bound says so, too. The gap's corners may stray by 1 %."""
    fabric, shape, gap = tiny
    pieces = positions_by_hand(fabric, shape)
    if len(pieces) > 30:
        pieces = []
    solver, container = container_of(fabric, shape, gap)
    count = len(solver.maximise(container, shape.name))
    if pieces:
        assert most_by_hand(pieces, gap * 1.012 + SAME_MM) <= count <= most_by_hand(pieces, gap - SAME_MM)
        assert solver.proven_bound(container, shape.name) == count
    assert len(solver.estimate(container, shape.name)) <= count <= solver.proven_bound(container, shape.name)


WIDER = (
    (Print.ONE_WAY, Grain.STRAIGHT),
    (Print.TWO_WAY, Grain.STRAIGHT),
    (Print.FOUR_WAY, Grain.STRAIGHT),
    (Print.PLAIN, Grain.ANY),
)


def under_wider_rules(fabric: FabricSpec) -> list[int]:
    """Return how many blades are found under rules each of which allows what the one before does."""
    counts = []
    for print_, grain in WIDER:
        solver, container = container_of(replace(fabric, print_=print_, grain=grain), usual_shapes()[0], 1.5)
        counts.append(len(solver.maximise(container, "blade")))
    return counts


@settings(max_examples=8, deadline=None)
@given(fabric=repeats())
def test_a_wider_rule_gives_no_less(fabric: FabricSpec) -> None:
    """Of prints: one-way, two-way, four-way; of grain: straight, any."""
    assert all(wider >= narrower for narrower, wider in pairwise(under_wider_rules(fabric)))


def test_a_wider_rule_gives_no_less_where_greedy_rules_are_all_there_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As where positions are too many for swaps: alone they find 18 both ways here, 17 four ways; 9 and 8."""
    monkeypatch.setattr(search, "_MANY", 0)
    for size, repeat, motif in (((12, 18), (0.8, 0.6), (0.1, 0)), ((8, 16), (0.5, 0.5), (0.2, 0))):
        counts = under_wider_rules(with_repeat(fabric_of(size=size), *repeat, motif))
        assert all(wider >= narrower for narrower, wider in pairwise(counts))


def test_fewer_pieces_than_fit_leave_the_rest_whole() -> None:
    """Four of the twelve lie in one row: the rest of the cloth is one rectangle."""
    fabric = with_repeat(fabric_of(size=(12, 18), print_=Print.ONE_WAY), 3, 6, (1.5, 0.25))
    solver, container = container_of(fabric, usual_shapes()[0], 1.5)
    assert len(solver.maximise(container, "blade")) == 8
    placed = solver.fill(container, (("blade", 4),))
    assert len(placed) == 4
    assert len({round(placed_item.y_mm, 6) for placed_item in placed}) == 1
    assert solver.fill(container, (("blade", 9),)) == solver.maximise(container, "blade")


def test_a_print_finer_than_the_pieces_is_filled_in_seconds() -> None:
    """Hundreds of thousands of positions: greedy rules alone, and no worse than rows."""
    fabric = with_repeat(fabric_of(size=(24, 36), print_=Print.TWO_WAY), 0.12, 0.12, (0, 0))
    solver, container = container_of(fabric, usual_shapes()[0], 1.5)
    assert len(solver.maximise(container, "blade")) >= 80
