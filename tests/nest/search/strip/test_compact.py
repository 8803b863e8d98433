"""Pieces shifted together and apart: measured by shapely, and against lengths in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from cutfiles.geometry.outline import Circle, Path
from cutfiles.nest.base.orientations import Orientations
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.search.greedy.packing import never
from cutfiles.nest.search.nofit.half_planes import HalfPlanes
from cutfiles.nest.search.nofit.simplified import FINER
from cutfiles.nest.search.overlap.separate import Positions
from cutfiles.nest.search.strip.compact import Compaction
from cutfiles.nest.search.strip.separating_edges import separating_edges
from cutfiles.pieces.shape import Shape
from tests.nest.concave_shapes import ELL
from tests.nest.shapes import QUARTERS, square, strip_of
from tests.strategies import convex_outlines

WIDE = 300.0
DISC = Shape("disc", Circle(0, 0, 20), (), symmetric=True)


def planes_of(*shapes: Shape, gap_mm: float = 0.0, turns: tuple[float, ...] = (0.0,)) -> HalfPlanes:
    """The half planes of all items of some shapes."""
    items = Orientations(shapes).on(strip_of(WIDE, turns=turns), *(shape.name for shape in shapes))
    return HalfPlanes(items, gap_mm=gap_mm, detail=FINER)


def at(*places: tuple[int, float, float]) -> Positions:
    """Pieces of some kinds at some places."""
    indices, x, y = zip(*places, strict=True)
    return Positions(np.array(indices), np.array(x, dtype=float), np.array(y, dtype=float))


def polygons(half_planes: HalfPlanes, pieces: Positions) -> list[shapely.Polygon]:
    """The pieces as they lie, moved by shapely."""
    return [
        affinity.translate(shapely.Polygon(half_planes.items[kind].ring), x, y)
        for kind, x, y in zip(pieces.item_indices, pieces.x, pieces.y, strict=True)
    ]


def deepest(half_planes: HalfPlanes, pieces: Positions) -> float:
    """How much the worst pair overlaps, as the side of a square."""
    lying = polygons(half_planes, pieces)
    pairs = [(first, second) for n, first in enumerate(lying) for second in lying[:n]]
    return max((math.sqrt(first.intersection(second).area) for first, second in pairs), default=0.0)


def lopsided(item: OrientedItem) -> tuple[float, float]:
    """An item's lower left corner, from its origin."""
    return item.bounds[0], item.bounds[1]


@given(gaps=st.lists(st.floats(2.0, 60.0), min_size=1, max_size=5), gap_mm=st.sampled_from([0.0, 2.0]))
def test_a_column_of_squares_closes_up_to_the_gap(gaps: list[float], gap_mm: float) -> None:
    """However far apart they were: n squares of 50 mm take 50·n mm and the gaps between them."""
    half_planes = planes_of(square(50.0), gap_mm=gap_mm)
    places, y = [(0, 0.0, 0.0)], 0.0
    for more in gaps:
        y += 50 + more
        places.append((0, 3.0, y))
    compaction = Compaction(half_planes, width_mm=60.0)
    shifted = compaction.together(at(*places), never)
    count = len(places)
    assert compaction.length_mm(shifted) == pytest.approx(50 * count + gap_mm * (count - 1), abs=1e-5)


@pytest.mark.parametrize("width", [45.0, 60.0, 78.0])
def test_two_discs_end_up_in_both_corners(width: float) -> None:
    """Discs of 40 mm in a narrow strip touch aslant: 40 + √(40² − (width − 40)²) mm."""
    compaction = Compaction(planes_of(DISC), width_mm=width)
    shifted = compaction.together(at((0, 21.0, 20.0), (0, width - 22.0, 75.0)), never)
    expected = 40 + math.sqrt(40**2 - (width - 40) ** 2)
    # The tangent is an outer bound that is chosen anew a few times only.
    assert expected - 1e-6 <= compaction.length_mm(shifted) <= expected + 0.05


