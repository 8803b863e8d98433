"""Several shapes on one container, and fewer pieces of one than it holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutfiles.geometry.outline import area
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.context import SearchContext
from cutfiles.nest.base.leftover import area_mm2, largest_left
from cutfiles.nest.base.orientations import moved
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.greedy.construct import Construction, rules
from cutfiles.nest.search.greedy.packing import Packing, PositionRule
from cutfiles.nest.search.maximise import CountMaximisation
from cutfiles.nest.search.overlap.insert import Insertion

_OfOne = Callable[[Container, str, int], tuple[PlacedItem, ...]]  # at most so many pieces of a shape

_TO_CHOOSE_FROM = 4  # layouts of all that is wanted, of which the one that leaves most is taken
_SEARCHED = 4  # of the layouts, those that cover most, for which the room beside them is searched


@dataclass(frozen=True, slots=True)
class _RuleLayout:
    """What a rule laid, and along which axis the room beside was filled first; None if it wasn't."""

    rule: PositionRule
    beside: int | None
    placed: tuple[PlacedItem, ...]
    worth_mm2: float


class MixedShapes:
    """Lays what is wanted and no more; remembers what it has solved."""

    def __init__(
        self,
        context: SearchContext,
        construction: Construction,
        insertion: Insertion,
        maximisation: CountMaximisation,
    ) -> None:
        self._context, self._construction, self._insertion = context, construction, insertion
        self._maximisation = maximisation
        self._known: dict[tuple[Container, Wanted], tuple[PlacedItem, ...]] = {}
        self._quick: dict[tuple[Container, Wanted], list[_RuleLayout]] = {}
        self._on: dict[Container, list[tuple[PlacedItem, ...]]] = {}

    def solved(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...] | None:
        """Return what was found for just this before, None if it wasn't asked."""
        return self._known.get((container, wanted))

    def learn(self, container: Container, wanted: Wanted, placed: tuple[PlacedItem, ...]) -> None:
        """Keep what was found for a container."""
        self._known[(container, wanted)] = placed
        self._on.setdefault(container, []).append(placed)

    def of_one(self, container: Container, shape: str, most: int) -> tuple[PlacedItem, ...]:
        """Return at most so many pieces of one shape, and no more than fit."""
        most = min(most, bound := self._context.bound(container, shape))
        if most <= 0:
            return ()
        if most == bound:
            return self._maximisation.maximise(container, shape)
        wanted = ((shape, most),)
        layout = self.solved(container, wanted)
        if layout is None:
            layout = self._few(container, shape, most)
            if layout is None:
                layout = trimmed(self._maximisation.maximise(container, shape), wanted)
            self.learn(container, wanted, layout)
        return layout

    def _few(self, container: Container, shape: str, most: int) -> tuple[PlacedItem, ...] | None:
        """Return fewer pieces than fit, or None where no greedy rule lays them.

        They lie so that what is left of the container is large and in one piece.
        """
        items = self._context.items.on(container, shape)
        choices = []
        for rule in rules(container):
            placed = self._construction.by_rule(container, items, rule, most=most)
            if len(placed) == most:
                choices.append(moved(placed, container.margin_mm))
                if self._context.clock.effort.numbers:
                    break
        return _leaving_most(container, choices) if choices else None

    def lay(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        """Return at most as many of each shape as wanted; of several the first are wanted most."""
        layout = self.lay_quickly(container, wanted)
        if _missing(layout, wanted) and not self._context.clock.poll():
            layout = self._searched(container, wanted, layout)
        if not _missing(layout, wanted):
            return layout
        for other in self._on.get(container, []):
            counts = Counter(placed_item.item.shape for placed_item in other)
            if all(counts[shape] >= most for shape, most in wanted):
                return trimmed(other, wanted)
        if self._context.clock.effort.starts and not self._context.clock.poll():
            more = self._insertion.insert([layout], container, _missing(layout, wanted))
            if more is not None:
                return more
        return layout

    def lay_quickly(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        """Return what greedy rules alone lay of what is wanted."""
        trials = self._trials(container, wanted)
        complete = [trial.placed for trial in trials if not _missing(trial.placed, wanted)]
        return (
            _leaving_most(container, complete)
            if complete
            else max(trials, key=lambda trial: trial.worth_mm2).placed
        )

    def _searched(
        self, container: Container, wanted: Wanted, layout: tuple[PlacedItem, ...]
    ) -> tuple[PlacedItem, ...]:
        """The most promising layouts again, with all rules and rows for the room beside the large pieces.

        No piece is inserted there: that is done once, on the whole container.
        """
        best = (self._worth_mm2(layout), layout)
        promising = [trial for trial in self._trials(container, wanted) if trial.beside is not None]
        for trial in sorted(promising, key=lambda trial: -trial.worth_mm2)[:_SEARCHED]:
            packing = self._first_laid(container, wanted, trial.rule)
            tried = self._trial(
                packing, container, wanted, trial.rule, beside=trial.beside, search=self._constructed
            )
            if tried.worth_mm2 > best[0]:
                best = (tried.worth_mm2, tried.placed)
                self._context.clock.tick(len(tried.placed))
            if not _missing(tried.placed, wanted) or self._context.clock.poll():
                break
        return best[1]

    def _trials(self, container: Container, wanted: Wanted) -> list[_RuleLayout]:
        """A plain layout for each greedy rule, and those that first fill the room beside the large pieces."""
        key = (container, wanted)
        if key in self._quick:
            return self._quick[key]
        trials: list[_RuleLayout] = []
        complete, most = 0, 0
        enough = 1 if self._context.clock.effort.numbers else _TO_CHOOSE_FROM
        for rule in rules(container):
            packing = self._first_laid(container, wanted, rule)
            for beside in (None, 0, 1) if not container.obstacles and len(wanted) > 1 else (None,):
                trial = self._trial(packing, container, wanted, rule, beside=beside, search=self._estimated)
                trials.append(trial)
                if len(trial.placed) > most:
                    most = len(trial.placed)
                    self._context.clock.tick(most)
                if not _missing(trial.placed, wanted):
                    complete += 1
                    break
            if complete == enough or self._context.clock.poll():
                break
        self._quick[key] = trials
        return trials

    def _first_laid(self, container: Container, wanted: Wanted, rule: PositionRule) -> Packing:
        """A packing with all but the last shape laid by a rule."""
        items = self._context.items.on(container, *(shape for shape, _ in wanted))
        packing = self._construction.packing(container, items)
        for shape, most in wanted[:-1]:
            packing.fill(_of_shape(items, shape), rule, most=most)
        return packing

    def _trial(
        self,
        first_laid: Packing,
        container: Container,
        wanted: Wanted,
        rule: PositionRule,
        *,
        beside: int | None,
        search: _OfOne,
    ) -> _RuleLayout:
        """The last shape laid too: at once, or first in the room right of or above the large pieces."""
        last, most = wanted[-1]
        packing = first_laid.copy()
        if beside is not None:
            self._fill_beside(packing, container, last, most, axis=beside, search=search)
        left = most - sum(placed.item.shape == last for placed in packing.placed)
        packing.fill(_of_shape(packing.items, last), rule, most=left)
        placed = moved(packing.placed, container.margin_mm)
        return _RuleLayout(rule, beside, placed, self._worth_mm2(placed))

    def _worth_mm2(self, placed: Sequence[PlacedItem]) -> float:
        """The area that is covered."""
        shapes = self._context.items.shapes
        return round(sum(area(shapes[placed_item.item.shape].cut) for placed_item in placed), 3)

    def _estimated(self, container: Container, shape: str, most: int) -> tuple[PlacedItem, ...]:
        return trimmed(self._construction.estimate(container, shape), ((shape, most),))

    def _constructed(self, container: Container, shape: str, most: int) -> tuple[PlacedItem, ...]:
        if self._context.bound(container, shape) <= 0:
            return ()
        return trimmed(self._maximisation.constructed(container, shape), ((shape, most),))

    def _fill_beside(
        self, packing: Packing, container: Container, shape: str, most: int, *, axis: int, search: _OfOne
    ) -> None:
        """Fill the free rectangle beyond all laid pieces with one shape."""
        used = (
            max((_end(placed, axis) for placed in packing.placed), default=-self._context.gap_mm)
            + self._context.gap_mm
        )
        room = list(container.room)
        room[axis] -= used
        if min(room) <= 0:
            return
        rest = Container(room[0], room[1], 0.0, container.turns, container.mirrored)
        index_of = {(item.shape, item.turn_deg): index for index, item in enumerate(packing.items)}
        for placed in search(rest, shape, most):
            x, y = (placed.x_mm + used, placed.y_mm) if axis == 0 else (placed.x_mm, placed.y_mm + used)
            packing.lay(index_of[(shape, placed.item.turn_deg)], x, y)


def trimmed(placed: Sequence[PlacedItem], wanted: Wanted) -> tuple[PlacedItem, ...]:
    """Return a layout with no more of each shape than wanted: what lies furthest from one side goes."""
    choices = []
    for axis in (1, 0):
        left = dict(wanted)
        kept = []
        for placed_item in sorted(placed, key=lambda piece: (_end(piece, axis), _end(piece, 1 - axis))):
            if left.get(placed_item.item.shape, 0) > 0:
                left[placed_item.item.shape] -= 1
                kept.append(placed_item)
        choices.append(tuple(kept))
    return min(choices, key=lambda kept: round(_extent_mm2(kept), 3))


def _extent_mm2(placed: Sequence[PlacedItem]) -> float:
    """The area of the rectangle from the corner that holds all."""
    return max((_end(placed_item, 0) for placed_item in placed), default=0.0) * max(
        (_end(placed_item, 1) for placed_item in placed), default=0.0
    )


def _missing(placed: Sequence[PlacedItem], wanted: Wanted) -> list[tuple[str, int]]:
    counts = Counter(placed_item.item.shape for placed_item in placed)
    return [(shape, most - counts[shape]) for shape, most in wanted if most > counts[shape]]


def _of_shape(items: Sequence[OrientedItem], shape: str) -> list[int]:
    return [index for index, item in enumerate(items) if item.shape == shape]


def _end(placed: PlacedItem, axis: int) -> float:
    return (placed.x_mm, placed.y_mm)[axis] + placed.item.bounds[axis + 2]


def _leaving_most(container: Container, layouts: Sequence[tuple[PlacedItem, ...]]) -> tuple[PlacedItem, ...]:
    """The layout that leaves the largest rectangle; the first of equals."""
    if len(layouts) == 1:
        return layouts[0]
    return max(layouts, key=lambda placed: area_mm2(largest_left(container, placed)))
