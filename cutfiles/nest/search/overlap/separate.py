"""Push overlapping pieces apart, all at once, as long as that gets anywhere."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.outline import Bounds
from cutfiles.nest.base.clock import ShouldStop
from cutfiles.nest.base.oriented_item import Array, OrientedItem
from cutfiles.nest.search.nofit.half_planes import OVERLAP_TOLERANCE_MM, HalfPlanes, Indices, index_pairs

_ZERO = np.array(0.0)  # numpy is quicker with an array of one than with a number
_MOMENTUM, _STEP = np.array(0.8), np.array(0.3)
# Rounds between looks at the progress, the share of the squared depths that must be gone by then, and
# rounds in all: quick at first, patient once little is left.
_QUICK = (30, 0.75, 300)
_PATIENT = (100, 0.9, 4000)
# Many pieces that share out little room come nearer to lying apart by the same share in every round: where
# that is steady it is known where they are bound for (a geometric series). They are set a little beyond that.
_STEADY, _BEYOND = 0.02, 1.02
_LITTLE_LEFT = 0.03  # of the pieces' narrowest side
_NEIGHBOURS = 1.0  # of that side: pairs further apart than this are not looked at


@dataclass(slots=True)
class Positions:
    """Item indices (those after the items are obstacles) and origins, mm; shape (n,) each."""

    item_indices: Indices
    x: Array
    y: Array

    def copy(self) -> Positions:
        """Return pieces that go on from here by themselves."""
        return Positions(self.item_indices.copy(), self.x.copy(), self.y.copy())


@dataclass(frozen=True, slots=True)
class InnerFit:
    """Where the origin of each item may lie in a rectangle, shape (items, 4); obstacles stay put."""

    bounds: Array

    @staticmethod
    def in_rectangle(
        items: Sequence[OrientedItem], size: tuple[float, float], *, obstacles: int = 0
    ) -> InnerFit:
        """Return the room that a rectangle of that width and height leaves."""
        rows = [(-f.bounds[0], -f.bounds[1], size[0] - f.bounds[2], size[1] - f.bounds[3]) for f in items]
        return InnerFit(np.array(rows + [(0.0, 0.0, 0.0, 0.0)] * obstacles, dtype=np.float64))

    def holds(self, item_index: int) -> bool:
        """Return whether an item fits at all."""
        low_x, low_y, high_x, high_y = self.bounds[item_index]
        return bool(low_x <= high_x + TOUCH_MM and low_y <= high_y + TOUCH_MM)

    def of_item(self, item_index: int) -> Bounds:
        """Return the room of one item, never inside out."""
        low_x, low_y, high_x, high_y = self.bounds[item_index].tolist()
        return (low_x, low_y, max(low_x, high_x), max(low_y, high_y))

    def clipped(self, at: Positions) -> Positions:
        """Return the pieces moved into the room where they stick out of it."""
        low_x, low_y, high_x, high_y = self.bounds[at.item_indices].T
        x = np.clip(at.x, low_x, np.maximum(low_x, high_x))
        return Positions(at.item_indices, x, np.clip(at.y, low_y, np.maximum(low_y, high_y)))


def separated(half_planes: HalfPlanes, room: InnerFit, at: Positions, stop: ShouldStop) -> Positions | None:
    """Return the pieces pushed apart until none is too near, or None where that gets nowhere.

    Each pair moves along the edge of its no-fit polygon that it lies least deep behind; with some
    momentum, as that gets many pieces to share out little room. `stop` is asked now and then whether to give
    up.
    """
    side = min(min(item.width_mm, item.height_mm) for item in half_planes.items)
    pairs = _Pairs(half_planes, at, side * _NEIGHBOURS)
    separated_at, deepest = _rounds(pairs, room, at, _QUICK, stop)
    if OVERLAP_TOLERANCE_MM < deepest < side * _LITTLE_LEFT:
        separated_at, deepest = _rounds(pairs, room, separated_at, _PATIENT, stop)
    if (
        deepest > OVERLAP_TOLERANCE_MM
        or half_planes.all_depths(separated_at.item_indices, separated_at.x, separated_at.y).max()
        > OVERLAP_TOLERANCE_MM
    ):
        return None
    return separated_at


class _Pairs:
    """The pairs that lie near enough to touch: of two discs how far apart, of others their half planes.

    There are very many rounds, of few numbers each: what counts is how often numpy is called. Hence x and y
    of one thing stand in one row, all x first; and what is multiplied has one length, as to match lengths
    takes numpy longer than to look numbers up.
    """

    def __init__(self, half_planes: HalfPlanes, at: Positions, near_mm: float) -> None:
        first, second = index_pairs(len(at.item_indices))
        boxes = half_planes.around[at.item_indices[first], at.item_indices[second]]
        away_x, away_y = at.x[second] - at.x[first], at.y[second] - at.y[first]
        near = (boxes[:, 0] - near_mm < away_x) & (away_x < boxes[:, 2] + near_mm)
        near &= (boxes[:, 1] - near_mm < away_y) & (away_y < boxes[:, 3] + near_mm)
        self.first, self.second = _in_a_row(first[near], len(at.x)), _in_a_row(second[near], len(at.x))
        self.count = len(self.first) // 2
        a, b = at.item_indices[first[near]], at.item_indices[second[near]]
        apart = half_planes.discs[a, b]
        round_ = apart > 0
        self.discs, self.others = np.nonzero(round_)[0], np.nonzero(~round_)[0]
        self.apart = apart[round_]
        self.middles = (half_planes.middles[b[round_]] - half_planes.middles[a[round_]]).T.ravel()
        a, b = a[~round_], b[~round_]
        self.rows = np.arange(len(a))
        # Each region is one convex polygon: the plainest case, and quickest.
        self.convex = half_planes.reach.shape[2] == 1
        if self.convex:
            edges = half_planes.convex_edges(a, b)
            self.normal_x, self.normal_y, self.reach = edges.reshape(3, -1)
            self.first_edges = self.rows * edges.shape[2]
            owner = self.rows.repeat(edges.shape[2])
        else:
            self.edges = half_planes.pair_edges.of_pairs(a, b)
            self.normal_x, self.normal_y = self.edges.normal_x, self.edges.normal_y
            self.reach, owner = self.edges.reach, self.edges.owner
            lengths = self.edges.polygon_lengths
            self.polygon_of_edge = np.repeat(np.arange(len(lengths)), lengths)
        self.normals = np.concatenate((self.normal_x, self.normal_y))
        self.owners = _in_a_row(owner, len(a))
        # Places for what each round works out, as to view parts of an array takes as long as to add two.
        self._across, self._slack = np.empty(2 * len(owner)), np.empty(len(owner))
        self._across_x, self._across_y = self._across[: len(owner)], self._across[len(owner) :]
        if self.convex:
            self._slack_by_pair = self._slack.reshape(edges.shape[1:])

    def depths(self, origins: Array) -> tuple[Array, Array, Array]:
        """Return how deep each pair lies, 0 or more, and the way out for the second of it."""
        away = origins[self.second] - origins[self.first]
        if not len(self.discs):
            depth, out_x, out_y = self._of_planes(away)
        elif not len(self.others):
            depth, out_x, out_y = self._of_discs(away)
        else:
            depth, out_x, out_y = np.empty((3, self.count))
            for some, measured in ((self.others, self._of_planes), (self.discs, self._of_discs)):
                depth[some], out_x[some], out_y[some] = measured(away[_in_a_row(some, self.count)])
        return np.maximum(depth, _ZERO), out_x, out_y

    def _of_planes(self, away: Array) -> tuple[Array, Array, Array]:
        np.multiply(self.normals, away[self.owners], out=self._across)
        slack = np.subtract(self.reach, self._across_x, out=self._slack)
        slack -= self._across_y
        if self.convex:
            edge = self.first_edges + self._slack_by_pair.argmin(1)
            return slack[edge], self.normal_x[edge], self.normal_y[edge]
        edges = self.edges
        least = np.minimum.reduceat(slack, edges.polygons)
        depth = np.maximum.reduceat(least, edges.pairs)
        # The first edge of the first polygon that decides.
        deciding = (slack == depth[edges.owner]) & (least[self.polygon_of_edge] == slack)
        places = np.nonzero(deciding)[0]
        edge = places[np.searchsorted(edges.owner[places], self.rows)]
        return depth, self.normal_x[edge], self.normal_y[edge]

    def _of_discs(self, away: Array) -> tuple[Array, Array, Array]:
        away = away + self.middles
        squares, count = away * away, len(self.apart)
        distance = np.sqrt(squares[:count] + squares[count:])
        depth = self.apart - distance
        across, up = away[:count], away[count:]
        if distance.item(distance.argmin()) < TOUCH_MM:  # any way out will do
            coincident = distance < TOUCH_MM
            across, distance = np.where(coincident, 1.0, across), np.where(coincident, 1.0, distance)
            up = np.where(coincident, 0.0, up)
        return depth, across / distance, up / distance


def _in_a_row(indices: Indices, count: int) -> Indices:
    """Where x and y of these stand in a row that has x of so many first."""
    return np.concatenate((indices, indices + count))


def _rounds(
    pairs: _Pairs, room: InnerFit, at: Positions, patience: tuple[int, float, int], stop: ShouldStop
) -> tuple[Positions, float]:
    check_every, share, most = patience
    count, first, second = len(at.item_indices), pairs.first, pairs.second
    bounds = room.bounds[at.item_indices].T
    low, high = bounds[:2].ravel(), bounds[2:].ravel()
    origins = np.concatenate((at.x, at.y))
    speed, push = np.zeros(2 * count), np.empty(2 * pairs.count)
    push_x, push_y = push[: pairs.count], push[pairs.count :]
    last, done, last_ratio = np.inf, 0, 0.0
    before = origins  # at the last look
    while pairs.count:
        depth, out_x, out_y = pairs.depths(origins)
        deepest: float = depth.item(depth.argmax())
        if deepest < OVERLAP_TOLERANCE_MM or done >= most:
            return Positions(at.item_indices, origins[:count], origins[count:]), deepest
        if done % check_every == 0:
            left = float((depth * depth).sum())
            if left > share * last or stop():
                return Positions(at.item_indices, origins[:count], origins[count:]), deepest
            ratio = math.sqrt(left / last)
            if patience is _PATIENT and ratio > 0 and abs(ratio - last_ratio) < _STEADY:
                ahead = origins + _BEYOND * ratio / (1 - ratio) * (origins - before)
                ahead = np.minimum(np.maximum(ahead, low), high)
                measured = pairs.depths(ahead)
                if measured[0].max() < deepest / 2:
                    origins, (depth, out_x, out_y) = ahead, measured
                    speed = np.zeros(2 * count)
                    left, ratio = np.inf, 0.0  # the ratio is measured again from here
            last, last_ratio, before = left, ratio, origins
        done += 1
        np.multiply(out_x, depth, out=push_x)
        np.multiply(out_y, depth, out=push_y)
        speed *= _MOMENTUM
        speed += _STEP * (np.bincount(second, push, 2 * count) - np.bincount(first, push, 2 * count))
        free = origins + speed
        # As np.clip, without its overhead: there are very many rounds.
        origins = np.minimum(np.maximum(free, low), high)
        speed[origins != free] = 0.0
    return Positions(at.item_indices, origins[:count], origins[count:]), 0.0
