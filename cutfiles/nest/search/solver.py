"""Fill one rectangle as well as we can: the one door to all searches.

Deterministic: it stops when its strategies are through or the bound is met, never by the clock, unless
the user gave a time limit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutfiles.geometry.outline import area
from cutfiles.nest.base.clock import Clock, ShouldStop
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.context import ALONE, Attempt, Helpers, Question, SearchContext
from cutfiles.nest.base.orientations import Orientations, PlainLayout, moved, plain
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.cloth import LEAST_SAVED_MM
from cutfiles.nest.search.greedy.construct import Construction
from cutfiles.nest.search.lattice.search import LatticeSearch
from cutfiles.nest.search.maximise import CountMaximisation
from cutfiles.nest.search.mixed_shapes import MixedShapes
from cutfiles.nest.search.overlap.insert import Insertion
from cutfiles.nest.search.strip.shortest import StripPacking
from cutfiles.pieces.shape import Shape


class Solver:
    """Fills containers with a job's shapes and remembers what it has solved."""

    def __init__(
        self,
        shapes: Sequence[Shape],
        *,
        gap_mm: float,
        clock: Clock,
        helpers: Helpers = ALONE,
        extends: bool = True,
    ) -> None:
        """Solve for one job; `helpers` and `extends` are the context's (see there)."""
        context = SearchContext(Orientations(shapes), gap_mm, clock, helpers, extends)
        self.clock, self._context = clock, context
        self._construction = Construction(context)
        self._insertion = Insertion(context)
        self._maximisation = CountMaximisation(context, self._construction, self._insertion)
        self._mixed_shapes = MixedShapes(context, self._construction, self._insertion, self._maximisation)
        self._strip_packing = StripPacking(context, self._construction)
        self._lattice = LatticeSearch(context)

    @property
    def gap_mm(self) -> float:
        """Least distance between two pieces."""
        return self._context.gap_mm

    def proven_bound(self, container: Container, shape: str, *, gap_mm: float | None = None) -> int:
        """Return how many of a shape the container can't pass; the gap is the job's if none is given.

        Where a print repeats, the container is searched for it.
        """
        if container.lattice is not None:
            return self._lattice.proven_bound(container, shape, gap_mm=gap_mm)
        return self._context.bound(container, shape, gap_mm=gap_mm)

    def maximise(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return as many pieces of one shape as the container is found to hold."""
        if container.lattice is not None:
            return self._lattice.maximise(container, shape)
        return self._maximisation.maximise(container, shape)

    def estimate(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return what two greedy rules find for one shape: enough to choose how to rough-cut."""
        if container.lattice is not None:
            return self._lattice.estimate(container, shape)
        solved = self._maximisation.solved(container, shape)
        return self._construction.estimate(container, shape) if solved is None else solved

    def up_to(self, container: Container, shape: str, most: int, *, all_rules: bool) -> PlainLayout:
        """Return up to `most` pieces of one shape that greedy rules lay: all of them, or two."""
        most = min(most, self.proven_bound(container, shape))
        if most <= 0:
            return ()
        if container.lattice is not None:
            laid = self._lattice.maximise if all_rules else self._lattice.estimate
            return plain(laid(container, shape)[:most])
        return plain(self._construction.up_to(container, shape, most, all_rules=all_rules))

    def separate(
        self, container: Container, shape: str, layout: PlainLayout, *, moves: int
    ) -> PlainLayout | None:
        """Return a layout of one shape, whose pieces may overlap or stick out, moved apart.

        None where that wasn't found. Positions count from the container's corner, margin included.
        """
        if container.lattice is not None or self.proven_bound(container, shape) < len(layout):
            return None
        in_room = plain(moved(self._context.items.placed(layout), -container.margin_mm))
        found = self._insertion.separate(container, shape, in_room, moves)
        return found and plain(moved(self._context.items.placed(found), container.margin_mm))

    def learn_layout(self, container: Container, shape: str, layout: PlainLayout) -> bool:
        """Take a layout of one shape alone as what `maximise` finds, unless that found as many.

        Return whether it is taken.
        """
        found = self._maximisation.solved(container, shape)
        if found is not None and len(found) >= len(layout):
            return False
        self._maximisation.learn(container, shape, self._context.items.placed(layout))
        return True

    def greedy_estimate(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return what two greedy rules find for one shape, whatever has been solved meanwhile."""
        return self._construction.estimate(container, shape)

    def fill(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        """Return pieces laid on the container, at most as many of each shape as wanted.

        Positions count from the container's lower left corner, margin included.
        """
        if container.lattice is not None:
            return self._lattice.fill(container, wanted)
        asked = self.asked(container, wanted)
        if not asked:
            return ()
        if len(asked) == 1:
            return self._mixed_shapes.of_one(container, *asked[0])
        placed = self._mixed_shapes.solved(container, asked)
        if placed is None:
            placed = self._mixed_shapes.lay(container, asked)
            self._mixed_shapes.learn(container, asked, placed)
        return placed

    def greedy_fill(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        """Return what greedy rules alone lay of what is wanted, on cloth without a repeat."""
        asked = self.asked(container, wanted)
        return self._mixed_shapes.lay_quickly(container, asked) if asked else ()

    def shortest(
        self, container: Container, wanted: Wanted, *, share: float = 0.5, seed: int = 0
    ) -> tuple[PlacedItem, ...] | None:
        """Return all that is wanted, laid on as short a length of the container as found, or None.

        Where the user gave a time limit it takes about that share of what is left: others are to come.
        Positions count from the container's lower left corner, margin included; the length used is where the
        furthest piece ends, and the margin. Another seed may find another length.
        """
        shortest = None
        if container.lattice is None and not container.obstacles:
            shortest = self._strip_packing.shortest(container, wanted, share=share, seed=seed)
        return self._halved(container, wanted) if shortest is None else shortest

    def _halved(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...] | None:
        """The least length, found by halving, at which the container is filled with all that is wanted."""
        placed = self.fill(container, wanted)
        if len(placed) < sum(count for _, count in wanted):
            return None
        covered = sum(area(self._context.items.shapes[shape].cut) * count for shape, count in wanted)
        least, most = 2 * container.margin_mm + covered / container.room[0], _used_mm(container, placed)
        while most - least > LEAST_SAVED_MM and not self.clock.poll():
            middle = (least + most) / 2
            tried = self.fill(replace(container, length_mm=middle), wanted)
            if len(tried) == len(placed):
                placed, most = tried, min(middle, _used_mm(container, tried))
            else:
                least = middle
        return placed

    def asked(self, container: Container, wanted: Wanted) -> Wanted:
        """Return what is wanted as far as the container could give it at all."""
        could = ((shape, min(most, self.proven_bound(container, shape))) for shape, most in wanted)
        return tuple((shape, most) for shape, most in could if most > 0)

    def is_solved(self, container: Container, wanted: Wanted) -> bool:
        """Return whether `fill` has its answer at hand."""
        asked = self.asked(container, wanted)
        if not asked:
            return True
        if len(asked) == 1 and asked[0][1] >= self.proven_bound(container, asked[0][0]):
            return self._maximisation.solved(container, asked[0][0]) is not None
        return self._mixed_shapes.solved(container, asked) is not None

    def solve(self, container: Container, wanted: Wanted) -> PlainLayout:
        """Return what `fill` finds, as plain values."""
        return plain(self.fill(container, wanted))

    def learn(self, container: Container, wanted: Wanted, solution: PlainLayout) -> None:
        """Keep what another process found, as if `fill` had."""
        asked, placed = self.asked(container, wanted), self._context.items.placed(solution)
        if len(asked) == 1 and asked[0][1] >= self.proven_bound(container, asked[0][0]):
            self._maximisation.learn(container, asked[0][0], placed)
        else:
            self._mixed_shapes.learn(container, asked, placed)

    def solve_ahead(self, questions: Sequence[Question]) -> None:
        """Have several containers solved at once if anybody helps, as each will be asked for."""
        asked = dict.fromkeys(question for question in questions if question[0].lattice is None)
        open_ = [question for question in asked if not self.is_solved(*question)]
        for question, solution in zip(open_, self._context.helpers.solve(open_), strict=True):
            if solution is not None:
                self.learn(*question, solution)

    def attempt(self, attempt: Attempt, stop: ShouldStop) -> PlainLayout | None:
        """Return what one start of an overlap minimisation finds."""
        return self._insertion.make(attempt, stop)


def _used_mm(container: Container, placed: Sequence[PlacedItem]) -> float:
    return (
        max(
            (placed_item.y_mm + placed_item.item.bounds[3] for placed_item in placed),
            default=container.margin_mm,
        )
        + container.margin_mm
    )
