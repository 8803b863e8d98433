"""How deep pieces lie in each other: the no-fit polygons of all pairs of items, as tables.

Two pieces of several convex parts have a no-fit polygon for each pair of parts; the deepest counts. Two discs
have the circle. The tables are padded to one number of polygons and of edges, so that many pairs are measured
at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np

from cutfiles.core.tolerance import GAP_CHECK_MM
from cutfiles.nest.base.oriented_item import Array, OrientedItem
from cutfiles.nest.base.placed_item import Flags, Rings
from cutfiles.nest.search.nofit.simplified import (
    FINE,
    ONLY_DISCS,
    ConvexPart,
    Detail,
    SimplifiedItem,
    convex_part,
    simplified,
)

Indices = np.ndarray[Any, np.dtype[np.intp]]

# Pieces count as apart when no pair is deeper than this: half of what a gap is measured to. Nothing is added
# to the gap for it, as pieces that fit exactly would find no room otherwise.
OVERLAP_TOLERANCE_MM = GAP_CHECK_MM / 2

Beside = tuple[bytes, int]  # indices of several items, as bytes, and of the one beside them
Answer = TypeVar("Answer")
MOST_KEPT = 64  # answers for an item beside several others, as long as they are few
_ZERO = np.array(0.0)  # numpy is quicker with an array of one than with a number
_NEVER_MM = -1e9  # the reach of a polygon that pads a table: nothing is ever inside


class HalfPlanes:
    """Half planes of every pair: B's origin p is too near to A at the origin where n·p < reach for all.

    Tables have the shape (n, n, polygons, edges), A's index first, then B's; `boxes` has (n, n, polygons, 4)
    and `around` (n, n, 4). Indices count the items and, after them, the obstacles, which no gap is kept from.
    `discs` has (n, n): how far apart the middles of two discs must be, 0 for any other pair.
    """

    def __init__(
        self, items: Sequence[OrientedItem], *, gap_mm: float, obstacles: Rings = (), detail: Detail = FINE
    ) -> None:
        """Make the tables, with items as true as `detail` says; none takes up less than it does."""
        self.items = tuple(items)
        self.obstacles = range(len(self.items), len(self.items) + len(obstacles))
        if not obstacles and all(item.is_disc for item in self.items):
            detail = ONLY_DISCS
        simplified_items = [simplified(item, detail) for item in self.items]
        simplified_items += [SimplifiedItem((convex_part(np.array(ring)),)) for ring in obstacles]
        gaps = np.full((len(simplified_items), len(simplified_items)), gap_mm)
        gaps[len(self.items) :], gaps[:, len(self.items) :] = 0.0, 0.0
        self.normal_x, self.normal_y, self.reach = _half_planes(simplified_items, gaps)
        self.reach[len(self.items) :, len(self.items) :] = _NEVER_MM
        self.corner_x, self.corner_y = _corners(self.normal_x, self.normal_y, self.reach)
        lows = self.corner_x.min(axis=3), self.corner_y.min(axis=3)
        self.boxes = np.stack((*lows, self.corner_x.max(axis=3), self.corner_y.max(axis=3)), axis=3)
        self.there = self.reach[..., 0] > _NEVER_MM / 2  # not only there to pad
        low = np.where(self.there[..., None], self.boxes[..., :2], np.inf).min(axis=2)
        high = np.where(self.there[..., None], self.boxes[..., 2:], -np.inf).max(axis=2)
        self.around = np.concatenate((low, high), axis=2)
        self._around_columns = self.around.transpose(1, 2, 0).copy()
        self.middles = np.array([solid.middle for solid in simplified_items])
        radii = np.array([solid.disc_mm or 0.0 for solid in simplified_items])
        both = (radii[:, None] > 0) & (radii[None, :] > 0)
        self.discs = np.where(both, radii[:, None] + radii[None, :] + gaps, 0.0)
        self._any_discs = bool(both.any())
        self.edges = self.reach.shape[3]
        self.pair_edges = EdgeLists(self.normal_x, self.normal_y, self.reach, self.there)
        self._convex: tuple[Array, Indices] | None = None

    def convex_edges(self, first: Indices, second: Indices) -> Array:
        """Return normals' x and y and the reach of pairs of convex items, shape (3, pairs, edges).

        Each edge stands there once as far as it can, in order: tables repeat edges until all have as many.
        """
        if self._convex is None:
            self._convex = _repeats_last(np.stack((self.normal_x, self.normal_y, self.reach))[:, :, :, 0])
        table, counts = self._convex
        most = int(counts[first, second].max(initial=1))
        edges: Array = table[:, first, second, :most]
        return edges

    def boxes_beside(self, orbiting: int, at: tuple[Indices, Array, Array]) -> Array:
        """Return the bounds of where an item is too near to each of several, shape (4, n)."""
        item_indices, x, y = at
        boxes: Array = self._around_columns[orbiting].take(item_indices, 1)
        boxes[0] += x
        boxes[1] += y
        boxes[2] += x
        boxes[3] += y
        return boxes

    def all_depths(self, item_indices: Indices, x: Array, y: Array) -> Array:
        """Return how deep every piece lies in every other, shape (n, n), 0 on the diagonal."""
        count = len(item_indices)
        depths = np.zeros((count, count))
        first, second = index_pairs(count)
        away_x, away_y = x[second] - x[first], y[second] - y[first]
        boxes = self.around[item_indices[first], item_indices[second]]
        near = (boxes[:, 0] < away_x) & (away_x < boxes[:, 2])
        near &= (boxes[:, 1] < away_y) & (away_y < boxes[:, 3])
        first, second, away_x, away_y = first[near], second[near], away_x[near], away_y[near]
        a, b = item_indices[first], item_indices[second]
        slack = self.reach[a, b] - self.normal_x[a, b] * away_x[:, None, None]
        slack -= self.normal_y[a, b] * away_y[:, None, None]
        pair_depths = slack.min(axis=2).max(axis=1)
        if self._any_discs:
            round_ = self.discs[a, b] > 0
            pair_depths[round_] = self._of_discs(a[round_], b[round_], away_x[round_], away_y[round_])
        depths[first, second] = depths[second, first] = np.maximum(pair_depths, 0.0)
        return depths

    def _of_discs(self, a: Any, b: Any, away_x: Array, away_y: Array) -> Array:
        across = away_x + self.middles[b, 0] - self.middles[a, 0]
        up = away_y + self.middles[b, 1] - self.middles[a, 1]
        pair_depths: Array = self.discs[a, b] - np.sqrt(across * across + up * up)
        return pair_depths

    def depths(
        self, positions: tuple[Array, Array], item_index: int, neighbours: tuple[Indices, Array, Array]
    ) -> Array:
        """Return how deep an item at each position lies in each neighbour, shape (positions, neighbours)."""
        item_indices, x, y = neighbours
        if not self._any_discs or not self.discs[item_indices, item_index].any():
            return self._of_planes(positions, item_index, neighbours)
        round_ = self.discs[item_indices, item_index] > 0
        rest = np.nonzero(~round_)[0]
        depths = np.empty((len(positions[0]), len(item_indices)))
        away_x, away_y = positions[0][:, None] - x[round_], positions[1][:, None] - y[round_]
        depths[:, round_] = np.maximum(self._of_discs(item_indices[round_], item_index, away_x, away_y), 0.0)
        if len(rest):
            depths[:, rest] = self._of_planes(positions, item_index, (item_indices[rest], x[rest], y[rest]))
        return depths

    def _of_planes(
        self, positions: tuple[Array, Array], item_index: int, neighbours: tuple[Indices, Array, Array]
    ) -> Array:
        item_indices, x, y = neighbours
        if not len(item_indices):
            return np.zeros((len(positions[0]), 0))
        edges = self.pair_edges.beside(item_indices, item_index)
        normal_x, normal_y = edges.normal_x, edges.normal_y
        reach = edges.reach + normal_x * x[edges.owner]
        reach += normal_y * y[edges.owner]
        # Positions along the rows: numpy is quick along long rows, not along short ones.
        slack = normal_x[:, None] * positions[0]
        np.subtract(reach[:, None], slack, out=slack)
        slack -= normal_y[:, None] * positions[1]
        depths = np.minimum.reduceat(slack, edges.polygons, axis=0)
        if len(edges.pairs) < len(edges.polygons):
            depths = np.maximum.reduceat(depths, edges.pairs, axis=0)
        deepest: Array = np.maximum(depths, _ZERO).T.copy()
        return deepest


def _fresh(*rows: Array) -> Flags:
    """Which edges differ from the edge before, in any of the rows that describe them."""
    fresh = np.ones(rows[0].shape, dtype=np.bool_)
    fresh[..., 1:] = False
    for row in rows:
        fresh[..., 1:] |= row[..., 1:] != row[..., :-1]
    return fresh


def remembered(answers: dict[Beside, Answer], key: Beside, make: Callable[[], Answer]) -> Answer:
    """Return an answer that is kept, else make it; few such questions are asked, again and again."""
    if key not in answers:
        if len(answers) >= MOST_KEPT:
            answers.clear()
        answers[key] = make()
    return answers[key]


def _repeats_last(table: Array) -> tuple[Array, Indices]:
    """Rows (3, ..., edges) in which what equals the edge before comes last, and how many edges don't."""
    fresh = _fresh(*table)
    # Of two edges that lie alike deep the first is taken: their order stays.
    order = np.argsort(~fresh, axis=-1, kind="stable")
    return np.take_along_axis(table, order[None], axis=-1), fresh.sum(axis=-1)


