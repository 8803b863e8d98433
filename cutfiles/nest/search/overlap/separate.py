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
from cutfiles.nest.search.nofit.half_planes import OVERLAP_TOLERANCE_MM, HalfPlanes, Indices

_MOMENTUM, _STEP = 0.8, 0.3
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
    """The pairs that lie near enough to touch: of two discs how far apart, of others their half planes."""

    def __init__(self, half_planes: HalfPlanes, at: Positions, near_mm: float) -> None:
        first, second = np.triu_indices(len(at.item_indices), 1)
        boxes = half_planes.around[at.item_indices[first], at.item_indices[second]]
        away_x, away_y = at.x[second] - at.x[first], at.y[second] - at.y[first]
        near = (boxes[:, 0] - near_mm < away_x) & (away_x < boxes[:, 2] + near_mm)
        near &= (boxes[:, 1] - near_mm < away_y) & (away_y < boxes[:, 3] + near_mm)
        self.first, self.second = first[near], second[near]
        a, b = at.item_indices[self.first], at.item_indices[self.second]
        apart = half_planes.discs[a, b]
        round_ = apart > 0
        self.discs, self.others = np.nonzero(round_)[0], np.nonzero(~round_)[0]
        self.apart = apart[round_]
        middles = half_planes.middles[b[round_]] - half_planes.middles[a[round_]]
        self.middle_x, self.middle_y = middles[:, 0], middles[:, 1]
        a, b = a[~round_], b[~round_]
        self.rows = np.arange(len(a))
        # Each region is one convex polygon: the plainest case, and quickest.
        self.convex = half_planes.reach.shape[2] == 1
        if self.convex:
            self.normal_x, self.normal_y, self.reach = _without_repeats(
                half_planes.normal_x[a, b, 0], half_planes.normal_y[a, b, 0], half_planes.reach[a, b, 0]
            )
            self.first_edges = self.rows * self.reach.shape[-1]
        else:
            self.edges = half_planes.pair_edges.of_pairs(a, b)
            lengths = self.edges.polygon_lengths
            self.polygon_of_edge = np.repeat(np.arange(len(lengths)), lengths)

    def depths(self, x: Array, y: Array) -> tuple[Array, Array, Array]:
        """Return how deep each pair lies, 0 or more, and the way out for the second of it."""
        away_x, away_y = x[self.second] - x[self.first], y[self.second] - y[self.first]
        if not len(self.discs):
            depth, out_x, out_y = self._of_planes(away_x, away_y)
        elif not len(self.others):
            depth, out_x, out_y = self._of_discs(away_x, away_y)
        else:
            depth, out_x, out_y = np.empty((3, len(away_x)))
            for some, measured in ((self.others, self._of_planes), (self.discs, self._of_discs)):
                depth[some], out_x[some], out_y[some] = measured(away_x[some], away_y[some])
        return np.maximum(depth, 0.0), out_x, out_y

    def _of_planes(self, away_x: Array, away_y: Array) -> tuple[Array, Array, Array]:
        if self.convex:
            slack = self.reach - self.normal_x * away_x[:, None]
            slack -= self.normal_y * away_y[:, None]
            edge = self.first_edges + slack.argmin(axis=1)
            return slack.take(edge), self.normal_x.take(edge), self.normal_y.take(edge)
        edges = self.edges
        slack = edges.reach - edges.normal_x * away_x[edges.owner]
        slack -= edges.normal_y * away_y[edges.owner]
        least = np.minimum.reduceat(slack, edges.polygons)
        depth = np.maximum.reduceat(least, edges.pairs)
        # The first edge of the first polygon that decides.
        deciding = (slack == depth[edges.owner]) & (least[self.polygon_of_edge] == slack)
        places = np.nonzero(deciding)[0]
        edge = places[np.searchsorted(edges.owner[places], self.rows)]
        return depth, edges.normal_x[edge], edges.normal_y[edge]

    def _of_discs(self, away_x: Array, away_y: Array) -> tuple[Array, Array, Array]:
        across, up = away_x + self.middle_x, away_y + self.middle_y
        distance = np.sqrt(across * across + up * up)
        depth = self.apart - distance
        coincident = distance < TOUCH_MM
        if coincident.any():  # any way out will do
            across, distance = np.where(coincident, 1.0, across), np.where(coincident, 1.0, distance)
            up = np.where(coincident, 0.0, up)
        return depth, across / distance, up / distance


