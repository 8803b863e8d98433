"""Pieces on a strip shifted a little, all at once: together as far as they go, or apart where they overlap.

Of each no-fit polygon of a pair the edge is taken that the pair lies furthest outside of, or least deep
behind, and the pair is to keep beyond it. These bounds are linear: under them the strip's length, or the sum
of what bounds are passed by, is made least. Then edges are chosen anew, until that gets nowhere (Z. Li and
V. Milenkovic, "Compaction and separation algorithms for non-convex polygons and their applications",
European Journal of Operational Research 84, 1995; from memory). No piece jumps over another.
"""

from __future__ import annotations

import numpy as np

from cutfiles.nest.base.clock import Clock, ShouldStop
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.search.nofit.half_planes import OVERLAP_TOLERANCE_MM, HalfPlanes, Indices
from cutfiles.nest.search.overlap.separate import InnerFit, Positions
from cutfiles.nest.search.strip.linear import LinearProgram, Rows
from cutfiles.nest.search.strip.separating_edges import SeparatingEdges, separating_edges

_STEP = 0.5  # how far a piece goes at most before edges are chosen anew: of the narrowest piece's side
_ENOUGH = 1e-6  # of the length: a smaller gain isn't worth going on
_MOST_ROUNDS = 60
_SLOW, _ROUNDS_APART = 0.97, 12  # where less than a share of the overlap goes in a round, it is given up


class Compaction:
    """Shifts pieces on strips of one width; their length runs along y, from 0."""

    def __init__(self, half_planes: HalfPlanes, *, width_mm: float, clock: Clock | None = None) -> None:
        """Shift pieces on strips of a width; linear programs are given up when the clock's time is over."""
        self.half_planes, self._width_mm = half_planes, width_mm
        self._tops = np.array([item.bounds[3] for item in half_planes.items])
        self._step_mm = _STEP * min(min(item.width_mm, item.height_mm) for item in half_planes.items)
        self._program = LinearProgram(clock)

    @property
    def rows(self) -> int:
        """How many rows the programs solved so far have had: what takes the time."""
        return self._program.rows

    def length_mm(self, at: Positions) -> float:
        """Return where the last piece ends."""
        return float((at.y + self._tops[at.item_indices]).max())

    def room(self, length_mm: float) -> InnerFit:
        """Return where origins may lie on a strip of that length."""
        return InnerFit.in_rectangle(self.half_planes.items, (self._width_mm, length_mm))

    def together(self, at: Positions, stop: ShouldStop) -> Positions:
        """Return the pieces, none of which overlap, on no longer a strip; as far as there is time."""
        length = self.length_mm(at)
        for _ in range(_MOST_ROUNDS):
            if stop():
                break
            moved = self._shorter(at, length)
            if moved is None:
                break
            gain = length - self.length_mm(moved)
            if gain <= 0 or self._overlap(moved):
                break
            at, length = moved, length - gain
            if gain < _ENOUGH * length:
                break
        return at

    def separated(self, at: Positions, *, length_mm: float, stop: ShouldStop) -> Positions | None:
        """Return the pieces moved apart on a strip of that length, or None where that gets nowhere."""
        at, last = self.room(length_mm).clipped(at), np.inf
        for _ in range(_ROUNDS_APART):
            if stop():
                return None
            sides = separating_edges(self.half_planes, at, 2 * self._step_mm)
            short = sides.short_mm(at)
            deep = short > OVERLAP_TOLERANCE_MM
            left = float(short[deep].sum())
            if not deep.any():
                return None if self._overlap(at) else at
            if left > _SLOW * last:
                return None
            last = left
            moved = self._less_deep(at, sides, short, length_mm)
            if moved is None:
                return None
            at = moved
        return None

    def _overlap(self, at: Positions) -> bool:
        return bool(self.half_planes.all_depths(at.item_indices, at.x, at.y).max() > OVERLAP_TOLERANCE_MM)

    def _shorter(self, at: Positions, length_mm: float) -> Positions | None:
        """One program: the shortest strip; its last variable is by how much the strip grows."""
        count, sides = len(at.item_indices), separating_edges(self.half_planes, at, 2 * self._step_mm)
        up = 2 * np.arange(count) + 1
        # Pieces that lie slightly too near may stay so.
        beyond = Rows(_moves(sides), _factors(sides), np.minimum(sides.short_mm(at), 0.0))
        ends = Rows(
            np.stack([up, np.full(count, 2 * count)], axis=1),
            np.tile([-1.0, 1.0], (count, 1)),
            at.y + self._tops[at.item_indices] - length_mm,
        )
        low, high = self._ranges(at, length_mm)
        cost = np.zeros(2 * count + 1)
        cost[-1] = 1.0
        return self._solved(at, cost, (np.append(low, -length_mm), np.append(high, 0.0)), (beyond, ends))

    def _less_deep(
        self, at: Positions, sides: SeparatingEdges, short: Array, length_mm: float
    ) -> Positions | None:
        """One program: the least sum of what sides are passed by; its last variables are those."""
        deep, rest = short > OVERLAP_TOLERANCE_MM, short <= OVERLAP_TOLERANCE_MM
        count, many = len(at.item_indices), int(deep.sum())
        moves, factors = _moves(sides), _factors(sides)
        passed = 2 * count + np.arange(many)[:, None]
        beyond = Rows(moves[rest], factors[rest], np.minimum(short[rest], 0.0))
        nearer = Rows(
            np.concatenate([moves[deep], passed], axis=1),
            np.concatenate([factors[deep], np.ones((many, 1))], axis=1),
            short[deep],
        )
        low, high = self._ranges(at, length_mm)
        low, high = np.append(low, np.zeros(many)), np.append(high, short[deep])
        cost = np.append(np.zeros(2 * count), np.ones(many))
        return self._solved(at, cost, (low, high), (beyond, nearer))

    def _ranges(self, at: Positions, length_mm: float) -> tuple[Array, Array]:
        """How far each piece may move across and up, in turn; where it lies now always counts as inside."""
        low_x, low_y, high_x, high_y = self.room(length_mm).bounds[at.item_indices].T
        low, high = (
            np.stack([low_x - at.x, low_y - at.y], axis=1),
            np.stack([high_x - at.x, high_y - at.y], axis=1),
        )
        step = self._step_mm
        return np.clip(low, -step, 0.0).ravel(), np.clip(high, 0.0, step).ravel()

    def _solved(
        self, at: Positions, cost: Array, ranges: tuple[Array, Array], rows: tuple[Rows, ...]
    ) -> Positions | None:
        moves = self._program.least(cost, *ranges, rows)
        if moves is None:
            return None
        count = 2 * len(at.item_indices)
        return Positions(at.item_indices, at.x + moves[0:count:2], at.y + moves[1:count:2])


def _moves(sides: SeparatingEdges) -> Indices:
    """The variables of each side: both pieces' moves across and up."""
    first, second = sides.first, sides.second
    return np.stack([2 * first, 2 * second, 2 * first + 1, 2 * second + 1], axis=1)


def _factors(sides: SeparatingEdges) -> Array:
    x, y = sides.normal_x, sides.normal_y
    return np.stack([-x, x, -y, y], axis=1)
