"""Where edges of no-fit polygons meet, in a window: the positions at which a piece may lie least deep.

How deep a piece lies in another falls off in flat slopes inside a no-fit polygon; a sum of such depths,
whatever their weights, is least at a corner of the arrangement of all edges.

There are a few dozen edges at a time, so what counts is how often numpy is called: edges are columns of one
array, and numbers of one kind stand in one row.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutfiles.geometry.outline import Bounds, Point
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.search.nofit.boundaries import Boundaries
from cutfiles.nest.search.nofit.half_planes import Indices

MOST_VERTICES = 100  # of a window; more are thinned out evenly
MOST_PAIRS = 2500  # of edges that may cross; likewise
_TOLERANCE_MM = 1e-9
# Numbers as arrays of one, as numpy is quicker with these.
_ZERO, _ONE = np.array(0.0), np.array(1.0)
_A_MILLION = np.array(1e6)  # vertices that agree to six decimals are one


@dataclass(frozen=True, slots=True)
class SearchWindow:
    """A part of the room that a piece's origin may lie in."""

    low: Point
    high: Point
    room: Bounds

    @staticmethod
    def around(spot: Point, aside: float, above: float, room: Bounds) -> SearchWindow:
        """Return what of the room is within so much of a spot, or its nearest edge."""
        low_x, low_y, high_x, high_y = room
        x, y = spot
        return SearchWindow(
            (min(max(low_x, x - aside), high_x), min(max(low_y, y - above), high_y)),
            (max(min(high_x, x + aside), low_x), max(min(high_y, y + above), low_y)),
            room,
        )

    def sides(self) -> list[tuple[int, float]]:
        """Return which sides are the room's own: the axis and where along it."""
        return [
            (axis, level)
            for axis in (0, 1)
            for level in sorted({self.low[axis], self.high[axis]} & {self.room[axis], self.room[axis + 2]})
        ]

    def holds(self, low: Array, high: Array) -> Indices:
        """Return which rectangles with these corners, rows of x and y, reach into the window."""
        reaches = high[0] >= self.low[0] - _TOLERANCE_MM
        reaches &= high[1] >= self.low[1] - _TOLERANCE_MM
        reaches &= low[0] <= self.high[0] + _TOLERANCE_MM
        reaches &= low[1] <= self.high[1] + _TOLERANCE_MM
        inside: Indices = reaches.nonzero()[0]
        return inside


def arrangement_vertices(
    boundaries: Boundaries,
    item_index: int,
    neighbours: tuple[Indices, Array, Array],
    window: SearchWindow,
    dice: random.Random,
) -> tuple[Array, Array]:
    """Return x and y of vertices in the window: corners, its own corners, and where edges cross.

    Edges that are parallel are divided by 0: numpy should be told to let that pass.
    """
    (low_x, low_y), (high_x, high_y) = window.low, window.high
    vertices = [np.array(((low_x, high_x, low_x, high_x), (low_y, low_y, high_y, high_y)))]
    edges = _edges_near(boundaries, item_index, neighbours, window)
    if edges.shape[1]:
        vertices = [edges[:2], *vertices, _on_sides(edges, window.sides()), _crossings(edges, dice)]
    return _thinned(np.concatenate(vertices, axis=1), window, dice)


def _edges_near(
    boundaries: Boundaries, item_index: int, neighbours: tuple[Indices, Array, Array], window: SearchWindow
) -> Array:
    """The edges that come into the window, as columns.

    Their rows are x and y of starts, of ways to the ends, and of the lower and the upper corner of the
    upright rectangle about each; the last says whose border it is.
    """
    item_indices, x, y = neighbours
    borders, owner = boundaries.beside(item_indices, item_index)
    edges = np.empty((9, len(owner)))
    edges[:4], edges[8] = borders, owner
    starts, low, high = edges[:2], edges[4:6], edges[6:8]
    starts[0] += x[owner]
    starts[1] += y[owner]
    ends = starts + edges[2:4]
    np.minimum(starts, ends, out=low)
    np.maximum(starts, ends, out=high)
    return edges.take(window.holds(low, high), 1)


def _on_sides(edges: Array, sides: Sequence[tuple[int, float]]) -> Array:
    """Where edges cross sides of the room, one side after the other."""
    if not sides:
        return np.empty((2, 0))
    axes = np.array([axis for axis, _ in sides])
    levels = np.array([level for _, level in sides])
    share = levels[:, None] - edges.take(axes, 0)
    share /= edges.take(axes + 2, 0)
    on = share >= _ZERO
    on &= share <= _ONE
    places = on.ravel().nonzero()[0]
    side, edge = _rows_and_columns(places, edges.shape[1])
    points = share.ravel()[places] * edges[2:4].take(edge, 1)
    points += edges[:2].take(edge, 1)
    points[axes[side], np.arange(len(places))] = levels[side]
    return points


def _crossings(edges: Array, dice: random.Random) -> Array:
    """Where edges of different borders cross."""
    owner = edges[8]
    if owner[0] == owner[-1]:
        return np.empty((2, 0))
    reaches = edges[4:6, :, None] <= edges[6:8, None]
    begins = reaches[0] & reaches[1]
    meet = begins & begins.T
    meet &= owner[:, None] < owner
    places = meet.ravel().nonzero()[0]
    if not len(places):
        return np.empty((2, 0))
    if len(places) > MOST_PAIRS:
        places = places[_spread(len(places), MOST_PAIRS, dice.random())]
    first, second = _rows_and_columns(places, edges.shape[1])
    firsts: Array = edges[:4].take(first, 1)
    seconds: Array = edges[:4].take(second, 1)
    (x, y, ahead_x, ahead_y), (other_x, other_y, across_x, across_y) = firsts, seconds
    apart_x, apart_y = other_x - x, other_y - y
    cross = ahead_x * across_y - ahead_y * across_x
    share = (apart_x * across_y - apart_y * across_x) / cross
    other_share = (apart_x * ahead_y - apart_y * ahead_x) / cross
    on = share >= _ZERO
    on &= share <= _ONE
    on &= other_share >= _ZERO
    on &= other_share <= _ONE
    kept = on.nonzero()[0]
    firsts = firsts.take(kept, 1)
    crossings: Array = share[kept] * firsts[2:]
    crossings += firsts[:2]
    return crossings


def _thinned(vertices: Array, window: SearchWindow, dice: random.Random) -> tuple[Array, Array]:
    vertices = vertices.take(window.holds(vertices, vertices), 1)
    # As one complex number each: numpy sorts and compares these by x and then by y.
    rounded = np.empty(vertices.shape[1], dtype=np.complex128)
    rounded.real, rounded.imag = np.rint(vertices * _A_MILLION)
    order = rounded.argsort(kind="stable")
    ordered = rounded[order]
    fresh = np.ones(len(order), dtype=np.bool_)
    np.not_equal(ordered[1:], ordered[:-1], out=fresh[1:])
    kept = order[fresh]
    if len(kept) > MOST_VERTICES:
        kept = kept[_spread(len(kept), MOST_VERTICES, dice.random())]
    x, y = vertices.take(kept, 1)
    return x, y


def _rows_and_columns(places: Indices, columns: int) -> tuple[Indices, Indices]:
    """Rows and columns of places that were counted row by row, which numpy is quicker to find."""
    row, column = np.divmod(places, columns)
    return row, column


def _spread(count: int, most: int, offset: float) -> Indices:
    """So many indices below `count`, evenly spread."""
    return ((np.arange(most) + offset) * (count / most)).astype(np.intp)