def _without_repeats(normal_x: Array, normal_y: Array, reach: Array) -> tuple[Array, Array, Array]:
    """The same regions, each edge once as far as they can be: tables repeat edges until all have as many."""
    fresh = np.ones(reach.shape, dtype=np.bool_)
    fresh[..., 1:] = (
        (normal_x[..., 1:] != normal_x[..., :-1])
        | (normal_y[..., 1:] != normal_y[..., :-1])
        | (reach[..., 1:] != reach[..., :-1])
    )
    most = int(fresh.sum(axis=-1).max(initial=1))
    # Of two edges that lie alike deep the first is taken: their order stays.
    kept = np.argsort(~fresh, axis=-1, kind="stable")[..., :most]
    return (
        np.take_along_axis(normal_x, kept, axis=-1),
        np.take_along_axis(normal_y, kept, axis=-1),
        np.take_along_axis(reach, kept, axis=-1),
    )


def _rounds(
    pairs: _Pairs, room: InnerFit, at: Positions, patience: tuple[int, float, int], stop: ShouldStop
) -> tuple[Positions, float]:
    check_every, share, most = patience
    count, first, second = len(at.item_indices), pairs.first, pairs.second
    low_x, low_y, high_x, high_y = room.bounds[at.item_indices].T
    x, y = at.x.copy(), at.y.copy()
    speed_x, speed_y = np.zeros(count), np.zeros(count)
    last, done, last_ratio = np.inf, 0, 0.0
    before = x, y  # at the last look
    while len(first):
        depth, out_x, out_y = pairs.depths(x, y)
        deepest = float(depth.max())
        if deepest < OVERLAP_TOLERANCE_MM or done >= most:
            return Positions(at.item_indices, x, y), deepest
        if done % check_every == 0:
            left = float((depth * depth).sum())
            if left > share * last or stop():
                return Positions(at.item_indices, x, y), deepest
            ratio = math.sqrt(left / last)
            if patience is _PATIENT and ratio > 0 and abs(ratio - last_ratio) < _STEADY:
                ahead = _BEYOND * ratio / (1 - ratio)
                ahead_x = np.minimum(np.maximum(x + ahead * (x - before[0]), low_x), high_x)
                ahead_y = np.minimum(np.maximum(y + ahead * (y - before[1]), low_y), high_y)
                measured = pairs.depths(ahead_x, ahead_y)
                if measured[0].max() < deepest / 2:
                    x, y, (depth, out_x, out_y) = ahead_x, ahead_y, measured
                    speed_x, speed_y = np.zeros(count), np.zeros(count)
                    left, ratio = np.inf, 0.0  # the ratio is measured again from here
            last, last_ratio, before = left, ratio, (x, y)
        done += 1
        push_x, push_y = out_x * depth, out_y * depth
        speed_x = _MOMENTUM * speed_x + _STEP * (
            np.bincount(second, push_x, count) - np.bincount(first, push_x, count)
        )
        speed_y = _MOMENTUM * speed_y + _STEP * (
            np.bincount(second, push_y, count) - np.bincount(first, push_y, count)
        )
        free_x, free_y = x + speed_x, y + speed_y
        # As np.clip, without its overhead: there are very many rounds.
        x = np.minimum(np.maximum(free_x, low_x), high_x)
        y = np.minimum(np.maximum(free_y, low_y), high_y)
        speed_x[x != free_x], speed_y[y != free_y] = 0.0, 0.0
    return Positions(at.item_indices, x, y), 0.0