@lru_cache(maxsize=8)
def index_pairs(count: int) -> tuple[Indices, Indices]:
    """Return the first and the second of all pairs of so many; they can't be written to."""
    first, second = np.triu_indices(count, 1)
    first.setflags(write=False)
    second.setflags(write=False)
    return first, second


@dataclass(frozen=True, slots=True)
class PairEdges:
    """Half planes of some pairs, one after the other; `owner` says whose pair, as counted in the question.

    `polygons` are where a polygon begins among the edges, `polygon_lengths` how many it has, `pairs` where a
    pair begins among the polygons.
    """

    normal_x: Array
    normal_y: Array
    reach: Array
    owner: Indices
    polygons: Indices
    polygon_lengths: Indices
    pairs: Indices


class EdgeLists:
    """The tables without what pads them: each polygon's own edges, each once."""

    def __init__(self, normal_x: Array, normal_y: Array, reach: Array, there: Flags) -> None:
        fresh = _fresh(normal_x, normal_y, reach)
        kept = there.copy()
        kept[..., 0] |= ~there.any(axis=2)  # of two obstacles: one edge, behind which nothing lies
        fresh &= kept[..., None]
        self._normal_x, self._normal_y, self._reach = normal_x[fresh], normal_y[fresh], reach[fresh]
        edges, polygons = fresh.sum(axis=3), kept.sum(axis=2)
        self._edges, self._polygons = edges.sum(axis=2), polygons
        self._first_edge = _starts(self._edges.ravel()).reshape(polygons.shape)
        self._first_polygon = _starts(polygons.ravel()).reshape(polygons.shape)
        self._polygon_edges = edges[kept]
        self._beside: dict[Beside, PairEdges] = {}

    def beside(self, fixed: Indices, orbiting: int) -> PairEdges:
        """Return the half planes of items with one item."""
        return remembered(self._beside, (fixed.tobytes(), orbiting), lambda: self.of_pairs(fixed, orbiting))

    def of_pairs(self, first: Indices, second: Indices | int) -> PairEdges:
        """Return the half planes of pairs, in order: of each first item with its second, or with the one."""
        edges, polygons = self._edges[first, second], self._polygons[first, second]
        index = _ranges(self._first_edge[first, second], edges)
        lengths = self._polygon_edges[_ranges(self._first_polygon[first, second], polygons)]
        return PairEdges(
            self._normal_x[index],
            self._normal_y[index],
            self._reach[index],
            np.repeat(np.arange(len(first)), edges),
            _starts(lengths),
            lengths,
            _starts(polygons),
        )


