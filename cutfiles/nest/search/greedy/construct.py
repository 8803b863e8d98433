"""Layouts of one shape built piece by piece: by greedy rules, and by rows and columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

from cutfiles.nest.base.container import Container
from cutfiles.nest.base.context import SearchContext
from cutfiles.nest.base.orientations import moved
from cutfiles.nest.base.oriented_item import OrientedItem, without_bays
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.turns import narrower, tried
from cutfiles.nest.search.greedy.packing import NoFits, Packing, PositionRule
from cutfiles.nest.search.greedy.rows import StackedRows
from cutfiles.nest.search.greedy.rules import AROUND, RULES

_VERY_MANY = 600  # pieces


class Construction:
    """Builds layouts; remembers no-fit regions and rows, as the containers of a job have them in common."""

    def __init__(self, context: SearchContext) -> None:
        self._context = context
        self._strips: dict[tuple[OrientedItem, ...], StackedRows] = {}
        self._quick: dict[tuple[Container, str], tuple[PlacedItem, ...]] = {}
        # What a rule laid on a room, and whether that was all it could.
        self._laid: dict[tuple[object, ...], tuple[list[PlacedItem], bool]] = {}

    def no_fits(self, items: tuple[OrientedItem, ...]) -> NoFits:
        """Return where items keep out of each other."""
        return self._strips_of(items).no_fits

    def packing(self, container: Container, items: tuple[OrientedItem, ...]) -> Packing:
        """Return the container's room, empty."""
        width, height = container.room
        return Packing(
            self.no_fits(items),
            width_mm=width,
            height_mm=height,
            obstacles=container.obstacles,
            stop=self._context.clock.is_overdue,
        )

    def by_rule(
        self, container: Container, items: tuple[OrientedItem, ...], rule: PositionRule, *, most: int
    ) -> list[PlacedItem]:
        """Return up to so many pieces, as a greedy rule lays them in the container's room.

        Remembered: where more pieces are asked for the first of them lie alike.
        """
        key = (items, container.room, container.obstacles, rule)
        laid, full = self._laid.get(key, ([], False))
        if len(laid) < most and not full:
            packing = self.packing(container, items)
            packing.fill(range(len(items)), rule, most=most)
            laid, full = packing.placed, len(packing.placed) < most
            if not self._context.clock.is_overdue():
                self._laid[key] = laid, full
        return laid[:most]

    def estimate(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return what two greedy rules find: enough to choose how to rough-cut."""
        key = (container, shape)
        if key not in self._quick:
            items = self._context.items.on(container, shape)
            bound = self._context.bound(container, shape)
            best: list[PlacedItem] = []
            for rule in RULES[:2]:
                best = max(best, self.by_rule(container, items, rule, most=bound), key=len)
                if len(best) >= bound:
                    break
            self._quick[key] = moved(best, container.margin_mm)
        return self._quick[key]

    def up_to(
        self, container: Container, shape: str, most: int, *, all_rules: bool
    ) -> tuple[PlacedItem, ...]:
        """Return up to so many pieces, as soon as a greedy rule lays them all.

        Args:
            container: what to lay them on.
            shape: what to lay.
            most: pieces that are enough.
            all_rules: try all rules, and some with fewer turns as well; else two rules, with all turns.
        """
        best: list[PlacedItem] = []
        turns = tried(container.turns)
        sets = [(turns, rules(container) if all_rules else RULES[:2])]
        if all_rules:
            sets += [(fewer, RULES[: len(RULES) // 2]) for fewer in narrower(turns)]
        for some, several in sets:
            items = self._context.items.on(container.with_turns(some), shape)
            for rule in several:
                best = max(best, self.by_rule(container, items, rule, most=most), key=len)
                if len(best) >= most or self._context.clock.poll():
                    return moved(best, container.margin_mm)
        return moved(best, container.margin_mm)

    def maximise(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return as many pieces as rules and rows find; it stops where the bound is met."""
        bound = self._context.bound(container, shape)
        best: list[PlacedItem] = []
        for layout in self._layouts(container, shape, bound):
            if len(layout) > len(best):
                best = layout
                self._context.clock.tick(len(best))
            if len(best) == bound or self._context.clock.poll():
                break
        return moved(best, container.margin_mm)

    def _layouts(self, container: Container, shape: str, most: int) -> Iterator[list[PlacedItem]]:
        for items in _families(self._context.items.on(container, shape)):
            by_rules, in_rows = self._by_rules(container, items, most), self._in_rows(container, items, most)
            # Of very many pieces rows are laid in a moment, and each rule takes long.
            yield from chain(in_rows, by_rules) if most > _VERY_MANY else chain(by_rules, in_rows)

    def _by_rules(
        self, container: Container, items: tuple[OrientedItem, ...], most: int
    ) -> Iterator[list[PlacedItem]]:
        for rule in rules(container):
            yield self.by_rule(container, items, rule, most=most)

    def _in_rows(
        self, container: Container, items: tuple[OrientedItem, ...], most: int
    ) -> Iterator[list[PlacedItem]]:
        # Rows know of no obstacles.
        if not container.obstacles and most >= self._context.clock.effort.rows_from:
            width, height = container.room
            yield from self._strips_of(items).layouts(width_mm=width, height_mm=height, most=most)

    def _strips_of(self, items: tuple[OrientedItem, ...]) -> StackedRows:
        if items not in self._strips:
            no_fits = NoFits(items, gap_mm=self._context.gap_mm)
            self._strips[items] = StackedRows(no_fits, stop=self._context.clock.is_overdue)
        return self._strips[items]


def rules(container: Container) -> Sequence[PositionRule]:
    """Return the greedy rules worth trying on a container, in their order."""
    return (*RULES, *AROUND) if container.obstacles else RULES


def _families(items: tuple[OrientedItem, ...]) -> Iterator[tuple[OrientedItem, ...]]:
    """The items, and with bays filled too: an even row may beat what interlocks."""
    yield items
    if any(len(item.parts) > 1 for item in items):
        yield tuple(without_bays(item) for item in items)
