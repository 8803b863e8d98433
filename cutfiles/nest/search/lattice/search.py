"""The search where a print repeats: every piece has its origin on the motif, so positions are few and known.

As many pieces as can be, of which no two clash, are a largest independent set of the graph of positions.
Greedy rules begin, swaps improve, and where positions are few branch and bound proves the best.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from cutfiles.geometry.outline import area
from cutfiles.nest.base.bound import most_in
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.context import SearchContext
from cutfiles.nest.base.placed_item import Flags, PlacedItem
from cutfiles.nest.cutting_rules.turns import tried
from cutfiles.nest.search.greedy.packing import PositionRule
from cutfiles.nest.search.greedy.rules import AROUND, RULES
from cutfiles.nest.search.lattice.independent import Graph
from cutfiles.nest.search.lattice.positions import Clashes, Indices, LatticePositions

# Numbers of positions up to which swaps are worth their time, up to which a proof is tried, and up to which
# swaps help to choose among hundreds of rough cuts.
_MANY, _FEW, _VERY_FEW = 5000, 800, 100
_FEW_KICKS, _KICKS, _NODES = 30, 1000, 6000  # the work of swaps, and of a proof


@dataclass(frozen=True, slots=True)
class _Solved:
    """What one shape gives alone, and what it can't pass."""

    placed: tuple[PlacedItem, ...]
    most: int


