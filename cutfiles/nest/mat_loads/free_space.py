"""Rectangles laid into rectangles: keeps every largest free one (the maximal rectangles method).

Source: J. Jylänki, "A Thousand Ways to Pack the Bin" (2010), whose notation is from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.cutting_rules.reach import Rect

Score = tuple[float, ...]  # the least is the best
CornerRule = Callable[[Rect, float, float], Score]  # of a free rectangle, and of what is to lie in its corner


class FreeSpace:
    """What is left free, as all the largest rectangles; they overlap."""

    def __init__(self, free: Sequence[Rect]) -> None:
        self.free = list(free)
        self.comparisons = 0  # of pairs of rectangles so far: the measure of effort

    def place(self, width_mm: float, height_mm: float) -> Rect | None:
        """Return the lowest, then leftmost place for a rectangle as it lies, or None."""
        best = self.best(width_mm, height_mm, lowest)
        return None if best is None else best[1]

    def best(self, width_mm: float, height_mm: float, rule: CornerRule) -> tuple[Score, Rect] | None:
        """Return the place of least score for a rectangle as it lies, or None; lower left among equals."""
        best: tuple[Score, Rect] | None = None
        self.comparisons += len(self.free)
        for free in self.free:
            if free.holds(width_mm, height_mm):
                score = (*rule(free, width_mm, height_mm), round(free.y_mm, 6), round(free.x_mm, 6))
                if best is None or score < best[0]:
                    best = (score, Rect(free.x_mm, free.y_mm, width_mm, height_mm))
        return best

    def take(self, taken: Rect) -> None:
        """Mark a rectangle as used."""
        kept, parts = [], []
        for rect in self.free:
            left = _less(rect, taken)
            if len(left) == 1 and left[0] is rect:
                kept.append(rect)
            else:
                parts += left
        # What was largest before still is; only what was cut may lie within another.
        whole = kept + parts
        self.comparisons += len(parts) * len(whole)
        self.free = kept + [
            part
            for index, part in enumerate(parts, start=len(kept))
            if not any(
                _within(part, other) and (not _within(other, part) or before < index)
                for before, other in enumerate(whole)
                if before != index
            )
        ]


def lowest(free: Rect, _width_mm: float, height_mm: float) -> Score:
    """The place whose upper edge is lowest, then leftmost."""
    return (round(free.y_mm + height_mm, 6), round(free.x_mm, 6))


def tightest(free: Rect, width_mm: float, height_mm: float) -> Score:
    """The place that leaves least beside the rectangle one way, then the other ("best short side fit")."""
    beside, above = round(free.width_mm - width_mm, 6), round(free.height_mm - height_mm, 6)
    return (min(beside, above), max(beside, above))


def fullest(free: Rect, width_mm: float, height_mm: float) -> Score:
    """The smallest free rectangle that holds it ("best area fit")."""
    return (round(free.width_mm * free.height_mm - width_mm * height_mm, 6),)


def _less(rect: Rect, taken: Rect) -> list[Rect]:
    """The largest rectangles of `rect` that keep clear of `taken`."""
    right, top = rect.x_mm + rect.width_mm, rect.y_mm + rect.height_mm
    taken_right, taken_top = taken.x_mm + taken.width_mm, taken.y_mm + taken.height_mm
    apart = (
        taken.x_mm >= right - TOUCH_MM
        or taken_right <= rect.x_mm + TOUCH_MM
        or taken.y_mm >= top - TOUCH_MM
        or taken_top <= rect.y_mm + TOUCH_MM
    )
    if apart:
        return [rect]
    parts = [
        Rect(rect.x_mm, rect.y_mm, taken.x_mm - rect.x_mm, rect.height_mm),
        Rect(taken_right, rect.y_mm, right - taken_right, rect.height_mm),
        Rect(rect.x_mm, rect.y_mm, rect.width_mm, taken.y_mm - rect.y_mm),
        Rect(rect.x_mm, taken_top, rect.width_mm, top - taken_top),
    ]
    return [part for part in parts if part.width_mm > TOUCH_MM and part.height_mm > TOUCH_MM]


def _within(inner: Rect, outer: Rect) -> bool:
    return (
        inner.x_mm >= outer.x_mm - TOUCH_MM
        and inner.y_mm >= outer.y_mm - TOUCH_MM
        and inner.x_mm + inner.width_mm <= outer.x_mm + outer.width_mm + TOUCH_MM
        and inner.y_mm + inner.height_mm <= outer.y_mm + outer.height_mm + TOUCH_MM
    )
