"""Several shapes on one container, and fewer pieces of one than it holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from cutfiles.geometry.outline import area
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.context import SearchContext
from cutfiles.nest.base.leftover import area_mm2, largest_left
from cutfiles.nest.base.orientations import moved
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.greedy.construct import Construction, rules
from cutfiles.nest.greedy.packing import Packing
from cutfiles.nest.overlap.insert import Insertion
from cutfiles.nest.search.maximise import CountMaximisation

_TO_CHOOSE_FROM = 4  # layouts of all that is wanted, of which the one that leaves most is taken


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
            packing = self._construction.packing(container, items)
            if packing.fill(range(len(items)), rule, most=most) == most:
                choices.append(moved(packing.placed, container.margin_mm))
        return _leaving_most(container, choices) if choices else None

    def lay(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        """Return at most as many of each shape as wanted; of several the first are wanted most."""
        layout = self._greedy(container, wanted)
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

    def _greedy(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        items = self._context.items.on(container, *(shape for shape, _ in wanted))
        last, most_last = wanted[-1]
        best: tuple[float, list[PlacedItem]] = (-1.0, [])
        complete: list[tuple[PlacedItem, ...]] = []
        everything = sum(most for _, most in wanted)
        for rule in rules(container):
            packing = self._construction.packing(container, items)
            for shape, most in wanted[:-1]:
                packing.fill(_of_shape(items, shape), rule, most=most)
            for start in (None, 0, 1) if not container.obstacles and len(wanted) > 1 else (None,):
                # The plain greedy, then the room right of or above the large pieces filled well first.
                trial = packing.copy()
                if start is not None:
                    self._fill_beside(trial, container, last, most_last, axis=start)
                left = most_last - sum(placed.item.shape == last for placed in trial.placed)
                trial.fill(_of_shape(items, last), rule, most=left)
                worth = round(
                    sum(area(self._context.items.shapes[placed.item.shape].cut) for placed in trial.placed),
                    3,
                )
                if worth > best[0]:
                    best = (worth, trial.placed)
                    self._context.clock.tick(len(trial.placed))
                if len(trial.placed) == everything:
                    complete.append(moved(trial.placed, container.margin_mm))
                    break
            if len(complete) == _TO_CHOOSE_FROM:
                break
            if self._context.clock.poll():
                break
        return _leaving_most(container, complete) if complete else moved(best[1], container.margin_mm)

    def _fill_beside(
        self, packing: Packing, container: Container, shape: str, most: int, *, axis: int
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
        for placed in self.of_one(rest, shape, most):
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
