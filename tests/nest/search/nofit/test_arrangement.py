"""Where edges of no-fit polygons meet in a window: compared with what shapely says of the same borders."""

from __future__ import annotations

import random
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.search.nofit import half_planes as tables
from cutfiles.nest.search.nofit.arrangement import MOST_VERTICES, SearchWindow, arrangement_vertices
from cutfiles.nest.search.nofit.boundaries import Boundaries
from cutfiles.nest.search.nofit.half_planes import HalfPlanes
from tests.nest.shapes import HALF, wedge

ROOM = (0.0, 0.0, 300.0, 300.0)
SPOT = st.tuples(st.floats(0, 300), st.floats(0, 300))
ABOUT = st.tuples(st.floats(-50, 350), st.floats(-50, 350))  # it may lie outside of the room
ITEMS = [oriented_item(wedge(), turn_deg=turn, mirrored=False) for turn in HALF]
NEAR_MM = 2e-6


def all_vertices(rings: list[shapely.LinearRing], window: SearchWindow) -> shapely.MultiPoint:
    """Corners of borders and of the window, and where borders cross each other or sides of the room."""
    (low_x, low_y), (high_x, high_y) = window.low, window.high
    met = [shapely.MultiPoint([(x, y) for x in (low_x, high_x) for y in (low_y, high_y)])]
    met += [shapely.MultiPoint(shapely.get_coordinates(ring)) for ring in rings]
    lines = [shapely.LineString([(level, -1e3), (level, 1e3)]) for level in {low_x, high_x} & {0.0, 300.0}]
    lines += [shapely.LineString([(-1e3, level), (1e3, level)]) for level in {low_y, high_y} & {0.0, 300.0}]
    pairs = [*combinations(rings, 2), *((ring, line) for ring in rings for line in lines)]
    met += [shapely.MultiPoint(shapely.get_coordinates(one.intersection(other))) for one, other in pairs]
    return shapely.union_all(met)


@given(spots=st.lists(SPOT, max_size=4), about=ABOUT, aside=st.floats(5, 200))
@example(spots=[(150.0, 150.0)], about=(320.0, -9.0), aside=7.0)
@example(spots=[], about=(-20.0, 330.0), aside=5.0)
@example(spots=[(0.0, 0.0), (0.0, 0.0)], about=(0.0, 0.0), aside=200.0)
@example(spots=[(100.0, 100.0), (140.0, 100.0)], about=(300.0, 120.0), aside=200.0)
def test_vertices_are_where_borders_meet(
    spots: list[tuple[float, float]], about: tuple[float, float], aside: float
) -> None:
    """All that shapely finds inside the window are there, each once, and nothing else is."""
    boundaries = Boundaries(HalfPlanes(ITEMS, gap_mm=1.0))
    fixed = np.arange(len(spots)) % len(ITEMS)
    x, y = np.array(spots).reshape(-1, 2).T
    window = SearchWindow.around(about, aside, aside, ROOM)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        found = arrangement_vertices(boundaries, 1, (fixed, x, y), window, random.Random(0))
    points = np.stack(found, axis=1)
    rings = [
        shapely.LinearRing(boundaries.between(item_index, 1)[:2].T + np.array(spot))
        for item_index, spot in zip(fixed.tolist(), spots, strict=True)
    ]
    expected = all_vertices(rings, window)
    assert shapely.distance(expected, shapely.points(points)).max() < NEAR_MM
    assert np.all(np.array(window.low) <= window.high)
    inside = shapely.box(*window.low, *window.high)
    assert shapely.distance(inside, shapely.points(points)).max() < NEAR_MM
    assert len(points) < MOST_VERTICES
    deep = expected.intersection(inside.buffer(-NEAR_MM))
    assert (
        shapely.distance(shapely.MultiPoint(points), shapely.points(shapely.get_coordinates(deep))).max(
            initial=0.0
        )
        < NEAR_MM
    )
    rounded = [tuple(point) for point in points.round(6).tolist()]
    assert rounded == sorted(set(rounded))


def test_a_full_memory_changes_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """What items have between them is kept for later moves: with room for one, asked in turn, it is right."""
    x, y = np.array([40.0, 90.0, 160.0]), np.array([50.0, 70.0, 60.0])
    neighbourhoods = [np.array(fixed) for fixed in ((0, 1, 1), (1, 0, 1), (0, 1, 1), (1, 1, 0))]
    window = SearchWindow.around((80.0, 60.0), 90.0, 90.0, ROOM)

    def asked(half_planes: HalfPlanes, boundaries: Boundaries, fixed: np.ndarray) -> list[list[float]]:
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            at = arrangement_vertices(boundaries, 0, (fixed, x, y), window, random.Random(0))
        depths: list[list[float]] = half_planes.depths(at, 0, (fixed, x, y)).tolist()
        return [*(row.tolist() for row in at), *depths]

    fresh = []
    for fixed in neighbourhoods:
        half_planes = HalfPlanes(ITEMS, gap_mm=1.0)
        fresh.append(asked(half_planes, Boundaries(half_planes), fixed))
    assert fresh[0] != fresh[1]
    monkeypatch.setattr(tables, "MOST_KEPT", 1)
    half_planes = HalfPlanes(ITEMS, gap_mm=1.0)
    boundaries = Boundaries(half_planes)
    assert [asked(half_planes, boundaries, fixed) for fixed in neighbourhoods] == fresh
    assert len(half_planes.pair_edges._beside) == len(boundaries._beside) == 1
