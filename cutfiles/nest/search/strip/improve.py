"""The shortest strip that holds given pieces: begin with any layout, and try small changes.

Two pieces change places, or some are taken out and laid anew where they lie least deep in others; then all
are shifted apart and together again (see `compact`). What fits the same length is kept, and the next change
is made to that (iterated local search: Lourenço, Martin and Stützle 2003; taking out and laying anew:
Schrimpf and others, "Record breaking optimization results using the ruin and recreate principle", 2000; both
from memory). It stops by counted tries and counted rows of programs. The same start and seed give the same
answer.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import numpy as np

from cutfiles.nest.base.clock import ShouldStop, StripWork
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.overlap.minimise import as_laid, same_shape
from cutfiles.nest.search.overlap.separate import InnerFit, Positions
from cutfiles.nest.search.strip.compact import Compaction

_CHANGE_PLACES = 0.5  # share of the tries, where there are several shapes
_TAKEN_OUT = (1, 1, 1, 2, 3)
_NEIGHBOURS, _FROM_THE_END = 0.5, 0.3  # shares of those tries, of the rest of them
_LAST_FEW = 6  # a sixth of the pieces
_SHUFFLED = 0.3  # of those tries; else large pieces are laid first
_POSITIONS = 100  # looked at for a piece
_LONGER = (1.0, 1.0001, 1.001, 1.005)  # tried where a proposal has to be put right


class StripImprovement:
    """Shortens layouts on a strip of one width; its length runs along y, from 0."""

    def __init__(self, compaction: Compaction) -> None:
        """Shorten strips of the width that the compaction is for."""
        self._half_planes, self._compaction = compaction.half_planes, compaction

    def shortened(
        self, placed: Sequence[PlacedItem], *, work: StripWork | None, seed: int, stop: ShouldStop
    ) -> tuple[PlacedItem, ...]:
        """Return the pieces laid anew on no longer a strip.

        Args:
            placed: nothing nearer than the gap; its items are those of the planes.
            work: how much to do; None for as long as there is time.
            seed: for the dice.
            stop: asked before each try whether to give up.
        """
        dice, rows = random.Random(seed), self._compaction.rows
        now = self._compaction.together(self._pieces(placed), stop)
        length, made = self._compaction.length_mm(now), 0
        while not stop():
            if work is not None and (made >= work.tries or self._compaction.rows - rows >= work.rows):
                break
            made += 1
            changed = self._changed(now, length, dice)
            apart = (
                None if changed is None else self._compaction.separated(changed, length_mm=length, stop=stop)
            )
            if apart is not None:
                # As long is kept, too: it is another start.
                now = self._compaction.together(apart, stop)
                length = self._compaction.length_mm(now)
        return as_laid(self._half_planes.items, now)

    def put_right(self, placed: Sequence[PlacedItem], *, stop: ShouldStop) -> tuple[PlacedItem, ...] | None:
        """Return a proposal with its pieces shifted apart and into the strip, or None where that fails."""
        at = self._pieces(placed)
        length = self._compaction.length_mm(at)
        for longer in _LONGER:
            right = self._compaction.separated(at, length_mm=length * longer, stop=stop)
            if right is not None:
                return as_laid(self._half_planes.items, right)
        return None

    def _pieces(self, placed: Sequence[PlacedItem]) -> Positions:
        item_indices = np.array([self._half_planes.items.index(placed_item.item) for placed_item in placed])
        return Positions(
            item_indices,
            np.array([placed_item.x_mm for placed_item in placed]),
            np.array([placed_item.y_mm for placed_item in placed]),
        )

    def _changed(self, now: Positions, length: float, dice: random.Random) -> Positions | None:
        """A layout with a change, which mostly overlaps; None where the dice hit nothing to change."""
        room = self._compaction.room(length)
        same = same_shape(self._half_planes.items, room)
        shapes = [self._half_planes.items[item_index].shape for item_index in now.item_indices]
        changed = now.copy()
        if len(set(shapes)) > 1 and dice.random() < _CHANGE_PLACES:
            first, second = dice.sample(range(len(shapes)), 2)
            if shapes[first] == shapes[second]:
                return None
            places = self._middle(now, first), self._middle(now, second)
            for index, place in ((first, places[1]), (second, places[0])):
                changed.item_indices[index] = dice.choice(same[shapes[index]])
                x, y = self._middle(changed, index)
                changed.x[index] += place[0] - x
                changed.y[index] += place[1] - y
            return changed
        out = self._taken_out(now, dice)
        there = [index for index in range(len(shapes)) if index not in out]
        for index in out:
            item_index = dice.choice(same[shapes[index]])
            changed.item_indices[index] = item_index
            changed.x[index], changed.y[index] = self._least_deep_position(
                changed, there, item_index, room, dice
            )
            there.append(index)
        return changed

    def _taken_out(self, now: Positions, dice: random.Random) -> list[int]:
        """Pieces to lay anew, in that order: neighbours, or some of the last ones, or any."""
        items = [self._half_planes.items[item_index] for item_index in now.item_indices]
        most = min(dice.choice(_TAKEN_OUT), len(items))
        if dice.random() < _NEIGHBOURS:
            middles = [self._middle(now, index) for index in range(len(items))]
            about = dice.choice(middles)
            near = [round(math.dist(middle, about), 6) for middle in middles]
            out = sorted(range(len(items)), key=near.__getitem__)[:most]
        elif dice.random() < _FROM_THE_END:
            ends = [round(float(y) + item.bounds[3], 6) for y, item in zip(now.y, items, strict=True)]
            last = sorted(range(len(items)), key=lambda index: -ends[index])
            out = dice.sample(last[: max(most, len(items) // _LAST_FEW)], most)
        else:
            out = dice.sample(range(len(items)), most)
        out.sort(key=lambda index: -items[index].width_mm * items[index].height_mm)
        if dice.random() < _SHUFFLED:
            dice.shuffle(out)
        return out

    def _middle(self, at: Positions, index: int) -> tuple[float, float]:
        left, low, right, high = self._half_planes.items[at.item_indices[index]].bounds
        return float(at.x[index]) + (left + right) / 2, float(at.y[index]) + (low + high) / 2

    def _least_deep_position(
        self, at: Positions, neighbours: list[int], item_index: int, room: InnerFit, dice: random.Random
    ) -> tuple[float, float]:
        """The position, of some drawn by lot, at which a piece lies least deep in its neighbours."""
        low_x, low_y, high_x, high_y = room.of_item(item_index)
        positions = [(dice.uniform(low_x, high_x), dice.uniform(low_y, high_y)) for _ in range(_POSITIONS)]
        if not neighbours:
            return positions[0]
        x, y = np.array(positions).T
        depths = self._half_planes.depths(
            (x, y), item_index, (at.item_indices[neighbours], at.x[neighbours], at.y[neighbours])
        )
        return positions[int(np.round(depths.sum(axis=1), 6).argmin())]