def _starts(lengths: Indices) -> Indices:
    """Where each run begins, if runs of these lengths follow each other."""
    starts: Indices = np.cumsum(lengths) - lengths
    return starts


def _ranges(starts: Indices, lengths: Indices) -> Indices:
    """The indices of several runs, one after the other."""
    indices: Indices = np.repeat(starts - _starts(lengths), lengths) + np.arange(int(lengths.sum()))
    return indices


def _half_planes(simplified_items: Sequence[SimplifiedItem], gaps: Array) -> tuple[Array, Array, Array]:
    """Normals and reach of every pair's no-fit polygons, around each ring in turn.

    A half plane of the one or the mirrored other supports their Minkowski sum at the sum of both reaches
    (support functions add up: R. Schneider, "Convex Bodies", 1.7), and all of them together bound it.
    """
    parts = [part for solid in simplified_items for part in solid.parts]
    most = max(len(solid.parts) for solid in simplified_items)
    slots = np.full((len(simplified_items), most), -1)
    at = 0
    for row, solid in enumerate(simplified_items):
        slots[row, : len(solid.parts)] = np.arange(at, at + len(solid.parts))
        at += len(solid.parts)
    normals, reach, corners = _padded(parts)
    # What a part reaches along the other's normals, backwards: from its corners.
    back = (-(normals[:, :, None, None, :] * corners[None, None])).sum(axis=4).max(axis=3)  # (p, k, q)
    sums_own = reach[:, :, None] + back  # part p's normals, against part q
    first, second = slots[:, None, :, None], slots[None, :, None, :]
    none = (first < 0) | (second < 0)
    own = np.moveaxis(sums_own, 1, 2)[first, second]  # (a, b, P, P, k)
    theirs = np.moveaxis(sums_own, 1, 2)[second, first]
    shape = own.shape
    normal = np.concatenate(
        (np.broadcast_to(normals[first], (*shape, 2)), np.broadcast_to(-normals[second], (*shape, 2))), axis=4
    )
    both = np.concatenate((own, theirs), axis=4) + gaps[:, :, None, None, None]
    angles = np.round(np.arctan2(normal[..., 1], normal[..., 0]), 9)
    order = np.argsort(angles, axis=4, kind="stable")
    normal = np.take_along_axis(normal, order[..., None], axis=4)
    both = np.take_along_axis(both, order, axis=4)
    both[np.broadcast_to(none, both.shape[:4])] = _NEVER_MM
    flat = (len(simplified_items), len(simplified_items), most * most, both.shape[4])
    return normal[..., 0].reshape(flat), normal[..., 1].reshape(flat), both.reshape(flat)


