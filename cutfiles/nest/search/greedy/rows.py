"""Rows of every useful height, each filled by itself, stacked by dynamic programming.

Spare height is worth pieces: beside full rows (one blade high) stand rows meshed part-way like the teeth
of a zip, between one and two blades high. Which heights to stack is an unbounded knapsack.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from cutfiles.nest.base.clock import ShouldStop
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.greedy.packing import NoFits, Packing, never
from cutfiles.nest.search.greedy.rules import ALONG_X, ALONG_Y, RULES

HEIGHTS_TRIED = 12
TALLEST = 2.2  # blades; beyond two a strip is two strips, or the whole rectangle


@dataclass(frozen=True, slots=True)
class _FilledRow:
    height_mm: float
    placed: tuple[PlacedItem, ...]


class StackedRows:
    """Stacks rows of some items; remembers each row, as rectangles of one width have them in common."""

    def __init__(self, no_fits: NoFits, *, stop: ShouldStop = never) -> None:
        """Stack until told to stop: what comes then may be no more than begun."""
        self.no_fits, self._stop = no_fits, stop
        self._filled: dict[tuple[int, float, float], _FilledRow] = {}

    def layouts(self, *, width_mm: float, height_mm: float, most: int) -> Iterator[list[PlacedItem]]:
        """Yield layouts of stacked rows, then of columns side by side, each topped up where room is left.

        Args:
            width_mm: of the rectangle.
            height_mm: likewise.
            most: no layout has more pieces.
        """
        no_fits = self.no_fits
        for axis, across in ((1, height_mm), (0, width_mm)):
            strips = [
                self._strip(axis, *((width_mm, height) if axis == 1 else (height, height_mm)))
                for height in _heights(no_fits, axis, across)
            ]
            packing = Packing(no_fits, width_mm=width_mm, height_mm=height_mm, stop=self._stop)
            start = 0.0
            for strip in _stack(_worth_having(strips), across, no_fits.gap_mm):
                for placed_item in strip.placed[: most - len(packing.placed)]:
                    x, y = (
                        (placed_item.x_mm, placed_item.y_mm + start)
                        if axis == 1
                        else (placed_item.x_mm + start, placed_item.y_mm)
                    )
                    packing.lay(no_fits.items.index(placed_item.item), x, y)
                start += strip.height_mm + no_fits.gap_mm
            packing.fill(range(len(no_fits.items)), RULES[1 - axis], most=most - len(packing.placed))
            yield packing.placed

    def _strip(self, axis: int, width_mm: float, height_mm: float) -> _FilledRow:
        key = (axis, width_mm, height_mm)
        if key not in self._filled:
            self._filled[key] = _filled(self.no_fits, axis, (width_mm, height_mm), self._stop)
        return self._filled[key]


def _heights(no_fits: NoFits, axis: int, across_mm: float) -> list[float]:
    own = [item.height_mm if axis == 1 else item.width_mm for item in no_fits.items]
    least, most = min(own), min(TALLEST * max(own), across_mm)
    if least > across_mm:
        return []
    steps = {least + (most - least) * step / HEIGHTS_TRIED for step in range(HEIGHTS_TRIED + 1)}
    return sorted(steps | {height for height in own if height <= across_mm})


def _filled(no_fits: NoFits, axis: int, size: tuple[float, float], stop: ShouldStop) -> _FilledRow:
    best: list[PlacedItem] = []
    for rule in ALONG_X if axis == 1 else ALONG_Y:
        packing = Packing(no_fits, width_mm=size[0], height_mm=size[1], stop=stop)
        packing.fill(range(len(no_fits.items)), rule)
        if len(packing.placed) > len(best):
            best = packing.placed
    return _FilledRow(size[axis], tuple(best))


def _worth_having(strips: list[_FilledRow]) -> tuple[_FilledRow, ...]:
    """Drop strips that hold no more than a lower one does."""
    kept: list[_FilledRow] = []
    for strip in strips:
        if strip.placed and (not kept or len(strip.placed) > len(kept[-1].placed)):
            kept.append(strip)
    return tuple(kept)


def _stack(strips: tuple[_FilledRow, ...], room_mm: float, gap_mm: float) -> tuple[_FilledRow, ...]:
    """The strips, any of them several times, that hold most pieces in a height, with gaps between."""
    gap_nm = math.ceil(gap_mm * 1e6 - 1e-3)
    # Whole nanometres, so that states meet again; rounded against us by less than a touch.
    heights_nm = [math.ceil(strip.height_mm * 1e6 - 1e-3) for strip in strips]
    counts = [len(strip.placed) for strip in strips]

    @cache
    def best(left_nm: int, first: int) -> tuple[int, int]:
        """The most pieces from a strip on, and which strip comes first then; none is `len(strips)`."""
        most, chosen = 0, len(strips)
        for index in range(first, len(strips)):
            if heights_nm[index] > left_nm:
                break
            count = best(left_nm - heights_nm[index] - gap_nm, index)[0] + counts[index]
            if count > most:
                most, chosen = count, index
        return most, chosen

    stack: list[_FilledRow] = []
    left_nm, chosen = math.floor(room_mm * 1e6 + 1e-3), 0
    while (chosen := best(left_nm, chosen)[1]) < len(strips):
        stack.append(strips[chosen])
        left_nm -= heights_nm[chosen] + gap_nm
    return tuple(stack)
