"""An oriented item holds its outline, and its bounds are exact."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.core.tolerance import NEST_ARC_MM, NEST_ARC_MOST_MM
from cutfiles.geometry.outline import Side, chords
from cutfiles.geometry.pose import Pose
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.pieces.shape import Shape
from tests.nest.item_strategies import QUARTERS, shapes
from tests.nest.measured import laid_at, points_of


@settings(max_examples=40, deadline=None)
@given(shape=shapes(), turn=st.sampled_from(QUARTERS), mirrored=st.booleans())
def test_a_form_holds_the_cut_outline_and_its_bounds_are_exact(
    shape: Shape, turn: float, mirrored: bool
) -> None:
    """Every point of the true outline lies in the convex ring, and touches all four sides of the bounds."""
    item = oriented_item(shape, turn_deg=turn, mirrored=mirrored)
    assert item.mirrored == (mirrored and not shape.symmetric)
    points = laid_at(points_of(shape.cut), Pose(turn_deg=turn, mirrored=item.mirrored))
    corners = shapely.Polygon(item.corners)
    assert corners.buffer(1e-6, join_style="mitre").covers(
        shapely.MultiPoint(points[:: 1 + len(points) // 400])
    )
    assert (*points.min(axis=0), *points.max(axis=0)) == pytest.approx(item.bounds, abs=2e-6)
    hull = shapely.MultiPoint(points).convex_hull
    # Arcs of an outline of very many corners may stray further.
    many = len(chords(shape.cut, stray_mm=NEST_ARC_MM, side=Side.OUTSIDE)) > 64
    stray = NEST_ARC_MOST_MM if many else NEST_ARC_MM
    assert -1e-3 <= corners.area - hull.area <= 2.2 * stray * hull.length
