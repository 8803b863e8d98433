"""Where straight edges cross each other, or the lines of a rectangle's sides. Edges by the thousand."""

from __future__ import annotations

import numpy as np

from cutfiles.geometry.convex_parts import Array

Box = tuple[float, float, float, float]

_MANY_PAIRS = 2000  # of edges: from here on it pays to look which can meet at all
_VERY_MANY = 20_000  # and from here on to sort them
_SHORT = 4.0  # times the median width: edges up to here are found by their left ends, the others one by one


def on_room(starts: Array, ends: Array, along: Array, room: Array) -> Array:
    """Return where edges cross the lines of a room's sides; `room` has rows lower left, upper right."""
    past = starts[:, None, :] - room  # by corner, side (lower or upper) and axis
    rows, sides, axes = (past * (ends[:, None, :] - room) < 0).nonzero()
    if not len(rows):
        return np.empty((0, 2))
    share = -past[rows, sides, axes] / along[rows, axes]
    points: Array = starts[rows] + share[:, None] * along[rows]
    points[np.arange(len(rows)), axes] = room[sides, axes]
    return points


def crossings(edges: tuple[Array, Array], others: list[tuple[Array, Array]], box: Box) -> Array:
    """Return where edges, which fill a box, cross other edges; both are starts and ways to the ends."""
    other_start = np.concatenate([start for start, _ in others])
    other_along = np.concatenate([along for _, along in others])
    other_start, other_along = _edges_in(other_start, other_along, box)
    if not len(other_start):
        return np.empty((0, 2))
    start, along = edges
    if len(start) * len(other_start) > _MANY_PAIRS:
        ends = np.concatenate((other_start, other_start + other_along))
        (left, low), (right, high) = ends.min(axis=0), ends.max(axis=0)
        start, along = _edges_in(start, along, (left, low, right, high))
    if len(start) * len(other_start) > _VERY_MANY:
        rows, columns = _may_meet(start, along, other_start, other_along)
        start, along = start[rows], along[rows]
        other_start, other_along = other_start[columns], other_along[columns]
    else:
        start, along = start[:, None, :], along[:, None, :]
    across = along[..., 0] * other_along[:, 1] - along[..., 1] * other_along[:, 0]
    offset_x, offset_y = other_start[:, 0] - start[..., 0], other_start[:, 1] - start[..., 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (offset_x * other_along[:, 1] - offset_y * other_along[:, 0]) / across
        other_share = (offset_x * along[..., 1] - offset_y * along[..., 0]) / across
        meets = (share > 0) & (share < 1) & (other_share > 0) & (other_share < 1)
    start, along = start.reshape(-1, 2), along.reshape(-1, 2)
    crossing = meets.ravel().nonzero()[0]
    # Pair by pair there are as many edges as shares, else a row of shares for each edge.
    index = crossing if share.ndim == 1 else crossing // share.shape[1]
    points: Array = start[index] + share.ravel()[crossing][:, None] * along[index]
    return points


def _may_meet(
    start: Array, along: Array, other_start: Array, other_along: Array
) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of edges whose upright rectangles meet: a superset of those that cross."""
    low, high = np.minimum(start, start + along), np.maximum(start, start + along)
    ends = other_start + other_along
    other_low, other_high = np.minimum(other_start, ends), np.maximum(other_start, ends)
    width = other_high[:, 0] - other_low[:, 0]
    limit = _SHORT * float(np.median(width))
    short = np.nonzero(width <= limit)[0]
    short = short[np.argsort(other_low[short, 0], kind="stable")]
    # A short edge that meets [low, high] begins no further than its limit to the left of it.
    first = np.searchsorted(other_low[short, 0], low[:, 0] - limit)
    counts = np.searchsorted(other_low[short, 0], high[:, 0], side="right") - first
    rows = np.repeat(np.arange(len(start)), counts)
    places = np.arange(len(rows)) - np.repeat(np.cumsum(counts) - counts, counts)
    columns = short[places + np.repeat(first, counts)]
    long = np.nonzero(width > limit)[0]
    rows = np.concatenate((rows, np.repeat(np.arange(len(start)), len(long))))
    columns = np.concatenate((columns, np.tile(long, len(start))))
    meet = (low[rows] <= other_high[columns]) & (high[rows] >= other_low[columns])
    both = meet[:, 0] & meet[:, 1]
    return rows[both], columns[both]


def _edges_in(start: Array, along: Array, within: Box) -> tuple[Array, Array]:
    """Those edges that may reach into the box."""
    end = start + along
    low, high = np.minimum(start, end), np.maximum(start, end)
    reaches = low[:, 0] <= within[2]
    reaches &= low[:, 1] <= within[3]
    reaches &= high[:, 0] >= within[0]
    reaches &= high[:, 1] >= within[1]
    kept = reaches.nonzero()[0]
    return start[kept], along[kept]
