"""As many pieces of one shape as a container is found to hold: whatever search finds most.

So that a wider rule never gives less than a narrower one, narrower sets of turns are searched as well where
they may come near, and inserting one more begins with the best of all. Containers that are one another
turned are solved once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutfiles.nest.base.container import Container
from cutfiles.nest.base.context import SearchContext
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.turns import narrower, tried
from cutfiles.nest.search.greedy.construct import Construction
from cutfiles.nest.search.overlap.insert import Insertion

# What no layout is likely to reach of the room's area, gaps counted as cloth: there it isn't tried.
_FULLEST = 0.97
# Fewer turns are only searched as well where that comes near: inserting one more was seen to add a tenth.
_NEAR, _NEAR_SHARE = 2, 1.12


class CountMaximisation:
    """Searches containers, and remembers what it has solved."""

    def __init__(self, context: SearchContext, construction: Construction, insertion: Insertion) -> None:
        self._context, self._construction, self._insertion = context, construction, insertion
        self._known: dict[tuple[Container, str], tuple[PlacedItem, ...]] = {}
        self._constructed: dict[tuple[Container, str], tuple[PlacedItem, ...]] = {}

    def maximise(self, container: Container, shape: str, *, extend: bool = True) -> tuple[PlacedItem, ...]:
        """Return placed items; positions count from the lower left corner, margin included."""
        key = (container, shape)
        if key not in self._known:
            self._known[key] = self._search(container, shape, extend=extend)
        return self._known[key]

    def solved(self, container: Container, shape: str) -> tuple[PlacedItem, ...] | None:
        """Return what `maximise` found, None if it wasn't asked yet."""
        return self._known.get((container, shape))

    def learn(self, container: Container, shape: str, placed: tuple[PlacedItem, ...]) -> None:
        """Keep what was found for a container elsewhere, unless as much is known."""
        if len(self._known.get((container, shape), ())) < len(placed) or not placed:
            self._known[(container, shape)] = placed

    def constructed(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return what rules and rows lay, before any piece is inserted."""
        # Narrower rules are compared by this first; those searched in full begin with it as well.
        key = (container, shape)
        if key not in self._constructed:
            self._constructed[key] = self._construction.maximise(container, shape)
        return self._constructed[key]

    def _search(self, container: Container, shape: str, *, extend: bool) -> tuple[PlacedItem, ...]:
        turns = tried(container.turns)
        upright = _upright(container)
        if upright != container:
            return self._quarter_on(self.maximise(upright, shape, extend=extend), container)
        bound = self._context.bound(container, shape)
        items = len(self._context.items.on(container, shape))
        # A circle has one item for all turns: fewer turns make no other search.
        containers = [container.with_turns(some) for some in narrower(turns)]
        fewer = [narrower for narrower in containers if len(self._context.items.on(narrower, shape)) < items]
        # First in the list: a layout that mixes all turns is the better start.
        layouts = [self.constructed(container, shape)]
        if len(layouts[0]) < bound and not self._context.clock.poll():
            fewer = [narrower for narrower in fewer if self._comes_near(narrower, shape, len(layouts[0]))]
            self._solve_ahead([_upright(narrower) for narrower in fewer], shape)
            layouts += [self.maximise(narrower, shape, extend=False) for narrower in fewer]
        most = max(map(len, layouts))
        best = [placed for placed in layouts if len(placed) == most]
        room = math.ceil(bound * _FULLEST) - most
        if room > 0 and self._context.clock.effort.starts:
            more = self._insertion.insert(
                best, container, [(shape, room)], refined=len(layouts) > 1, extend=extend
            )
            if more is not None:
                return more
        return best[0]

    def _solve_ahead(self, containers: Sequence[Container], shape: str) -> None:
        """Have several containers solved at once if anybody helps, before each is asked for."""
        open_ = [container for container in containers if (container, shape) not in self._known]
        questions = [(container, ((shape, self._context.bound(container, shape)),)) for container in open_]
        for container, placements in zip(open_, self._context.helpers.solve(questions), strict=True):
            if placements is not None:
                self.learn(container, shape, self._context.items.placed(placements))

    def _comes_near(self, container: Container, shape: str, count: int) -> bool:
        # Turned back, as it is searched then: it isn't built twice.
        return len(self.constructed(_upright(container), shape)) * _NEAR_SHARE + _NEAR >= count

    def _quarter_on(self, placed: Sequence[PlacedItem], container: Container) -> tuple[PlacedItem, ...]:
        """What lies on a container turned back, turned on: (x, y) comes to lie at (width − y, x)."""
        return tuple(
            PlacedItem(
                self._context.items.item(
                    placed_item.item.shape, (placed_item.item.turn_deg + 90.0) % 360.0, container.mirrored
                ),
                container.width_mm - placed_item.y_mm,
                placed_item.x_mm,
            )
            for placed_item in placed
        )


def _upright(container: Container) -> Container:
    """A container whose least turn is a quarter, turned back: on a square that is the one of half turns."""
    if container.obstacles or container.turns is None or container.turns[0] < 90.0:
        return container
    return container.quarter_back()
