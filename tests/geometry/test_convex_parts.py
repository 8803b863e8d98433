"""Convex parts: together the polygon, each convex, no two over each other."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.geometry.convex_parts import convex_parts
from cutfiles.geometry.outline import Point, chords
from tests import strategies

ELL = [(0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (20.0, 20.0), (20.0, 60.0), (0.0, 60.0)]
COMB = [(0.0, 0.0), (50.0, 0.0), *((50.0 - step, 20.0 - 15 * (step % 2)) for step in range(51))]


@st.composite
def rings(draw: st.DrawFn) -> list[Point]:
    """Stars with random corners, counter-clockwise: some convex, most with bays."""
    return chords(draw(strategies.star_outlines()), stray_mm=1.0)


@settings(max_examples=150, deadline=None)
@given(points=rings())
@example(points=ELL)
@example(points=COMB)
def test_parts_are_convex_and_fill_the_polygon(points: list[Point]) -> None:
    """Measured by another library: areas sum up, the union is the polygon, and each is its own hull."""
    whole = shapely.Polygon(points)
    parts = [shapely.Polygon(part) for part in convex_parts(points, most_inward=None)]
    assert sum(part.area for part in parts) == pytest.approx(whole.area, rel=1e-9, abs=1e-5)
    assert shapely.union_all(parts).symmetric_difference(whole).area < 1e-5
    for part in parts:
        assert part.exterior.is_ccw
        assert part.convex_hull.area == pytest.approx(part.area, rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(points=rings(), most=st.integers(0, 4))
@example(points=COMB, most=3)
def test_filled_bays_lie_outside_the_polygon(points: list[Point], most: int) -> None:
    """With few corners allowed to turn inwards, the parts still hold the polygon and stay in its hull."""
    whole = shapely.Polygon(points)
    parts = convex_parts(points, most_inward=most)
    held = shapely.union_all([shapely.Polygon(part) for part in parts])
    assert held.buffer(1e-6).covers(whole)
    assert whole.convex_hull.buffer(1e-6).covers(held)
    assert len(parts) <= 2 * most + 1


def test_a_convex_polygon_is_its_own_only_part() -> None:
    """So that nothing changes for blades, centres and backgrounds."""
    (part,) = convex_parts([(0, 0), (4, 0), (5, 3), (0, 3)])
    assert np.array_equal(part, [(0, 0), (4, 0), (5, 3), (0, 3)])


def test_an_ell_has_two_parts_and_a_five_pointed_star_few() -> None:
    """The fewest for the ell; for the star no more than twice the least, which is three."""
    assert len(convex_parts(ELL)) == 2
    star = [
        ((50, 20)[step % 2] * math.cos(math.pi * step / 5), (50, 20)[step % 2] * math.sin(math.pi * step / 5))
        for step in range(10)
    ]
    assert len(convex_parts(star)) <= 6


def test_a_ring_that_crosses_itself_becomes_its_hull() -> None:
    """Whatever lies there keeps clear of all of it."""
    (part,) = convex_parts([(0, 0), (4, 4), (4, 0), (0, 4)])
    assert shapely.Polygon(part).area == 16
