"""The knife that `check` walks in long exact steps, against one that is walked in short ones."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.tool.knife import TrailingKnife
from cutfiles.check.tool.walked import walked_lines
from cutfiles.core.tolerance import HPGL_MM
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.geometry.outline import Path, Vertex, ring
from tests.toolpath.castor import straight_pull_mm, trace

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
    askew = most = way = 0.0
    for first, second in pairwise(points):
        turned = math.atan2(second[1] - first[1], second[0] - first[0])
        askew = math.remainder(askew + way - turned, math.tau)
        most, way = max(most, abs(askew)), turned
        askew = 2 * math.atan(math.tan(askew / 2) * math.exp(-math.dist(first, second) / swivel))
    assume(most < 2.9)
    long = shapely.LineString(TrailingKnife(swivel).trace(axis))
    short = shapely.LineString(trace(axis, swivel_mm=swivel, pointing=RIGHT, step_mm=0.005))
    assert long.hausdorff_distance(short) < 0.01


@pytest.mark.parametrize("askew_deg", [179.9, 179.0, 135.0, 91.0, 89.0, 45.0, -45.0, -91.0, -179.0])
def test_it_comes_round_from_either_side(askew_deg: float) -> None:
    """From any angle to its way, also from one at which half of it has hardly a cosine."""
    turn = math.radians(askew_deg)
    axis = Path((Vertex(0, 0), Vertex(2 * math.cos(turn), -2 * math.sin(turn))), closed=False)
    long = shapely.LineString(TrailingKnife(0.5).trace(axis))
    short = shapely.LineString(trace(axis, swivel_mm=0.5, pointing=RIGHT, step_mm=0.0005))
    assert long.hausdorff_distance(short) < 0.005


def test_straight_back_it_stays_on_its_line() -> None:
    """Which way it would fall nobody knows; it goes nowhere else, and the walk comes to an end."""
    back = Path((Vertex(0, 0), Vertex(10, 0), Vertex(-30, 0)), closed=False)
    points = TrailingKnife(0.5).trace(back)
    assert all(abs(y) <= 0.5 and -30.5 <= x <= 10 for x, y in points)
    assert points[-1] == pytest.approx((-30, 0), abs=0.5 + 1e-9)


def test_it_comes_round_as_fast_as_a_tractrix_does() -> None:
    """Pulled upwards from pointing right until half a degree is left; the closed form says how far."""
    way = straight_pull_mm(0.5, math.radians(90), math.radians(0.5))
    tip = TrailingKnife(0.5).trace(Path((Vertex(0, 0), Vertex(0, way)), closed=False))[-1]
    assert math.degrees(math.asin(-tip[0] / 0.5)) == pytest.approx(0.5, rel=1e-6)


def test_a_tip_stands_still_while_the_axis_swings_about_it() -> None:
    """By a quarter turn, along an arc."""
    swing = Path((Vertex(0.5, 0, math.tan(math.pi / 8)), Vertex(0, 0.5)), closed=False)
    points = TrailingKnife(0.5).trace(swing)
    assert max(math.hypot(*point) for point in points) < 0.01


def test_what_it_points_at_is_remembered_from_line_to_line() -> None:
    """After a line upwards the next tip comes down below its axis."""
    knife = TrailingKnife(0.5)
    knife.trace(Path((Vertex(0, 0), Vertex(0, 50)), closed=False))
    assert knife.trace(ring((10, 10), (20, 10), (20, 20)))[0] == pytest.approx((10.0, 9.5))


def test_a_fragment_goes_round_nothing() -> None:
    """What is left of an edge between two others, as long as a few plotter units, is no outline."""
    piece = ring((0, 0), (40, 0), (40, 40), (0, 40))
    fragment = Path((Vertex(0.5, 0), Vertex(0.55, 0), Vertex(0.55, 0.05), Vertex(0.5, 0.05)), closed=False)
    item = Item(Layer.CUT, "cut", fragment, None, "command 1", 1)
    ((_, traced),) = walked_lines([item], [piece], KnownTool(swivel_mm=0.5), within_mm=HPGL_MM)
    assert isinstance(traced, Path)
    assert not traced.closed
