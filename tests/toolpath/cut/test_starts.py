"""Where outlines begin, and stretches of them."""

from __future__ import annotations

import math
from itertools import product

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Circle, Path, Vertex, length, ring
from cutfiles.geometry.points import points_on
from cutfiles.toolpath.cut.starts import begun_variously, best_starts
from cutfiles.toolpath.cut.stretch import begun_within, stretch
from cutfiles.toolpath.order.travel import travel_of
from tests.nest.jobs import usual_shapes
from tests.strategies import bulged_paths, convex_outlines
from tests.toolpath.castor import steps


def test_a_blade_never_begins_at_its_sharp_corners() -> None:
    """Its wide end's corners are below a right angle, its narrow end's above."""
    blade = usual_shapes()[0].cut
    assert isinstance(blade, Path)
    wide = max(vertex.y for vertex in blade.vertices)
    starts = begun_variously(blade)
    assert len(starts) == 2
    assert all(isinstance(start, Path) and start.vertices[0].y < wide - 1 for start in starts)


def test_outlines_whose_corners_are_alike_may_begin_at_any() -> None:
    """A square at each of its four, a circle where circles begin."""
    assert len(begun_variously(ring((0, 0), (9, 0), (9, 9), (0, 9)))) == 4
    assert begun_variously(Circle(0, 0, 5)) == [Circle(0, 0, 5)]


@settings(max_examples=30, deadline=None)
@given(outline=st.one_of(convex_outlines(), bulged_paths()), on_edges=st.booleans())
def test_begun_elsewhere_it_is_the_same_outline(outline: Path, on_edges: bool) -> None:
    """Same length, same direction, and every corner is still there."""
    for start in begun_variously(outline, on_edges_above_mm=1.0 if on_edges else None):
        assert isinstance(start, Path)
        assert length(start) == pytest.approx(length(outline))
        assert {vertex[:2] for vertex in outline.vertices} <= {vertex[:2] for vertex in start.vertices}


def test_the_middle_of_an_arc_is_on_the_arc() -> None:
    """Begun within an arc, both halves keep its circle."""
    dish = Path((Vertex(0, 0, 1.0), Vertex(10, 0), Vertex(10, 9)), closed=True)
    half = begun_within(dish, 0)
    assert half.vertices[0][:2] == pytest.approx((5.0, -5.0))


@settings(max_examples=15, deadline=None)
@given(outline=bulged_paths(), first=st.floats(-1.5, 1.5), share=st.floats(0.01, 1.9))
def test_a_stretch_is_as_long_as_asked_and_on_the_outline(outline: Path, first: float, share: float) -> None:
    """Wherever it begins, also before the first corner or running round again."""
    whole = length(outline)
    part = stretch(outline, from_mm=first * whole, to_mm=(first + share) * whole)
    assert length(part) == pytest.approx(share * whole, abs=1e-5)
    rim = shapely.LineString(steps(outline, 5.0))
    shapely.prepare(rim)
    on_it = points_on(part, stray_mm=0.01)
    assert shapely.distance(shapely.points(on_it), rim).max() < 1e-4


spot = st.tuples(st.integers(0, 99), st.integers(0, 99))


@settings(max_examples=30, deadline=None)
@given(runs=st.lists(st.lists(spot, min_size=1, max_size=3), min_size=1, max_size=4))
def test_the_best_starts_are_the_best_of_all(runs: list[list[tuple[int, int]]]) -> None:
    """Against every choice tried."""
    ways = [[(ring((x, y), (x + 3, y), (x, y + 3)),) for x, y in corners] for corners in runs]

    def far(picks: tuple[int, ...]) -> float:
        return travel_of([path for way, pick in zip(ways, picks, strict=True) for path in way[pick]])

    best = min(far(picks) for picks in product(*(range(len(way)) for way in ways)))
    assert math.isclose(far(tuple(best_starts(ways))), best, abs_tol=1e-4)
