"""Where straight edges cross each other, or the lines of a rectangle's sides. Edges by the thousand.

Edges are columns of an array; its rows are x and y of where each starts, where it ends, the lower and the
upper corner of the upright rectangle about it, and the way from start to end: `edges_of` makes them.
"""

from __future__ import annotations

import numpy as np

from cutfiles.geometry.convex_parts import Array
from cutfiles.geometry.outline import Bounds

ROWS = 10  # of an array of edges
WAY = 8  # the first of the last two, the way; those before it move with the edge, x and y by turns
# By side of a room, which coordinate of a start and of an end tells on which side of it that lies.
_STARTS, _ENDS = np.array((0, 0, 1, 1)), np.array((2, 2, 3, 3))
_SOME_PAIRS = 600  # of edges: from here on it pays to look which come into the box
_MANY_PAIRS = 2000  # and from here on which can meet at all
_VERY_MANY = 20_000  # and from here on to sort them
_SHORT = 4.0  # times the median width: edges up to here are found by their left ends, the others one by one


def edges_of(starts: Array, ends: Array) -> Array:
    """Return edges as columns, from the points at which they start and end, of shape (k, 2)."""
    return np.concatenate(
        (starts.T, ends.T, np.minimum(starts, ends).T, np.maximum(starts, ends).T, (ends - starts).T)
    )


def on_room(edges: Array, sides: Array) -> Array:
    """Return where edges cross the lines of a room's sides, as rows of x and y.

    Args:
        edges: as columns.
        sides: left, right, low and high, as a column.
    """
    past = edges.take(_STARTS, axis=0)
    past -= sides
    beyond = edges.take(_ENDS, axis=0)
    beyond -= sides
    beyond *= past
    rows, columns = (beyond < 0).nonzero()
    if not len(rows):
        return np.empty((2, 0))
    axes = rows >> 1
    share = past[rows, columns] / -edges[WAY + axes, columns]
    points: Array = edges[WAY:ROWS].take(columns, axis=1)
    points *= share
    points += edges[:2].take(columns, axis=1)
    points[axes, np.arange(len(rows))] = sides[rows, 0]
    return points


def crossings(edges: Array, others: Array, box: Bounds) -> Array:
    """Return where edges, which come into a box, cross other edges there, as rows of x and y.

    Of few edges all pairs are looked at: crossings beyond the box are returned as well.
    """
    if edges.shape[1] * others.shape[1] > _SOME_PAIRS:
        others = edges_in(others, box)
    if edges.shape[1] * others.shape[1] > _MANY_PAIRS:
        low, high = others[4:6].min(axis=1), others[6:8].max(axis=1)
        edges = edges_in(edges, (low[0], low[1], high[0], high[1]))
    if edges.shape[1] * others.shape[1] > _VERY_MANY:
        rows, columns = _may_meet(edges, others)
        edges, others = edges[:, rows], others[:, columns]
        x, y, along_x, along_y = edges[0], edges[1], edges[8], edges[9]
    else:  # a row of pairs for each edge
        x, y = edges[:2, :, None]
        along_x, along_y = edges[WAY:ROWS, :, None]
    other_x, other_y = others[:2]
    other_along_x, other_along_y = others[WAY:ROWS]
    across = along_x * other_along_y
    across -= along_y * other_along_x
    offset_x, offset_y = other_x - x, other_y - y
    with np.errstate(divide="ignore", invalid="ignore"):
        share = offset_x * other_along_y
        share -= offset_y * other_along_x
        share /= across
        offset_x *= along_y
        offset_y *= along_x
        other_share = np.subtract(offset_x, offset_y, out=offset_x)
        other_share /= across
    meets = share > 0
    meets &= share < 1
    meets &= other_share > 0
    meets &= other_share < 1
    pairs = meets.nonzero()
    if not len(pairs[0]):
        return np.empty((2, 0))
    points: Array = edges[WAY:ROWS].take(pairs[0], axis=1)
    points *= share[pairs]
    points += edges[:2].take(pairs[0], axis=1)
    return points


def _may_meet(edges: Array, others: Array) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of edges whose upright rectangles meet: a superset of those that cross."""
    (low_x, low_y), (high_x, high_y) = edges[4:6], edges[6:8]
    (other_low_x, other_low_y), (other_high_x, other_high_y) = others[4:6], others[6:8]
    width = other_high_x - other_low_x
    limit = _SHORT * float(np.median(width))
    short = np.nonzero(width <= limit)[0]
    short = short[np.argsort(other_low_x[short], kind="stable")]
    # A short edge that meets [low, high] begins no further than its limit to the left of it.
    first = np.searchsorted(other_low_x[short], low_x - limit)
    counts = np.searchsorted(other_low_x[short], high_x, side="right") - first
    count = edges.shape[1]
    rows = np.repeat(np.arange(count), counts)
    places = np.arange(len(rows)) - np.repeat(np.cumsum(counts) - counts, counts)
    columns = short[places + np.repeat(first, counts)]
    long = np.nonzero(width > limit)[0]
    rows = np.concatenate((rows, np.repeat(np.arange(count), len(long))))
    columns = np.concatenate((columns, np.tile(long, count)))
    meet = (low_x[rows] <= other_high_x[columns]) & (high_x[rows] >= other_low_x[columns])
    meet &= (low_y[rows] <= other_high_y[columns]) & (high_y[rows] >= other_low_y[columns])
    return rows[meet], columns[meet]


def edges_in(edges: Array, within: Bounds) -> Array:
    """Return those edges that may reach into a box."""
    reaches = edges[4] <= within[2]
    reaches &= edges[5] <= within[3]
    reaches &= edges[6] >= within[0]
    reaches &= edges[7] >= within[1]
    kept: Array = edges.take(reaches.nonzero()[0], axis=1)
    return kept
