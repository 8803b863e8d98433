"""What stands for an item while overlap is minimised: it holds the item and strays little."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Circle, Path
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.nofit.half_planes import HalfPlanes
from cutfiles.nest.search.nofit.simplified import FINE, ROUGH, Detail, simplified, with_fewer_edges
from cutfiles.pieces.shape import Shape
from tests.nest.concave_shapes import ELL, crescent
from tests.strategies import convex_outlines


def polygon(ring: np.ndarray) -> shapely.Polygon:
    """The ring for shapely."""
    return shapely.Polygon(ring)


@given(corners=st.integers(5, 60), wide=st.floats(5, 100), high=st.floats(5, 100))
def test_a_ring_of_fewer_edges_holds_the_ring_and_strays_little(
    corners: int, wide: float, high: float
) -> None:
    """An ellipse of many corners: all of it is inside, and nothing reaches further out than allowed."""
    angles = np.arange(corners) * 2 * math.pi / corners
    ring = np.stack((wide * np.cos(angles), high * np.sin(angles)), axis=1)
    detail = Detail(edges=8, stray_mm=0.5, disc_edges=8, inward=5)
    fewer = polygon(with_fewer_edges(ring, detail))
    assert fewer.buffer(1e-7).covers(polygon(ring))
    # A corner goes by cutting into what an earlier one added: it may add up, at a corner to a little more.
    steps = max(0, corners - 8)
    assert fewer.hausdorff_distance(polygon(ring)) <= 2 * 0.5 * max(1, steps)
    assert len(fewer.exterior.coords) - 1 <= corners
    if min(wide, high) < 10 and corners > 30:
        assert len(fewer.exterior.coords) - 1 < corners


@pytest.mark.parametrize("detail", [FINE, ROUGH])
@pytest.mark.parametrize("shape", [ELL, crescent(), Shape("disc", Circle(3, 4, 20), (), symmetric=True)])
def test_the_parts_of_a_solid_hold_the_shape(shape: Shape, detail: Detail) -> None:
    """Bays may be filled, arcs straightened: never is anything of the cut outline left outside."""
    item = oriented_item(shape, turn_deg=90.0, mirrored=True)
    solid = simplified(item, detail)
    held = shapely.union_all([polygon(part.corners) for part in solid.parts])
    # The ring strays outside a circle by a hair; the middle of the turned one is (-4, 3).
    true = shapely.Point(-4, 3).buffer(20, quad_segs=200) if item.is_disc else polygon(item.ring)
    assert held.buffer(1e-6).covers(true)
    for part in solid.parts:
        behind = part.corners @ part.normals.T - part.reach
        assert np.abs(behind.max(axis=0)).max() < 1e-9  # every half plane touches a corner


@settings(max_examples=40)
@given(
    outline=convex_outlines(),
    gap_mm=st.floats(0, 5),
    spot=st.tuples(st.floats(-90, 90), st.floats(-90, 90)),
    other=st.sampled_from([ELL, crescent(), Shape("disc", Circle(3, 4, 20), (), symmetric=True)]),
)
def test_where_the_tables_see_no_depth_the_gap_is_kept(
    outline: Path, gap_mm: float, spot: tuple[float, float], other: Shape
) -> None:
    """Pieces with bays and discs beside any convex one: a depth of 0 is at least the gap, by shapely."""
    first = oriented_item(Shape("a", outline, (), symmetric=False), turn_deg=0.0, mirrored=False)
    second = oriented_item(other, turn_deg=0.0, mirrored=False)
    half_planes = HalfPlanes([first, second], gap_mm=gap_mm)
    indices, x, y = np.array([0, 1]), np.array([0.0, spot[0]]), np.array([0.0, spot[1]])
    depth = half_planes.all_depths(indices, x, y)[0, 1]
    still, moved = polygon(first.ring), shapely.transform(polygon(second.ring), lambda p: p + np.array(spot))
    at = (np.array([spot[0]]), np.array([spot[1]]))
    assert half_planes.depths(at, 1, (indices[:1], x[:1], y[:1]))[0, 0] == pytest.approx(depth, abs=1e-9)
    if depth == 0:
        assert still.distance(moved) >= gap_mm - 1e-6
        assert still.intersection(moved).area < 1e-6
    if still.distance(moved) > 2 * gap_mm + 9.0:  # bays filled, corners mitred, arcs of few edges
        assert depth == 0


@given(distance=st.floats(1, 120), angle=st.floats(0, 360), gap_mm=st.floats(0, 5))
def test_two_discs_lie_as_deep_as_their_middles_are_too_near(
    distance: float, angle: float, gap_mm: float
) -> None:
    """Radii 20 and 30, their middles apart from their origins."""
    items = [
        oriented_item(Shape(name, Circle(x, 5.0, radius), (), symmetric=True), turn_deg=0.0, mirrored=False)
        for name, x, radius in (("a", 2.0, 20.0), ("b", -7.0, 30.0))
    ]
    way = math.radians(angle)
    middle = (2.0 + distance * math.cos(way), 5.0 + distance * math.sin(way))
    at = PlacedItem(items[1], middle[0] + 7.0, middle[1] - 5.0)
    depths = HalfPlanes(items, gap_mm=gap_mm).all_depths(
        np.array([0, 1]), np.array([0.0, at.x_mm]), np.array([0.0, at.y_mm])
    )
    assert depths[0, 1] == pytest.approx(max(0.0, 50.0 + gap_mm - distance), abs=1e-5)
