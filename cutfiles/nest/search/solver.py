"""Fill one rectangle as well as we can: the one door to all searches.

Deterministic: it stops when its strategies are through or the bound is met, never by the clock, unless
the user gave a time limit.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from cutfiles.geometry.outline import area
from cutfiles.nest.base.bound import most_in
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.orientations import Orientations, Plain, plain
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.greedy.construct import Construction
from cutfiles.nest.lattice.search import LatticeSearch, Source
from cutfiles.nest.overlap.insert import Attempt, Attempts, Insertion
from cutfiles.nest.search.maximise import CountMaximisation
from cutfiles.nest.search.mixed_shapes import MixedShapes, trimmed
from cutfiles.nest.strip.shortest import StripPacking
from cutfiles.pieces.shape import Shape

_SHORTER_MM = 2.0  # nobody cuts fabric off a roll by less

# Solves several containers at once and teaches the solver what was found.
Solve = Callable[[Sequence[tuple[Container, Wanted]]], None]


class Solver:
    """Fills containers with a job's shapes and remembers what it has solved."""

    def __init__(self, shapes: Sequence[Shape], *, gap_mm: float, clock: Clock) -> None:
        self.clock = clock
        self._gap_mm = gap_mm
        self._orientations = Orientations(shapes)
        self._construction = Construction(self._orientations, self.bound, gap_mm=gap_mm, clock=clock)
        self._insertion = Insertion(self._orientations, gap_mm=gap_mm, clock=clock)
        self._most = CountMaximisation(self._orientations, self._construction, self._insertion, self.bound)
        self._most.ahead = self._narrower_ahead
        self._solve_ahead: Solve | None = None
        self._mixed_shapes = MixedShapes(
            self._orientations, self._construction, self._insertion, gap_mm=gap_mm, fill=self.fill
        )
        self._shortest = StripPacking(self._orientations, self._construction, gap_mm=gap_mm, clock=clock)
        self._lattice = LatticeSearch(
            Source(self._orientations.shapes, self._orientations.on), gap_mm=gap_mm, clock=clock
        )

    def bound(self, container: Container, shape: str, *, gap_mm: float | None = None) -> int:
        """Return how many of a shape the container can't pass; the gap is the job's if none is given."""
        if container.lattice is not None:
            return self._lattice.bound(container, shape, gap_mm=gap_mm)
        width, height = container.room
        return most_in(
            self._orientations.shapes[shape],
            self._orientations.on(container, shape),
            width_mm=width,
            height_mm=height,
            gap_mm=self._gap_mm if gap_mm is None else gap_mm,
            obstacles=container.obstacles,
        )

    def maximise(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return as many pieces of one shape as the container is found to hold."""
        if container.lattice is not None:
            return self._lattice.maximise(container, shape)
        return self._most.maximise(container, shape)

    def estimate(self, container: Container, shape: str) -> tuple[PlacedItem, ...]:
        """Return what two greedy rules find for one shape: enough to choose how to rough-cut."""
        if container.lattice is not None:
            return self._lattice.estimate(container, shape)
        solved = self._most.solved(container, shape)
        return self._construction.estimate(container, shape) if solved is None else solved

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
        if len(asked) == 1 and asked[0][1] >= self.bound(container, asked[0][0]):
            return self.maximise(container, asked[0][0])
        found = self._mixed_shapes.solved(container, asked)
        if found is None:
            found = (
                self._of_one(container, *asked[0])
                if len(asked) == 1
                else self._mixed_shapes.lay(container, asked)
            )
            self._mixed_shapes.learn(container, asked, found)
        return found

    def shortest(
        self, container: Container, wanted: Wanted, *, share: float = 0.5, seed: int = 0
    ) -> tuple[PlacedItem, ...] | None:
        """Return all that is wanted, laid on as short a length of the container as found, or None.

        Where the user gave a time limit it takes about that share of what is left: others are to come.
        Positions count from the container's lower left corner, margin included; the length used is where the
        furthest piece ends, and the margin. Another seed may find another length.
        """
        found = None
        if container.lattice is None and not container.obstacles:
            found = self._shortest.shortest(container, wanted, share=share, seed=seed)
        return self._halved(container, wanted) if found is None else found

    def _halved(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...] | None:
        """The least length, found by halving, at which the container is filled with all that is wanted."""
        placed = self.fill(container, wanted)
        if len(placed) < sum(count for _, count in wanted):
            return None
        covered = sum(area(self._orientations.shapes[shape].cut) * count for shape, count in wanted)
        least, most = 2 * container.margin_mm + covered / container.room[0], _used_mm(container, placed)
        while most - least > _SHORTER_MM and not self.clock.is_up():
            middle = (least + most) / 2
            tried = self.fill(replace(container, length_mm=middle), wanted)
            if len(tried) == len(placed):
                placed, most = tried, min(middle, _used_mm(container, tried))
            else:
                least = middle
        return placed

    def asked(self, container: Container, wanted: Wanted) -> Wanted:
        """Return what is wanted as far as the container could give it at all."""
        could = ((shape, min(most, self.bound(container, shape))) for shape, most in wanted)
        return tuple((shape, most) for shape, most in could if most > 0)

    def _of_one(self, container: Container, shape: str, most: int) -> tuple[PlacedItem, ...]:
        few = self._mixed_shapes.few(container, shape, most)
        return few if few is not None else trimmed(self.maximise(container, shape), ((shape, most),))

    def is_solved(self, container: Container, wanted: Wanted) -> bool:
        """Return whether `fill` has its answer at hand."""
        asked = self.asked(container, wanted)
        if not asked:
            return True
        if len(asked) == 1 and asked[0][1] >= self.bound(container, asked[0][0]):
            return self._most.solved(container, asked[0][0]) is not None
        return self._mixed_shapes.solved(container, asked) is not None

    def solve(self, container: Container, wanted: Wanted) -> Plain:
        """Return what `fill` finds, as plain values."""
        return plain(self.fill(container, wanted))

    def learn(self, container: Container, wanted: Wanted, found: Plain) -> None:
        """Keep what another process found, as if `fill` had."""
        asked, placed = self.asked(container, wanted), self._orientations.placed(found)
        if len(asked) == 1 and asked[0][1] >= self.bound(container, asked[0][0]):
            self._most.learn(container, asked[0][0], placed)
        else:
            self._mixed_shapes.learn(container, asked, placed)

    def gets_help(self, attempts: Attempts | None, solve: Solve | None) -> None:
        """Have others make attempts and solve containers ahead; None for doing all here."""
        self._insertion.attempts = attempts or self._insertion.in_turn
        self._solve_ahead = solve

    def counts_only(self) -> None:
        """Never search beyond the counted work: who asks for help has more to do with the time."""
        self._insertion.may_go_on = False

    def ahead(self, questions: Sequence[tuple[Container, Wanted]]) -> None:
        """Have several containers solved at once if anybody helps, as each will be asked for."""
        if self._solve_ahead is not None:
            self._solve_ahead(
                [(container, wanted) for container, wanted in questions if container.lattice is None]
            )

    def _narrower_ahead(self, containers: Sequence[Container], shape: str) -> None:
        self.ahead([(container, ((shape, self.bound(container, shape)),)) for container in containers])

    def in_turn(self, attempts: Sequence[Attempt]) -> Plain | None:
        """Make attempts here, one after the other."""
        return self._insertion.in_turn(attempts)

    def attempt(self, attempt: Attempt, stop: Callable[[], bool]) -> Plain | None:
        """Return what one start of an overlap minimisation finds."""
        return self._insertion.make(attempt, stop)


def _used_mm(container: Container, placed: Sequence[PlacedItem]) -> float:
    return (
        max((one.y_mm + one.item.bounds[3] for one in placed), default=container.margin_mm)
        + container.margin_mm
    )