def _padded(parts: Sequence[ConvexPart]) -> tuple[Array, Array, Array]:
    """Normals, reach and corners of all parts, the last of each repeated."""
    edges, points = max(len(part.normals) for part in parts), max(len(part.corners) for part in parts)

    def rows(table: Array, count: int) -> Array:
        filled: Array = table[np.minimum(np.arange(count), len(table) - 1)]
        return filled

    return (
        np.array([rows(part.normals, edges) for part in parts]),
        np.array([rows(part.reach, edges) for part in parts]),
        np.array([rows(part.corners, points) for part in parts]),
    )


def _corners(normal_x: Array, normal_y: Array, reach: Array) -> tuple[Array, Array]:
    """Where each edge meets the one before it; of edges with one direction all but one are points."""
    before_x, before_y = np.roll(normal_x, 1, axis=-1), np.roll(normal_y, 1, axis=-1)
    before = np.roll(reach, 1, axis=-1)
    cross = before_x * normal_y - before_y * normal_x
    meet = cross > 1e-9
    with np.errstate(divide="ignore", invalid="ignore"):
        x = (before * normal_y - reach * before_y) / cross
        y = (before_x * reach - normal_x * before) / cross
    edges = reach.shape[-1]
    # The corner that a run of edges with one direction begins at.
    twice = np.where(np.concatenate((meet, meet), axis=-1), np.arange(2 * edges), -1)
    start = np.maximum.accumulate(twice, axis=-1)[..., edges:] % edges
    return np.take_along_axis(x, start, axis=-1), np.take_along_axis(y, start, axis=-1)
