"""Rows of pieces on a print's repeat, in closed form: how far apart, how many fit, how long the cloth.

No search: what rows need can be cut, and a search may find more. Lengths are mm; places are whole repeats.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.cutting_rules.repeat import next_on
from cutfiles.plate.blade import Blade


@dataclass(frozen=True, slots=True)
class Body:
    """How much room a piece takes about its origin: to both sides, and along the way that it points."""

    half_width_mm: float
    low_mm: float
    high_mm: float
    blade: Blade | None = None  # set: two turned end for end lie with their long edges side by side


@dataclass(frozen=True, slots=True)
class Pattern:
    """A row of pieces side by side, which repeats itself, and the next row."""

    places: tuple[int, ...]  # of the pieces of one period, in repeats from the first
    period: int  # repeats
    next_row: int  # repeats
    half_width_mm: float
    low_mm: float  # of the row, from its first piece's origin
    high_mm: float

    def place(self, number: int) -> int:
        """Return where in its row a piece lies, counted from 0."""
        period, rest = divmod(number, len(self.places))
        return period * self.period + self.places[rest]


def patterns(
    body: Body, *, ways: tuple[int, ...], beside_mm: float, ahead_mm: float, gap_mm: float
) -> Iterator[Pattern]:
    """Yield rows of pieces that keep the gap.

    Args:
        body: one piece.
        ways: 1 for pieces that point ahead, -1 for pieces turned end for end; both or one of them.
        beside_mm: the repeat, across the way that pieces point.
        ahead_mm: the repeat along it.
        gap_mm: least distance between two.

    Two blades whose origins lie Y apart along their centre lines, end for end, have parallel long edges.
    These are d·cos a − Y·sin a − 2·s apart where their centre lines are d apart: so that
    d ≥ Y·tan a + (2·s + g)/cos a.
    """
    alone = _steps(2 * body.half_width_mm + gap_mm, beside_mm)
    for way in ways:
        low, high = (body.low_mm, body.high_mm) if way > 0 else (-body.high_mm, -body.low_mm)
        yield Pattern((0,), alone, _steps(high - low + gap_mm, ahead_mm), body.half_width_mm, low, high)
    blade = body.blade
    if blade is None or len(ways) < 2:
        return
    a = blade.half_angle_rad
    for steps in range(math.ceil(2 * body.low_mm / ahead_mm), math.floor(2 * body.high_mm / ahead_mm) + 1):
        apart = steps * ahead_mm
        other = _steps(apart * math.tan(a) + (2 * blade.seam_mm + gap_mm) / math.cos(a), beside_mm)
        low, high = min(body.low_mm, apart - body.high_mm), max(body.high_mm, apart - body.low_mm)
        next_row = _steps(high - low + gap_mm, ahead_mm)
        yield Pattern((0, other), max(2 * other, alone), next_row, body.half_width_mm, low, high)


def _steps(length_mm: float, repeat_mm: float) -> int:
    return math.ceil((length_mm - TOUCH_MM) / repeat_mm)


@dataclass(frozen=True, slots=True)
class Line:
    """Pieces, or rows, one after the other along a side of the fabric, rough-cut where the mat is shorter."""

    pattern: Pattern
    rows: bool  # whole rows; else the pieces of a row
    repeat_mm: float
    margin_mm: float
    reach_mm: float  # what the mat takes; infinite for what is cut by hand
    stride: float  # repeats from one rough cut to the next

    def extent(self) -> tuple[float, float]:
        """Return how far one piece or row reaches back and ahead of the first origin in it."""
        pattern = self.pattern
        if self.rows:
            return pattern.low_mm, pattern.high_mm
        return -pattern.half_width_mm, pattern.half_width_mm

    @property
    def is_possible(self) -> bool:
        """Whether a rough cut has room for one."""
        return self._has_room(1)

    def used_mm(self, count: int) -> float:
        """Return the cloth from the first cut line to the last."""
        low, high = self.extent()
        return self._place(count - 1) * self.repeat_mm + high - low

    def end_mm(self, count: int, phase_mm: float) -> float:
        """Return where on the fabric so many end, margin and all, a motif lying at `phase_mm`."""
        low, _ = self.extent()
        return (
            next_on(phase_mm, self.repeat_mm, self.margin_mm - low)
            + low
            + self.used_mm(count)
            + self.margin_mm
        )

    def count(self, size_mm: float, phase_mm: float) -> int:
        """Return how many fit a side of the fabric."""
        count = 0
        while self.end_mm(count + 1, phase_mm) <= size_mm + TOUCH_MM:
            count += 1
        return count

    def _next(self, number: int) -> int:
        return number * self.pattern.next_row if self.rows else self.pattern.place(number)

    def _cut_mm(self, count: int) -> float:
        low, high = self.extent()
        return self._next(count - 1) * self.repeat_mm + high - low + 2 * self.margin_mm

    def _place(self, number: int) -> int:
        """Where a piece or row begins, in repeats: each rough cut takes as many as it has room for."""
        if math.isinf(self.stride):
            return self._next(number)
        each = 1
        while each <= number and self._has_room(each + 1):
            each += 1
        cuts, rest = divmod(number, each)
        return cuts * int(self.stride) + self._next(rest)

    def _has_room(self, count: int) -> bool:
        """Whether so many lie on one rough cut, and would leave the next one its gap if nothing were cut."""
        pattern = self.pattern
        if self.rows:
            uncut = count * pattern.next_row
        else:
            uncut = math.ceil(count / len(pattern.places)) * pattern.period
        room = min(self.reach_mm, self.stride * self.repeat_mm)
        return uncut <= self.stride and self._cut_mm(count) <= room + TOUCH_MM
