"""Corners of the user's own outline."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.job.parse.read import parse_job

PLATE = '[job]\nunit = "mm"\n[plate]\nblade_length = 100\ninner_radius = 20\n'


def _corners(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    text = ", ".join(f"[{x}, {y}]" for x, y in points)
    return parse_job(f'{PLATE}[[outline]]\nname = "leaf"\npoints = [{text}]\n').outlines[0].points


_COORDINATES = st.integers(-20, 20).map(float)


@given(points=st.lists(st.tuples(_COORDINATES, _COORDINATES), min_size=3, max_size=7))
def test_exactly_simple_polygons_are_taken(points: list[tuple[float, float]]) -> None:
    """Shapely is the judge of what crosses or touches itself."""
    distinct = [p for p, q in zip(points, points[-1:] + points[:-1], strict=True) if p != q]
    simple = len(distinct) >= 3 and shapely.Polygon(distinct).is_valid
    if not simple:
        with pytest.raises(JobError):
            _corners(points)
        return
    taken = _corners(points)
    assert shapely.Polygon(taken).equals(shapely.Polygon(points))
    assert shapely.LinearRing(taken).is_ccw


def test_a_star_of_many_points_is_taken() -> None:
    """Twelve corners, in and out by turns, given clockwise."""
    star = [((9 if i % 2 else 4) * math.sin(i), (9 if i % 2 else 4) * math.cos(i)) for i in range(6)]
    assert shapely.Polygon(_corners(star)).area == pytest.approx(shapely.Polygon(star).area)
