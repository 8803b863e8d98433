"""Rectangles laid into rectangles: keeps every largest free one (the maximal rectangles method).

Source: J. Jylänki, "A Thousand Ways to Pack the Bin" (2010), whose notation is from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.reach import Rect


class FreeSpace:
    """What is left free, as all the largest rectangles; they overlap."""

    def __init__(self, free: Sequence[Rect]) -> None:
        self.free = list(free)

    def spot(self, width_mm: float, height_mm: float) -> Rect | None:
        """Return the lowest, then leftmost place for a rectangle as it lies, or None."""
        fits = [rect for rect in self.free if rect.holds(width_mm, height_mm)]
        if not fits:
            return None
        place = min(fits, key=lambda rect: (round(rect.y_mm, 6), round(rect.x_mm, 6)))
        return Rect(place.x_mm, place.y_mm, width_mm, height_mm)

    def take(self, taken: Rect) -> None:
        """Mark a rectangle as used."""
        parts = [part for rect in self.free for part in _less(rect, taken)]
        self.free = [
            part
            for index, part in enumerate(parts)
            if not any(
                _within(part, other) and (not _within(other, part) or before < index)
                for before, other in enumerate(parts)
                if before != index
            )
        ]


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
