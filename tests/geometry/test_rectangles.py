"""Rectangles against each other, measured another way: by shapely, and by growing one until it fits."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.outline import Bounds
from cutfiles.geometry.rectangles import beyond_mm, depth_mm

_SIDES = st.integers(1, 40)
_PLACES = st.integers(-40, 40)
_BOXES = st.builds(
    lambda x, y, w, h: (float(x), float(y), float(x + w), float(y + h)), _PLACES, _PLACES, _SIDES, _SIDES
)


@given(inner=_BOXES, outer=_BOXES)
def test_grown_by_as_much_as_it_misses_the_outer_rectangle_holds_the_inner(
    inner: Bounds, outer: Bounds
) -> None:
    """By that and no less; one that has room to spare may shrink by it."""
    over = beyond_mm(inner, outer)

    def holds(by_mm: float) -> bool:
        left, low, right, high = outer
        grown = (left - by_mm, low - by_mm, right + by_mm, high + by_mm)
        return (
            grown[0] <= grown[2] and grown[1] <= grown[3] and shapely.box(*grown).covers(shapely.box(*inner))
        )

    assert holds(over)
    assert not holds(over - 0.25)


@given(first=_BOXES, second=_BOXES)
def test_the_depth_is_the_lesser_side_of_what_is_common(first: Bounds, second: Bounds) -> None:
    """And no more than 0 where only edges meet, or nothing does."""
    common = shapely.box(*first).intersection(shapely.box(*second))
    if common.area > TOUCH_MM:
        left, low, right, high = common.bounds
        assert depth_mm(first, second) == pytest.approx(min(right - left, high - low))
    else:
        assert depth_mm(first, second) <= 0
    assert depth_mm(first, second) == depth_mm(second, first)
