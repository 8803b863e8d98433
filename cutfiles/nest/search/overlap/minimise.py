"""One piece more: let it overlap, then push and move pieces until none does.

Two steps take turns. All pieces at once are pushed apart along the shortest ways out, as long as that
gets anywhere. Then each piece that still lies in another is moved to the position, of those where edges
of no-fit polygons meet, at which it lies least deep, pairs that stay stuck weighing more and more (guided
local search: Voudouris and Tsang 1999; for cutting and packing: Egeblad, Nielsen and Odgaard 2007).

It stops by counted moves. The same start and seed give the same answer.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutfiles.nest.base.clock import ShouldStop
from cutfiles.nest.base.oriented_item import Array, OrientedItem
from cutfiles.nest.base.placed_item import Flags, PlacedItem, Rings
from cutfiles.nest.search.nofit.arrangement import SearchWindow, arrangement_vertices
from cutfiles.nest.search.nofit.boundaries import Boundaries
from cutfiles.nest.search.nofit.half_planes import OVERLAP_TOLERANCE_MM, HalfPlanes, Indices
from cutfiles.nest.search.nofit.simplified import ROUGH
from cutfiles.nest.search.overlap.separate import InnerFit, Positions, separated

# How a stuck pair's weight grows, the deepest most, and how the others' fade. Found by trying wedges,
# squares and mixtures; anything near does.
_GROW, _GROW_DEEPEST, _FADE = 1.05, 0.5, 0.95
_ORIENTATIONS_A_MOVE = 2
_PUSH_EACH = 3  # rounds of moves: pushing takes as long as a round, and mostly gets nowhere
_MANY_EDGES = 20  # of a no-fit polygon: with more, rougher ones say where to look
_WINDOW = 1.0  # of the piece's own size, to each side
# When to give up before all moves are made. Found by watching wedges on a score of sheets, and blades and
# outlines on eighty containers: starts that found room after many moves were within half a piece's side, all
# overlaps summed, after forty, and within a fifth after a hundred (of very many pieces after more);
# and few pieces that had not come nearer for a while went round in circles.
_LOOKS, _MANY = ((40, 0.5), (75, 0.25), (100, 0.2)), 50
_STUCK_A_PIECE = 20


@dataclass(frozen=True, slots=True)
class Start:
    """How to begin: from a layout and one piece of a shape anywhere, or with all pieces scattered."""

    placed: tuple[
        PlacedItem, ...
    ]  # nothing nearer than the gap; positions count from the room's lower left corner
    shape: str  # what to add; it may lie as any item of that shape
    seed: int
    scattered: bool = False
    patient: bool = False  # make all moves, however far the pieces are from lying apart


class OverlapMinimisation:
    """Finds room for one piece more among others and obstacles in a rectangle."""

    def __init__(self, items: Sequence[OrientedItem], *, gap_mm: float, obstacles: Rings = ()) -> None:
        self.tables = Tables.made(items, gap_mm=gap_mm, obstacles=obstacles)
        self.items = self.tables.half_planes.items

    def one_more(
        self, start: Start, *, size: tuple[float, float], moves: int, stop: ShouldStop
    ) -> tuple[PlacedItem, ...] | None:
        """Return a new layout with one piece more, or None if that wasn't found.

        Args:
            start: where to begin; its items are those of this minimisation.
            size: width and height of the rectangle, mm.
            moves: how many moves of single pieces to try.
            stop: asked now and then whether to give up.
        """
        dice = random.Random(start.seed)
        half_planes = self.tables.half_planes
        room = InnerFit.in_rectangle(half_planes.items, size, obstacles=len(half_planes.obstacles))
        same = same_shape(half_planes.items, room)
        item_indices = [half_planes.items.index(placed_item.item) for placed_item in start.placed] + [
            dice.choice(same[start.shape])
        ]
        choices = [same[half_planes.items[item_index].shape] for item_index in item_indices]
        x = [placed_item.x_mm for placed_item in start.placed]
        y = [placed_item.y_mm for placed_item in start.placed]
        if start.scattered:
            item_indices, x, y = [dice.choice(own) for own in choices], [], []
        for item_index in item_indices[len(x) :]:
            low_x, low_y, high_x, high_y = room.of_item(item_index)
            x.append(dice.uniform(low_x, high_x))
            y.append(dice.uniform(low_y, high_y))
        fixed = list(half_planes.obstacles)
        item_indices, x, y = item_indices + fixed, x + [0.0] * len(fixed), y + [0.0] * len(fixed)
        trial = GuidedLocalSearch(
            self.tables, Positions(np.array(item_indices), np.array(x), np.array(y)), choices, room, dice
        )
        return trial.placed() if trial.run(moves, stop, patient=start.patient) else None

    def separate(
        self,
        placed: Sequence[PlacedItem],
        *,
        size: tuple[float, float],
        moves: int,
        stop: ShouldStop,
    ) -> tuple[PlacedItem, ...] | None:
        """Return pieces that lie too near moved apart, or None if that wasn't found.

        Args:
            placed: pieces that may overlap or stick out; their items are those of this minimisation.
            size: width and height of the rectangle, mm.
            moves: how many moves of single pieces to try.
            stop: asked now and then whether to give up.
        """
        half_planes = self.tables.half_planes
        room = InnerFit.in_rectangle(half_planes.items, size, obstacles=len(half_planes.obstacles))
        same = same_shape(half_planes.items, room)
        item_indices = [half_planes.items.index(placed_item.item) for placed_item in placed]
        choices = [same[half_planes.items[item_index].shape] for item_index in item_indices]
        x, y = [], []
        for number, placed_item in enumerate(placed):
            if item_indices[number] not in choices[number]:
                if not choices[number]:
                    return None
                item_indices[number] = choices[number][0]
            low_x, low_y, high_x, high_y = room.of_item(item_indices[number])
            x.append(min(max(placed_item.x_mm, low_x), high_x))
            y.append(min(max(placed_item.y_mm, low_y), high_y))
        fixed = list(half_planes.obstacles)
        at = Positions(
            np.array(item_indices + fixed),
            np.array(x + [0.0] * len(fixed)),
            np.array(y + [0.0] * len(fixed)),
        )
        trial = GuidedLocalSearch(self.tables, at, choices, room, random.Random(0))
        return trial.placed() if trial.run(moves, stop, patient=False) else None


def same_shape(items: Sequence[OrientedItem], room: InnerFit) -> dict[str, list[int]]:
    """Return which items are one shape at its several turns, as far as the room holds them."""
    return {
        name: [index for index, item in enumerate(items) if item.shape == name and room.holds(index)]
        for name in {item.shape for item in items}
    }


def as_laid(items: Sequence[OrientedItem], at: Positions) -> tuple[PlacedItem, ...]:
    """Return pieces, no obstacles, numbered from the lower left, as a person reads them off the mat."""
    placed = [
        PlacedItem(items[item_index], x, y)
        for item_index, x, y in zip(at.item_indices.tolist(), at.x.tolist(), at.y.tolist(), strict=True)
        if item_index < len(items)
    ]
    placed.sort(
        key=lambda placed_item: (
            round(placed_item.y_mm + placed_item.item.bounds[1], 3),
            round(placed_item.x_mm, 3),
        )
    )
    return tuple(placed)


@dataclass(frozen=True, slots=True)
class Tables:
    """What a trial looks up: `boundaries`, maybe rough, give positions, `half_planes` the depths there."""

    half_planes: HalfPlanes
    boundaries: Boundaries

    @staticmethod
    def made(items: Sequence[OrientedItem], *, gap_mm: float, obstacles: Rings = ()) -> Tables:
        """Return the tables of some items and obstacles."""
        half_planes = HalfPlanes(items, gap_mm=gap_mm, obstacles=obstacles)
        rough = half_planes
        if half_planes.edges > _MANY_EDGES:
            rough = HalfPlanes(items, gap_mm=gap_mm, obstacles=obstacles, detail=ROUGH)
        return Tables(half_planes, Boundaries(rough))


class _Stagnation:
    """How near the pieces have come to lying apart, and whether it is worth while to go on."""

    def __init__(self, side_mm: float, pieces: int) -> None:
        many = max(1.0, pieces / _MANY)
        self._looks = [(many * moves, share * side_mm) for moves, share in _LOOKS]
        self._patience = _STUCK_A_PIECE * pieces
        self._least_mm, self._since = math.inf, 0

    def note(self, overlap_mm: float, made: int) -> None:
        """Keep how much the pieces overlap in all after so many moves."""
        if overlap_mm < self._least_mm - OVERLAP_TOLERANCE_MM:
            self._least_mm, self._since = overlap_mm, made

    def is_hopeless(self, made: int) -> bool:
        """Return whether to give up after so many moves."""
        if made - self._since >= self._patience:
            return True
        return any(made >= moves and self._least_mm > near_mm for moves, near_mm in self._looks)


class GuidedLocalSearch:
    """Pieces as arrays of item indices and origins, moved until none overlaps another."""

    def __init__(
        self, tables: Tables, at: Positions, choices: Sequence[list[int]], room: InnerFit, dice: random.Random
    ) -> None:
        """Begin with pieces anywhere in the room; `choices` are the item indices that each may take."""
        self._half_planes, self._boundaries, self._dice = tables.half_planes, tables.boundaries, dice
        self._at, self._choices, self._room = at, choices, room
        self._weights = np.ones((len(at.item_indices), len(at.item_indices)))

    @property
    def at(self) -> Positions:
        """The pieces as they lie now."""
        return self._at

    def run(self, moves: int, stop: ShouldStop, *, patient: bool = True) -> bool:
        """Move and push until nothing overlaps; say whether that was reached within so many moves.

        Not `patient`, it gives up before where the pieces don't come near to lying apart.
        """
        at = self._at
        depths = self._half_planes.all_depths(at.item_indices, at.x, at.y)
        made = rounds = 0
        stagnation = _Stagnation(self._mean_side_mm(), len(self._choices))
        while not stop():
            if rounds % _PUSH_EACH == 0 or made >= moves or depths.max() <= OVERLAP_TOLERANCE_MM:
                pushed = separated(self._half_planes, self._room, at, stop)
                if pushed is not None:
                    self._at = pushed
                    return True
                if made >= moves:
                    return False
            stagnation.note(float(depths.sum()) / 2, made)
            if not patient and stagnation.is_hopeless(made):
                return False
            rounds += 1
            stuck = [
                index for index in range(len(self._choices)) if depths[index].max() > OVERLAP_TOLERANCE_MM
            ]
            self._dice.shuffle(stuck)
            with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # once, as it takes its time
                for index in stuck:
                    if depths[index].max() > OVERLAP_TOLERANCE_MM and not stop():
                        self._move(index, depths)
                        made += 1
            deepest = depths.max()
            if deepest > 0:
                grown = self._weights * (_GROW + _GROW_DEEPEST * depths / deepest)
                self._weights = np.where(
                    depths > OVERLAP_TOLERANCE_MM, grown, np.maximum(1.0, self._weights * _FADE)
                )
        return False

    def _mean_side_mm(self) -> float:
        """The mean of the pieces' sides: of each the side of a square as large as its bounds."""
        items = [
            self._half_planes.items[item_index]
            for item_index in self._at.item_indices.tolist()[: len(self._choices)]
        ]
        return sum(math.sqrt(item.width_mm * item.height_mm) for item in items) / len(items)

    def placed(self) -> tuple[PlacedItem, ...]:
        """Return the pieces as they lie."""
        return as_laid(self._half_planes.items, self._at)

    def _move(self, index: int, depths: Array) -> None:
        """Move one piece to the best position of two windows, around where it lies and anywhere."""
        at, weights = self._at, self._weights[index]
        best = round(float((weights * depths[index]).sum()), 6) - 1e-6  # rounded: the last bit never decides
        chosen: tuple[int, float, float, Indices, Array] | None = None
        for item_index in self._orientations_to_try(index):
            boxes = self._half_planes.boxes_beside(item_index, (at.item_indices, at.x, at.y))
            for window in self._windows(index, item_index):
                near = self._near(index, boxes, window)
                neighbours = (at.item_indices[near], at.x[near], at.y[near])
                vertices = arrangement_vertices(self._boundaries, item_index, neighbours, window, self._dice)
                neighbour_depths = self._half_planes.depths(vertices, item_index, neighbours)
                costs = np.add.reduce(neighbour_depths * weights[near], axis=1).round(6)
                least = int(costs.argmin())
                if costs[least] < best:
                    best = float(costs[least])
                    chosen = (
                        item_index,
                        float(vertices[0][least]),
                        float(vertices[1][least]),
                        near,
                        neighbour_depths[least],
                    )
        if chosen is not None:
            at.item_indices[index], at.x[index], at.y[index], near, found_depths = chosen
            depths[index], depths[:, index] = 0.0, 0.0
            depths[index, near] = depths[near, index] = found_depths

    def _orientations_to_try(self, index: int) -> list[int]:
        """The item indices to try for a piece: of many orientations a few, as the next move tries others."""
        choices = self._choices[index]
        return (
            choices
            if len(choices) <= _ORIENTATIONS_A_MOVE
            else self._dice.sample(choices, _ORIENTATIONS_A_MOVE)
        )

    def _windows(self, index: int, item_index: int) -> list[SearchWindow]:
        room = self._room.of_item(item_index)
        low_x, low_y, high_x, high_y = room
        item = self._half_planes.items[item_index]
        aside, above = _WINDOW * item.width_mm, _WINDOW * item.height_mm
        anywhere = (self._dice.uniform(low_x, high_x), self._dice.uniform(low_y, high_y))
        here = (self._at.x.item(index), self._at.y.item(index))
        return [SearchWindow.around(spot, aside, above, room) for spot in (here, anywhere)]

    def _near(self, index: int, boxes: Array, window: SearchWindow) -> Indices:
        """The other pieces in which a piece may lie that is anywhere in the window."""
        near: Flags = boxes[2] > window.low[0]
        near &= boxes[3] > window.low[1]
        near &= boxes[0] < window.high[0]
        near &= boxes[1] < window.high[1]
        near[index] = False
        indices: Indices = near.nonzero()[0]
        return indices