class LatticeSearch:
    """Fills containers that have a lattice, and remembers what it has solved."""

    def __init__(self, context: SearchContext) -> None:
        self._context, gap_mm = context, context.gap_mm
        self._clashes = {gap_mm: Clashes(gap_mm=gap_mm)}
        self._positions: dict[tuple[Container, tuple[str, ...], float], LatticePositions] = {}
        self._solved: dict[tuple[Container, str], _Solved] = {}
        self._quick: dict[tuple[Container, str], tuple[PlacedItem, ...]] = {}
        self._placed: dict[tuple[Container, Wanted], tuple[PlacedItem, ...]] = {}

    def proven_bound(self, container: Container, shape: str, *, gap_mm: float | None = None) -> int:
        """Return how many of a shape the container can't pass; the gap is the job's if none is given.

        With the job's gap the container is searched: where places are few, a proof bounds it best.
        """
        if gap_mm is None or gap_mm == self._context.gap_mm:
            return self._solve(container, shape).most
        positions = self._positions_of(container, (shape,), gap_mm)
        return self._most(container, shape, positions, self._part(positions, positions.free))

    def maximise(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return as many pieces of one shape as the container is found to hold."""
        return self._solve(container, shape).placed

    def estimate(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return what two greedy rules and a few swaps find for one shape: enough to choose rough cuts by."""
        key = (container, shape)
        if key in self._solved:
            return self._solved[key].placed
        if key not in self._quick:
            positions = self._positions_of(container, (shape,))
            narrower = (self.estimate(container.with_turns(few), shape) for few in _narrower(container))
            starts = [[positions.position_of(placed_item) for placed_item in placed] for placed in narrower]
            best = max(*starts, *(_greedy(positions, _order(positions, rule)) for rule in RULES[:2]), key=len)
            few = np.flatnonzero(positions.free)
            if len(best) < len(few) <= _VERY_FEW:
                best = _Subgraph(positions, few).improved(
                    best, most=len(few), kicks=_FEW_KICKS, clock=self._context.clock
                )
            self._quick[key] = _pieces(positions, best)
        return self._quick[key]

    def fill(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        """Return pieces laid on the container, at most as many of each shape as wanted.

        Positions count from the container's lower left corner, margin included.
        """
        bounds = {shape: self.proven_bound(container, shape) for shape, most in wanted if most > 0}
        asked = tuple((shape, min(most, bounds[shape])) for shape, most in wanted if bounds.get(shape))
        if not asked:
            return ()
        (shape, most), *others = asked
        if not others and most == bounds[shape]:
            return self.maximise(container, shape)
        if (container, asked) not in self._placed:
            placed = self._mixed(container, asked) if others else self._few(container, shape, most)
            self._placed[(container, asked)] = placed
        return self._placed[(container, asked)]

    def _positions_of(
        self, container: Container, names: tuple[str, ...], gap_mm: float | None = None
    ) -> LatticePositions:
        gap = self._context.gap_mm if gap_mm is None else gap_mm
        key = (container, names, gap)
        if key not in self._positions:
            assert container.lattice is not None
            clashes = self._clashes.setdefault(gap, Clashes(gap_mm=gap))
            items = [item for name in names for item in self._context.items.on(container, name)]
            self._positions[key] = LatticePositions(container, container.lattice, items, clashes)
        return self._positions[key]

    def _part(self, positions: LatticePositions, free: Flags) -> _Subgraph | None:
        """The free positions as a graph, None where they are too many."""
        few = np.flatnonzero(free)
        return _Subgraph(positions, few) if len(few) <= _MANY else None

    def _most(
        self, container: Container, shape: str, positions: LatticePositions, part: _Subgraph | None
    ) -> int:
        """What no layout can pass: the positions, the area, and cliques of positions that cover them all."""
        width, height = container.room
        by_area = most_in(
            self._context.items.shapes[shape],
            self._context.items.on(container, shape),
            width_mm=width,
            height_mm=height,
            gap_mm=positions.gap_mm,
            obstacles=container.obstacles,
        )
        most = min(int(np.count_nonzero(positions.free)), by_area)
        return min(most, part.graph.cover()) if part else most

    def _solve(self, container: Container, shape: str) -> _Solved:
        key = (container, shape)
        if key not in self._solved:
            self._solved[key] = self._search(container, shape)
        return self._solved[key]

    def _search(self, container: Container, shape: str) -> _Solved:
        positions = self._positions_of(container, (shape,))
        part = self._part(positions, positions.free)
        most = self._most(container, shape, positions, part)
        if not most:
            return _Solved((), 0)
        # It also begins with a narrower rule's answer, so that a wider rule never gives less.
        narrower = (self.maximise(container.with_turns(few), shape) for few in _narrower(container))
        starts = [[positions.position_of(placed_item) for placed_item in placed] for placed in narrower]
        starts += [_greedy(positions, _order(positions, rule)) for rule in (*RULES, *AROUND)]
        best = max(starts, key=len)
        if len(best) < most and part:
            best = part.improved(best, most=most, clock=self._context.clock)
            if len(best) < most and len(part.graph.clashes) <= _FEW:
                best, proven = part.largest(best, clock=self._context.clock)
                most = len(best) if proven else most
        return _Solved(_pieces(positions, best), most)

    def _few(self, container: Container, shape: str, most: int) -> tuple[PlacedItem, ...]:
        """Fewer pieces than fit: laid so that what is left of the container is large and in one piece."""
        positions = self._positions_of(container, (shape,))
        choices = [_greedy(positions, _order(positions, rule), most=most) for rule in (*RULES, *AROUND)]
        choices = [choice for choice in choices if len(choice) == most]
        if not choices:
            full = [positions.position_of(placed_item) for placed_item in self.maximise(container, shape)]
            choices = [
                [position for position in _order(positions, rule) if position in full][:most]
                for rule in RULES[:2]
            ]
        return max(
            (_pieces(positions, choice) for choice in choices),
            key=lambda placed: round(_left_over(placed, container), 3),
        )

    def _mixed(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        """Several shapes: the first by greedy rules, then as many of the last as there is room for."""
        positions = self._positions_of(container, tuple(shape for shape, _ in wanted))
        areas = {shape: area(self._context.items.shapes[shape].cut) for shape, _ in wanted}
        last, most_last = wanted[-1]
        best: tuple[float, list[int], list[int]] = (-1.0, [], [])
        for rule in (*RULES, *AROUND):
            order, free = _order(positions, rule), positions.free.copy()
            first: list[int] = []
            for shape, most in wanted[:-1]:
                first += _greedy(positions, order[positions.of_shape(shape)[order]], free=free, most=most)
            rest = _greedy(positions, order[positions.of_shape(last)[order]], free=free, most=most_last)
            worth = sum(areas[positions.shape(position)] for position in (*first, *rest))
            if round(worth - best[0], 3) > 0:
                best = (worth, first, rest)
            if self._context.clock.poll():
                break
        _, first, rest = best
        left = positions.free & positions.of_shape(last)
        for position in first:
            left[positions.near(position)] = False
        part = self._part(positions, left)
        if part and len(rest) < min(most_last, len(part.graph.clashes)):
            rest = part.improved(rest, most=most_last, clock=self._context.clock)
        return _pieces(positions, [*first, *rest])


class _Subgraph:
    """Some of the positions as a graph, numbered from the lower left on."""

    def __init__(self, positions: LatticePositions, few: Indices) -> None:
        self._positions = few[
            np.lexsort((positions.grid_of[few], positions.xy[few, 0], positions.xy[few, 1]))
        ]
        self._number = {int(position): number for number, position in enumerate(self._positions)}
        place = np.full(len(positions.free), -1, dtype=np.intp)
        place[self._positions] = np.arange(len(few))
        clashes = []
        for number, position in enumerate(self._positions):
            flags = np.zeros(len(few), dtype=np.bool_)
            near = place[positions.taken_by(int(position))]
            flags[near[near >= 0]] = True
            flags[number] = False
            clashes.append(int.from_bytes(np.packbits(flags, bitorder="little").tobytes(), "little"))
        self.graph = Graph(clashes)

    def improved(self, start: Iterable[int], *, most: int, clock: Clock, kicks: int = _KICKS) -> list[int]:
        numbers = (self._number[position] for position in start)
        chosen = self.graph.improved(numbers, most=most, kicks=kicks, clock=clock)
        return [int(self._positions[number]) for number in chosen]

    def largest(self, start: Iterable[int], *, clock: Clock) -> tuple[list[int], bool]:
        numbers = (self._number[position] for position in start)
        largest = self.graph.largest(numbers, nodes=_NODES, clock=clock)
        return [int(self._positions[number]) for number in largest.vertices], largest.proven


def _narrower(container: Container) -> tuple[tuple[float, ...], ...]:
    """Narrower sets of turns: of four turns the pairs end for end, of two each alone."""
    turns = tried(container.turns)
    if len(turns) == 2:
        return turns[:1], turns[1:]
    return (turns[::2], turns[1::2]) if len(turns) > 2 else ()


def _order(positions: LatticePositions, rule: PositionRule) -> Indices:
    """All positions, the best by a rule first."""
    scores = [
        rule(grid.item, positions.xy[positions.grid_of == grid_index])
        for grid_index, grid in enumerate(positions.grids)
    ]
    # Rounded, so that the last bit never decides: the same layout on every machine.
    rounded = np.round(np.concatenate([np.empty(0), *scores]), 6)
    return np.lexsort((positions.grid_of, positions.xy[:, 0], positions.xy[:, 1], rounded))


def _greedy(
    positions: LatticePositions, order: Indices, *, free: Flags | None = None, most: int | None = None
) -> list[int]:
    """Positions taken in order as far as they are free, which is kept up to date."""
    free = positions.free.copy() if free is None else free
    taken: list[int] = []
    for position in order.tolist():
        if len(taken) == most:
            break
        if free[position]:
            taken.append(position)
            free[positions.near(position)] = False
    return taken


def _pieces(positions: LatticePositions, choice: Iterable[int]) -> tuple[PlacedItem, ...]:
    return tuple(positions.placed(position) for position in choice)


def _left_over(placed: Sequence[PlacedItem], container: Container) -> float:
    """Area in mm² of the largest rectangle of the container's full width or length beside all pieces."""
    left = min(placed_item.x_mm + placed_item.item.bounds[0] for placed_item in placed)
    low = min(placed_item.y_mm + placed_item.item.bounds[1] for placed_item in placed)
    right = max(placed_item.x_mm + placed_item.item.bounds[2] for placed_item in placed)
    high = max(placed_item.y_mm + placed_item.item.bounds[3] for placed_item in placed)
    across = max(left, container.width_mm - right) * container.length_mm
    return max(across, max(low, container.length_mm - high) * container.width_mm)
