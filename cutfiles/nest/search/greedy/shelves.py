"""Pieces laid as upright rectangles on shelves: in a moment, where time has run out for anything better."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.outline import Bounds
from cutfiles.geometry.rectangles import overlap
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.base.placed_item import Rings


@dataclass(frozen=True, slots=True)
class Free:
    """What is free of a rectangle: all right of `left_mm`, or all above `low_mm`; obstacles in it."""

    width_mm: float
    height_mm: float
    left_mm: float
    low_mm: float
    obstacles: Rings = ()

    def regions(self) -> tuple[Bounds, Bounds]:
        """Return both regions, either of which is free."""
        right = (self.left_mm, 0.0, self.width_mm, self.height_mm)
        return right, (0.0, self.low_mm, self.width_mm, self.height_mm)


def on_shelves(
    items: Sequence[OrientedItem], free: Free, *, gap_mm: float, most: float
) -> list[tuple[OrientedItem, float, float]]:
    """Return one of the items as often as its rectangle fits, at most so often, with places of its origin.

    Of the items and of the free regions those are taken that give most, the first of equals.
    """
    taken = [_box(ring) for ring in free.obstacles]
    best: list[tuple[OrientedItem, float, float]] = []
    for item in items:
        for region in free.regions():
            laid: list[tuple[OrientedItem, float, float]] = []
            for x, y in _places(item, region, gap_mm, taken):
                if len(laid) >= most:
                    break
                laid.append((item, x - item.bounds[0], y - item.bounds[1]))
            if len(laid) > len(best):
                best = laid
    return best


def _places(
    item: OrientedItem, region: Bounds, gap_mm: float, taken: Sequence[Bounds]
) -> Iterator[tuple[float, float]]:
    """Lower left corners, row by row from the lower left."""
    left, low, right, high = region
    width, height = item.width_mm, item.height_mm
    y = low
    while y + height <= high + TOUCH_MM:
        x = left
        while x + width <= right + TOUCH_MM:
            box = (x, y, x + width, y + height)
            if not any(overlap(box, other) for other in taken):
                yield x, y
            x += width + gap_mm
        y += height + gap_mm


def _box(ring: Sequence[tuple[float, float]]) -> Bounds:
    x, y = zip(*ring, strict=True)
    return min(x), min(y), max(x), max(y)
