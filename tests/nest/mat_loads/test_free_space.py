"""Free rectangles: nothing taken is free, and nothing free is forgotten."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.nest.cutting_rules.reach import Rect
from cutfiles.nest.mat_loads.free_space import FreeSpace

sides = st.integers(1, 60)


def box(rect: Rect) -> shapely.Polygon:
    """Return a rectangle as a polygon."""
    return shapely.box(rect.x_mm, rect.y_mm, rect.x_mm + rect.width_mm, rect.y_mm + rect.height_mm)


@settings(max_examples=60, deadline=None)
@given(sizes=st.lists(st.tuples(sides, sides), max_size=8))
def test_free_and_taken_make_up_the_whole(sizes: list[tuple[int, int]]) -> None:
    """After every take, the free rectangles together are just what is left."""
    space = FreeSpace([Rect(10, 20, 100, 80)])
    left = shapely.box(10, 20, 110, 100)
    for width, height in sizes:
        place = space.place(width, height)
        if place is None:
            # No free rectangle is large enough, so none that fits inside the rest was lost.
            assert all(not rect.holds(width, height) for rect in space.free)
            continue
        assert left.covers(box(place))
        space.take(place)
        left = left.difference(box(place))
        free = shapely.union_all([box(rect) for rect in space.free])
        assert free.symmetric_difference(left).area == pytest.approx(0, abs=1e-6)
        for rect in space.free:
            assert not any(box(other).covers(box(rect)) for other in space.free if other is not rect)


def test_the_lowest_then_leftmost_place_is_taken() -> None:
    """From the near edge up, from the left to the right."""
    space = FreeSpace([Rect(0, 0, 100, 100)])
    for x, y in ((0, 0), (40, 0), (0, 40), (40, 40)):
        place = space.place(40, 40)
        assert place == Rect(x, y, 40, 40)
        space.take(place)
    assert space.place(40, 40) is None
    assert space.place(20, 100) == Rect(80, 0, 20, 100)


def test_an_exact_fit_is_a_fit() -> None:
    """A rectangle as large as the free one takes all of it."""
    space = FreeSpace([Rect(5, 5, 30.1, 20.7)])
    place = space.place(30.1, 20.7)
    assert place is not None
    space.take(place)
    assert space.free == []