@settings(max_examples=25, deadline=None)
@given(
    outlines=st.lists(convex_outlines(), min_size=2, max_size=5), aside=st.lists(st.floats(0, 1), min_size=5)
)
def test_shifted_together_nothing_overlaps_or_sticks_out(outlines: list[Path], aside: list[float]) -> None:
    """Any pieces one above the other: on no longer a strip, all in it, and apart by shapely."""
    shapes = [Shape(f"s{n}", outline, (), symmetric=False) for n, outline in enumerate(outlines)]
    half_planes = planes_of(*shapes)
    places, top = [], 0.0
    for kind, item in enumerate(half_planes.items):
        left, low = lopsided(item)
        places.append((kind, aside[kind] * (WIDE - item.width_mm) - left, top - low))
        top += item.height_mm + 1.0
    before = at(*places)
    compaction = Compaction(half_planes, width_mm=WIDE)
    shifted = compaction.together(before, never)
    assert compaction.length_mm(shifted) <= compaction.length_mm(before)
    assert deepest(half_planes, shifted) < 0.01
    strip = shapely.box(0, 0, WIDE, compaction.length_mm(before)).buffer(1e-6)
    assert all(strip.covers(polygon) for polygon in polygons(half_planes, shifted))


@settings(max_examples=25, deadline=None)
@given(
    outlines=st.lists(convex_outlines(), min_size=2, max_size=4),
    places=st.lists(st.tuples(st.floats(0, 200), st.floats(0, 200)), min_size=4, max_size=4),
)
def test_what_was_shifted_apart_is_apart(outlines: list[Path], places: list[tuple[float, float]]) -> None:
    """Pieces anywhere on a long strip: if an answer comes, nothing overlaps and all lies in the strip."""
    shapes = [Shape(f"s{n}", outline, (), symmetric=False) for n, outline in enumerate(outlines)]
    half_planes = planes_of(*shapes)
    pieces = at(*((kind, *places[kind]) for kind in range(len(shapes))))
    shifted = Compaction(half_planes, width_mm=WIDE).separated(pieces, length_mm=2000.0, stop=never)
    if shifted is not None:
        assert deepest(half_planes, shifted) < 0.01
        strip = shapely.box(0, 0, WIDE, 2000).buffer(1e-6)
        assert all(strip.covers(polygon) for polygon in polygons(half_planes, shifted))


def test_overlapping_squares_move_apart_where_there_is_room_and_not_where_there_is_none() -> None:
    """Four squares of 50 mm near one spot fit into 100 by 100 mm, and into nothing less."""
    half_planes = planes_of(square(50.0))
    pieces = at((0, 20.0, 20.0), (0, 30.0, 21.0), (0, 20.0, 31.0), (0, 32.0, 30.0))
    shifted = Compaction(half_planes, width_mm=100.0).separated(pieces, length_mm=100.0, stop=never)
    assert shifted is not None
    assert sorted(zip(shifted.x.round(5).tolist(), shifted.y.round(5).tolist(), strict=True)) == [
        (0, 0), (0, 50), (50, 0), (50, 50),
    ]  # fmt: skip
    assert Compaction(half_planes, width_mm=100.0).separated(pieces, length_mm=99.0, stop=never) is None


@settings(max_examples=40, deadline=None)
@given(
    start=st.tuples(st.floats(-90, 90), st.floats(-90, 90)),
    move=st.tuples(st.floats(-40, 40), st.floats(-40, 40)),
    turns=st.tuples(st.integers(0, 3), st.integers(0, 3)),
)
def test_beyond_its_sides_a_pair_never_overlaps(
    start: tuple[float, float], move: tuple[float, float], turns: tuple[int, int]
) -> None:
    """Two ells at any turns, one moved: where all of its sides say beyond, shapely finds no overlap."""
    half_planes = planes_of(ELL, turns=QUARTERS)
    sides = separating_edges(half_planes, at((turns[0], 0.0, 0.0), (turns[1], *start)), 40.0)
    moved = at((turns[0], 0.0, 0.0), (turns[1], start[0] + move[0], start[1] + move[1]))
    if not len(sides.least) or sides.short_mm(moved).max() <= 0:
        assert deepest(half_planes, moved) < 0.01
