"""One fabric cut into strips: each goes through from edge to edge of what is left, as a ruler cuts it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.base.layout import Lie, Strip
from cutfiles.nest.by_ruler.rows import Ruled
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.reach import Rect

RuledCounts = Sequence[tuple[Ruled, int]]  # a shape and how many, the one to cut first leading


@dataclass(frozen=True, slots=True)
class _Room:
    """A rectangle of a fabric piece that nothing is cut from yet."""

    piece: int
    rect: Rect


@dataclass(frozen=True, slots=True)
class _Choice:
    """A strip that could be cut from a room."""

    room: _Room
    turn_deg: float
    lie: Lie
    holds: int

    @property
    def area_mm2(self) -> float:
        return self.room.rect.width_mm * self.room.rect.height_mm


# Ranks strips that may be cut next: the least is cut first.
_PartingRule = Callable[[_Choice, int], tuple[float, ...]]


def _fullest_first(choice: _Choice, wanted: int) -> tuple[float, ...]:
    """Few strips: that which gives most, from the smaller room among equals."""
    return (-min(choice.holds, wanted), choice.area_mm2, choice.turn_deg)


def _leftovers_first(choice: _Choice, wanted: int) -> tuple[float, ...]:
    """Little cloth: from the smallest room, that which gives most."""
    return (choice.area_mm2, -min(choice.holds, wanted), choice.turn_deg)


def strips_of(fabric: FabricSpec, asked: RuledCounts) -> tuple[Strip, ...]:
    """Return strips that give at most what is asked, in the order in which they are cut.

    Two ways are tried, few strips and little cloth. That is taken which gives more of what is asked first,
    then needs fewer pieces of fabric, less length and fewer strips.

    Args:
        fabric: plain rectangles of cloth; where its length is as needed, all is found to lie on the least.
        asked: shapes and how many of each, the first to be cut leading.
    """
    ways = [_Cutting(fabric, rule).all_of(asked) for rule in (_fullest_first, _leftovers_first)]

    def rank(strips: tuple[Strip, ...]) -> tuple[float, ...]:
        given = [
            -float(sum(strip.count for strip in strips if strip.shape == ruled.name)) for ruled, _ in asked
        ]
        top = max((strip.y_mm + strip.length_mm for strip in strips), default=0.0)
        long = round(top, 3) if fabric.as_needed else 0.0
        return (*given, len({strip.piece for strip in strips}), long, len(strips))

    return min(ways, key=rank)


class _Cutting:
    """The pieces of one fabric on their way into strips."""

    def __init__(self, fabric: FabricSpec, rule: _PartingRule) -> None:
        self._fabric, self._rule = fabric, rule
        self._turns = cloth_of(fabric).turns
        self._rooms: list[_Room] = []
        self._opened = 0
        self._strips: list[Strip] = []

    def all_of(self, asked: RuledCounts) -> tuple[Strip, ...]:
        smallest = [min(ruled.width_mm, ruled.height_mm) for ruled, _ in asked]
        for place, (ruled, count) in enumerate(asked):
            left = count
            while left > 0:
                choice = self._choice(ruled, left)
                if choice is None:
                    break
                left -= self._cut(ruled, choice, left, least_mm=min(smallest[place:]))
        return tuple(self._strips)

    def _choice(self, ruled: Ruled, wanted: int) -> _Choice | None:
        """The strip to cut next: from what is open, else from the next piece."""
        choices = [choice for room in self._rooms for choice in self._choices_in(room, ruled)]
        if not choices and self._opened < self._fabric.pieces:
            whole = self._whole()
            choices = list(self._choices_in(whole, ruled)) if whole else []
            if choices and whole:
                self._opened += 1
                self._rooms.append(whole)
        return min(choices, key=lambda choice: self._rule(choice, wanted), default=None)

    def _whole(self) -> _Room | None:
        """The next piece of fabric, less its margin."""
        margin = self._fabric.margin_mm
        width, length = (side - 2 * margin for side in (self._fabric.width_mm, self._fabric.length_mm))
        if width <= 0 or length <= 0:
            return None
        return _Room(self._opened + 1, Rect(margin, margin, width, length))

    def _choices_in(self, room: _Room, ruled: Ruled) -> list[_Choice]:
        choices = []
        for turn, lie in ruled.ways(self._turns):
            high, long = room.rect.height_mm, room.rect.width_mm
            if turn:
                high, long = long, high
            holds = ruled.most(lie, long) if ruled.height_mm <= high + TOUCH_MM else 0
            if holds:
                choices.append(_Choice(room, turn, lie, holds))
        # Off the bolt a strip along the grain would run on and on: only where nothing goes across.
        across = [choice for choice in choices if not choice.turn_deg]
        return across if across and self._fabric.as_needed else choices

    def _cut(self, ruled: Ruled, choice: _Choice, wanted: int, *, least_mm: float) -> int:
        """Cut a strip, keep what is left beside it, and return how many pieces it gives."""
        room = choice.room
        self._rooms.remove(room)
        if choice.turn_deg and self._fabric.as_needed:
            room = self._shortened(room, ruled, choice, wanted)
        rect, high = room.rect, ruled.height_mm
        count = min(wanted, choice.holds)
        if choice.turn_deg:
            count = min(count, ruled.most(choice.lie, rect.height_mm))
        marks = ruled.marks(choice.lie, count)
        if choice.turn_deg:
            strip = Rect(rect.x_mm, rect.y_mm, high, rect.height_mm)
            rests = (
                Rect(rect.x_mm, rect.y_mm + marks.length_mm, high, rect.height_mm - marks.length_mm),
                Rect(rect.x_mm + high, rect.y_mm, rect.width_mm - high, rect.height_mm),
            )
        else:
            strip = Rect(rect.x_mm, rect.y_mm, rect.width_mm, high)
            rests = (
                Rect(rect.x_mm + marks.length_mm, rect.y_mm, rect.width_mm - marks.length_mm, high),
                Rect(rect.x_mm, rect.y_mm + high, rect.width_mm, rect.height_mm - high),
            )
        # Rests too small for anything still asked are dropped: thousands of pieces would leave too many.
        self._rooms += [
            _Room(room.piece, rest)
            for rest in rests
            if min(rest.width_mm, rest.height_mm) + TOUCH_MM >= least_mm
        ]
        self._strips.append(
            Strip(
                self._fabric.name,
                room.piece,
                strip.x_mm,
                strip.y_mm,
                strip.width_mm,
                strip.height_mm,
                ruled.name,
                count,
                choice.lie,
                choice.turn_deg,
                marks.top_mm,
                marks.bottom_mm,
            )
        )
        return count

    def _shortened(self, room: _Room, ruled: Ruled, choice: _Choice, wanted: int) -> _Room:
        """Off the bolt: just so long that strips side by side along the grain give what is wanted."""
        rect = room.rect
        columns = max(1, math.floor((rect.width_mm + TOUCH_MM) / ruled.height_mm))
        each = min(choice.holds, math.ceil(wanted / columns))
        long = ruled.marks(choice.lie, each).length_mm
        above = Rect(rect.x_mm, rect.y_mm + long, rect.width_mm, rect.height_mm - long)
        self._rooms.append(_Room(room.piece, above))
        return _Room(room.piece, Rect(rect.x_mm, rect.y_mm, rect.width_mm, long))
