"""One piece more, and one more after that: the overlap minimisation from several starts, on all cores.

The starts are counted and each has its dice; of those that find room the first in their order counts, so the
answer doesn't depend on how many run at once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.base.clock import ShouldStop
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.context import Attempt, SearchContext
from cutfiles.nest.base.orientations import PlainLayout, moved, plain, standing_for
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.overlap.minimise import OverlapMinimisation, Start

_MOVES_A_PIECE = 60  # from one start: few pieces are soon tried out
# Of some 800 starts on sheets and random containers 69 found room, two of those in the second
# half: it is made only where pieces are so few that it takes no time.
_OF_MANY, _FEW = 0.5, 5
_LEAST = 2  # starts for each shape where several are to be added: where one finds no room, others seldom do
_AGAIN = 0.6  # of the starts, where a narrower rule had all of them
_SHARE_OF_TIME = 0.5  # what is left of a limit is for further starts on one container; others are to come
_LONGER = 3  # times the moves of a counted start

# The first starts give up where pieces don't come near to lying apart. Where more are asked for there is
# time: now and then room is found from very far, as for bars that lie in a pinwheel.
_HURRIED = 6

# Every so many starts the pieces begin scattered: another order may hold more. Many never find theirs.
_SCATTERED_EACH, _SCATTERED_MOST = 4, 30


class Insertion:
    """Inserts pieces by overlap minimisation, and remembers the tables."""

    def __init__(self, context: SearchContext) -> None:
        self._context = context
        self._minimisations: dict[tuple[object, ...], OverlapMinimisation] = {}

    def insert(
        self,
        layouts: Sequence[Sequence[PlacedItem]],
        container: Container,
        missing: Sequence[tuple[str, int]],
        *,
        refined: bool = False,
        extend: bool = True,
    ) -> tuple[PlacedItem, ...] | None:
        """Return a layout with more pieces than the given ones have, or None if none was found.

        Args:
            layouts: of one count each; the starts take turns. Positions count from the container's corner.
            container: what to lay them on.
            missing: shapes to add and how many at most, the most wanted first.
            refined: the layouts were found under a narrower rule with insertions; fewer starts will do.
            extend: go on beyond the counted starts where the user gave time and the context lets it.
        """
        effort = self._context.clock.effort
        if refined:
            effort = replace(effort, starts=math.ceil(effort.starts * _AGAIN))
        shapes = tuple(
            dict.fromkeys(
                [name for name, _ in missing] + [placed_item.item.shape for placed_item in layouts[0]]
            )
        )
        starts = [plain(moved(placed, -container.margin_mm)) for placed in layouts]
        grown: PlainLayout | None = None
        for shape, most in missing:
            for _ in range(most):
                if self._context.clock.poll():
                    break
                counted = _starts(effort.starts, pieces=len(starts[0]), shapes=len(missing))
                moves = min(effort.moves, _MOVES_A_PIECE * (len(starts[0]) + 1))
                more = self._attempted(
                    [
                        Attempt(container, shapes, starts[seed % len(starts)], shape, seed, moves)
                        for seed in range(counted)
                    ]
                )
                if more is None and extend and self._context.extends:
                    more = self._given_time(container, shapes, starts, shape)
                if more is None:
                    break
                self._context.clock.tick(len(more))
                starts, grown = [more], more
        return None if grown is None else moved(self._context.items.placed(grown), container.margin_mm)

    def _given_time(
        self, container: Container, shapes: tuple[str, ...], starts: Sequence[PlainLayout], shape: str
    ) -> PlainLayout | None:
        """What further starts find, where the user gave more time than the counted ones took."""
        effort, first = self._context.clock.effort, self._context.clock.effort.starts
        until = self._context.clock.share(_SHARE_OF_TIME)
        while until is not None and self._context.clock.extend_until(until):
            inserted = self._attempted(
                [
                    Attempt(
                        container, shapes, starts[seed % len(starts)], shape, seed, _LONGER * effort.moves
                    )
                    for seed in range(first, first + effort.starts)
                ]
            )
            if inserted is not None:
                return inserted
            first += effort.starts
        return None

    def _attempted(self, attempts: Sequence[Attempt]) -> PlainLayout | None:
        """What the first attempt that finds room has found, in this process or in others."""
        outcome = self._context.helpers.attempt(attempts)
        return self.in_turn(attempts) if outcome is None else outcome.placed

    def make(self, attempt: Attempt, stop: ShouldStop) -> PlainLayout | None:
        """Return what one attempt finds."""
        container = attempt.container
        items = self._context.items.on(container, *attempt.shapes)
        added = [item for item in items if item.shape == attempt.add]
        if not any(_fits(item.width_mm, item.height_mm, container) for item in added):
            return None
        placed = standing_for(self._context.items.placed(attempt.placed), items)
        scattered = attempt.seed % _SCATTERED_EACH == _SCATTERED_EACH - 1 and len(placed) < _SCATTERED_MOST
        start = Start(placed, attempt.add, attempt.seed, scattered, patient=attempt.seed >= _HURRIED)
        placed_items = self._minimisation(items, container).one_more(
            start, size=container.room, moves=attempt.moves, stop=stop
        )
        return None if placed_items is None else plain(placed_items)

    def separate(
        self, container: Container, shape: str, layout: PlainLayout, moves: int
    ) -> PlainLayout | None:
        """Return a layout of one shape whose pieces may overlap or stick out, moved apart; None if not found.

        Args:
            container: what they are to lie on.
            shape: of all pieces.
            layout: positions count from the container's room.
            moves: of single pieces.
        """
        items = self._context.items.on(container, shape)
        if not any(_fits(item.width_mm, item.height_mm, container) for item in items):
            return None
        placed = standing_for(self._context.items.placed(layout), items)
        found = self._minimisation(items, container).separate(
            placed, size=container.room, moves=moves, stop=self._context.clock.poll
        )
        return None if found is None else plain(found)

    def _minimisation(self, items: tuple[OrientedItem, ...], container: Container) -> OverlapMinimisation:
        key = (items, container.obstacles)
        if key not in self._minimisations:
            self._minimisations[key] = OverlapMinimisation(
                items, gap_mm=self._context.gap_mm, obstacles=container.obstacles
            )
        return self._minimisations[key]

    def in_turn(self, attempts: Sequence[Attempt]) -> PlainLayout | None:
        """Make attempts one after the other; return what the first that found room has found."""
        for attempt in attempts:
            inserted = self.make(attempt, self._context.clock.poll)
            if inserted is not None:
                return inserted
        return None


def _starts(starts: int, *, pieces: int, shapes: int) -> int:
    """How many starts are made for a shape, of so many that might be."""
    if pieces > _FEW:
        starts = math.ceil(starts * _OF_MANY)
    return max(min(starts, _LEAST), starts // shapes)


def _fits(width_mm: float, height_mm: float, container: Container) -> bool:
    width, height = container.room
    return width_mm <= width + TOUCH_MM and height_mm <= height + TOUCH_MM
