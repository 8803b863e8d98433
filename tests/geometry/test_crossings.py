"""Where edges cross: against the geometry library, pair by pair."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cutfiles.geometry.convex_parts import Array
from cutfiles.geometry.crossings import crossings, edges_in, edges_of, on_room

EVERYWHERE = (-1e9, -1e9, 1e9, 1e9)


def _drawn(count: int, seed: int) -> tuple[Array, Array]:
    """Starts and ends: short edges, and a long one among every ten."""
    dice = np.random.default_rng(seed)
    starts = dice.uniform(0, 100, (count, 2))
    reach = np.where(np.arange(count) % 10 == 0, 80.0, 12.0)
    return starts, starts + dice.uniform(-1, 1, (count, 2)) * reach[:, None]


def _crossed(first: tuple[Array, Array], second: tuple[Array, Array]) -> Array:
    """The points that each line of the one has in common with each of the other."""
    lines, others = (shapely.linestrings(np.stack(ends, axis=1)) for ends in (first, second))
    points = shapely.intersection(lines[:, None], others).ravel()
    return shapely.get_coordinates(points[~shapely.is_empty(points)])


def _sorted(points: Array) -> Array:
    return points[np.lexsort(points.round(6).T)]


# Few pairs, so many that edges far off are left out first, and so many that they are sorted.
@pytest.mark.parametrize(("count", "other_count"), [(20, 30), (60, 70), (170, 180)])
def test_edges_cross_where_their_lines_do(count: int, other_count: int) -> None:
    """All of them, and nowhere else."""
    first, second = _drawn(count, 1), _drawn(other_count, 2)
    expected = _sorted(_crossed(first, second))
    assert len(expected) > 2
    found = _sorted(crossings(edges_of(*first), edges_of(*second), EVERYWHERE).T)
    np.testing.assert_allclose(found, expected, atol=1e-6)


def test_edges_cross_the_lines_of_a_rooms_sides() -> None:
    """Exactly on the line, at the same place as the library says."""
    first = _drawn(40, 3)
    found = on_room(edges_of(*first), np.array(((20.0,), (70.0,), (30.0,), (60.0,)))).T
    sides = [(20, -999, 20, 999), (70, -999, 70, 999), (-999, 30, 999, 30), (-999, 60, 999, 60)]
    corners = np.array(sides, dtype=float)
    expected = _crossed(first, (corners[:, :2], corners[:, 2:]))
    assert len(expected) > 8
    np.testing.assert_allclose(_sorted(found), _sorted(expected), atol=1e-6)
    assert all(x in (20.0, 70.0) or y in (30.0, 60.0) for x, y in found.tolist())


def test_edges_that_come_into_a_box_are_kept() -> None:
    """By their own upright bounds, as the library measures these."""
    starts, ends = _drawn(200, 4)
    lines = shapely.linestrings(np.stack((starts, ends), axis=1))
    left, low, right, high = shapely.bounds(lines).T
    wanted = (left <= 60) & (right >= 40) & (low <= 70) & (high >= 35)
    kept = edges_in(edges_of(starts, ends), (40.0, 35.0, 60.0, 70.0))
    assert 0 < wanted.sum() < 200
    np.testing.assert_array_equal(kept[:2].T, starts[wanted])
