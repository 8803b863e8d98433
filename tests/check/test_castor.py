"""The knife that `check` walks in long exact steps, against one that is walked in short ones."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.check.castor import Castor
from cutfiles.core.outline import Path, Vertex, ring
from tests.passes.castor import straight_pull_mm, trace

RIGHT = (1.0, 0.0)
corners = st.tuples(st.integers(-20, 20).map(float), st.integers(-20, 20).map(float))


@settings(max_examples=20, deadline=None)
@given(
    points=st.lists(corners, min_size=2, max_size=6, unique=True),
    swivel=st.sampled_from([0.2, 0.5, 1.5]),
)
def test_long_steps_go_where_short_ones_do(points: list[tuple[float, float]], swivel: float) -> None:
    """Along any straight lines, whatever the corners: both ways lie on each other."""
    axis = Path(tuple(Vertex(x, y) for x, y in points), closed=False)
    # Straight back, the knife stands on its head: which way it falls is a matter of the last bit.
    turns = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(points)]
    flips = [abs(math.remainder(b - a, math.tau)) for a, b in zip([0.0, *turns], turns, strict=False)]
    if max(flips) > 3.0:
        return
    long = shapely.LineString(Castor(swivel).trace(axis))
    short = shapely.LineString(trace(axis, swivel_mm=swivel, pointing=RIGHT, step_mm=0.005))
    assert long.hausdorff_distance(short) < 0.01


def test_it_comes_round_as_fast_as_a_tractrix_does() -> None:
    """Pulled upwards from pointing right until half a degree is left; the closed form says how far."""
    way = straight_pull_mm(0.5, math.radians(90), math.radians(0.5))
    tip = Castor(0.5).trace(Path((Vertex(0, 0), Vertex(0, way)), closed=False))[-1]
    assert math.degrees(math.asin(-tip[0] / 0.5)) == pytest.approx(0.5, rel=1e-6)


def test_a_tip_stands_still_while_the_axis_swings_about_it() -> None:
    """By a quarter turn, along an arc."""
    swing = Path((Vertex(0.5, 0, math.tan(math.pi / 8)), Vertex(0, 0.5)), closed=False)
    points = Castor(0.5).trace(swing)
    assert max(math.hypot(*point) for point in points) < 0.01


def test_what_it_points_at_is_remembered_from_line_to_line() -> None:
    """After a line upwards the next tip comes down below its axis."""
    castor = Castor(0.5)
    castor.trace(Path((Vertex(0, 0), Vertex(0, 50)), closed=False))
    assert castor.trace(ring((10, 10), (20, 10), (20, 20)))[0] == pytest.approx((10.0, 9.5))
