"""Where edges of no-fit polygons meet, in a window: the positions at which a piece may lie least deep.

How deep a piece lies in another falls off in flat slopes inside a no-fit polygon; a sum of such depths,
whatever their weights, is least at a corner of the arrangement of all edges.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

import numpy as np

from cutfiles.geometry.outline import Bounds, Point
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.search.nofit.boundaries import Boundaries
from cutfiles.nest.search.nofit.half_planes import Indices

MOST_VERTICES = 100  # of a window; more are thinned out evenly
MOST_PAIRS = 2500  # of edges that may cross; likewise
_SAME_VERTEX_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class SearchWindow:
    """A part of the room that a piece's origin may lie in."""

    low: Point
    high: Point
    room: Bounds

    def within(self) -> SearchWindow:
        """Return the window moved into the room's bounds where it lies beyond them."""
        low_x, low_y, high_x, high_y = self.room
        low = (min(self.low[0], high_x), min(self.low[1], high_y))
        high = (max(self.high[0], low_x), max(self.high[1], low_y))
        return replace(self, low=low, high=high)


def arrangement_vertices(
    boundaries: Boundaries,
    item_index: int,
    neighbours: tuple[Indices, Array, Array],
    window: SearchWindow,
    dice: random.Random,
) -> tuple[Array, Array]:
    """Return x and y of vertices in the window: corners, its own corners, and where edges cross."""
    starts, along, owner = _edges_near(boundaries, item_index, neighbours, window)
    low, high, room = window.low, window.high, window.room
    vertices = [
        starts,
        np.array([(low[0], low[1]), (high[0], low[1]), (low[0], high[1]), (high[0], high[1])]),
    ]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for axis in (0, 1):
            for level in sorted({low[axis], high[axis]} & {room[axis], room[axis + 2]}):
                share = (level - starts[:, axis]) / along[:, axis]
                on = (share >= 0) & (share <= 1)
                crossings = starts[on] + share[on, None] * along[on]
                crossings[:, axis] = level
                vertices.append(crossings)
        vertices.append(_crossings(starts, along, owner, dice))
    return _thinned(np.concatenate(vertices), window, dice)


def _edges_near(
    boundaries: Boundaries, item_index: int, neighbours: tuple[Indices, Array, Array], window: SearchWindow
) -> tuple[Array, Array, Indices]:
    """Starts and ways of the edges that come into the window, and whose they are."""
    item_indices, x, y = neighbours
    rings = [boundaries.between(fixed, item_index) for fixed in item_indices.tolist()]
    if not rings:
        return np.empty((0, 2)), np.empty((0, 2)), np.empty(0, dtype=np.intp)
    owner = np.repeat(np.arange(len(rings)), [len(starts) for starts, _ in rings])
    starts = np.concatenate([starts for starts, _ in rings]) + np.stack((x, y), axis=1)[owner]
    along = np.concatenate([ways for _, ways in rings])
    ends = starts + along
    tolerance = 1e-9
    seen = (np.maximum(starts, ends) >= np.array(window.low) - tolerance).all(axis=1)
    seen &= (np.minimum(starts, ends) <= np.array(window.high) + tolerance).all(axis=1)
    return starts[seen], along[seen], owner[seen]


def _crossings(starts: Array, along: Array, owner: Indices, dice: random.Random) -> Array:
    """Where edges of different borders cross."""
    ends = starts + along
    low_x, low_y = np.minimum(starts, ends).T
    high_x, high_y = np.maximum(starts, ends).T
    meet = (low_x[:, None] <= high_x) & (low_x <= high_x[:, None])
    meet &= (low_y[:, None] <= high_y) & (low_y <= high_y[:, None])
    meet &= owner[:, None] < owner
    first, second = np.nonzero(meet)
    if len(first) > MOST_PAIRS:
        kept = _spread(len(first), MOST_PAIRS, dice.random())
        first, second = first[kept], second[kept]
    (ahead_x, ahead_y), (across_x, across_y) = along[first].T, along[second].T
    apart_x, apart_y = (starts[second] - starts[first]).T
    cross = ahead_x * across_y - ahead_y * across_x
    share = (apart_x * across_y - apart_y * across_x) / cross
    other_share = (apart_x * ahead_y - apart_y * ahead_x) / cross
    on = (share >= 0) & (share <= 1) & (other_share >= 0) & (other_share <= 1)
    crossings: Array = starts[first[on]] + share[on, None] * along[first[on]]
    return crossings


def _thinned(vertices: Array, window: SearchWindow, dice: random.Random) -> tuple[Array, Array]:
    tolerance = 1e-9
    inside = (vertices >= np.array(window.low) - tolerance) & (vertices <= np.array(window.high) + tolerance)
    vertices = vertices[inside.all(axis=1)]
    rounded = np.round(vertices, _SAME_VERTEX_DECIMALS)
    order = np.lexsort((rounded[:, 1], rounded[:, 0]))
    ordered = rounded[order]
    fresh = np.ones(len(order), dtype=np.bool_)
    fresh[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    vertices = vertices[order[fresh]]
    if len(vertices) > MOST_VERTICES:
        vertices = vertices[_spread(len(vertices), MOST_VERTICES, dice.random())]
    return vertices[:, 0].copy(), vertices[:, 1].copy()


def _spread(count: int, most: int, offset: float) -> Indices:
    """So many indices below `count`, evenly spread."""
    return ((np.arange(most) + offset) * (count / most)).astype(np.intp)
