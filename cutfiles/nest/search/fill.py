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
from cutfiles.nest.base.forms import Forms, Plain, plain
from cutfiles.nest.base.ground import Ground, Wanted
from cutfiles.nest.base.placed import Laid
from cutfiles.nest.greedy.construct import Construct
from cutfiles.nest.lattice.lattice import OnLattice, Source
from cutfiles.nest.overlap.more import Attempt, Attempts, More
from cutfiles.nest.search.mixture import Mixtures, trimmed
from cutfiles.nest.search.most import Most
from cutfiles.nest.strip.shortest import Shortest
from cutfiles.pieces.shape import Shape

_SHORTER_MM = 2.0  # nobody cuts fabric off a roll by less

# Solves several grounds at once and teaches the filler what was found.
Solve = Callable[[Sequence[tuple[Ground, Wanted]]], None]


class Filler:
    """Fills grounds with a job's shapes and remembers what it has solved."""

    def __init__(self, shapes: Sequence[Shape], *, gap_mm: float, clock: Clock) -> None:
        self.clock = clock
        self._gap_mm = gap_mm
        self._forms = Forms(shapes)
        self._construct = Construct(self._forms, self.bound, gap_mm=gap_mm, clock=clock)
        self._more = More(self._forms, gap_mm=gap_mm, clock=clock)
        self._most = Most(self._forms, self._construct, self._more, self.bound)
        self._most.ahead = self._narrower_ahead
        self._solve_ahead: Solve | None = None
        self._mixtures = Mixtures(self._forms, self._construct, self._more, gap_mm=gap_mm, fill=self.fill)
        self._shortest = Shortest(self._forms, self._construct, gap_mm=gap_mm, clock=clock)
        self._lattice = OnLattice(Source(self._forms.shapes, self._forms.on), gap_mm=gap_mm, clock=clock)

    def bound(self, ground: Ground, shape: str, *, gap_mm: float | None = None) -> int:
        """Return how many of a shape the ground can't pass; the gap is the job's if none is given."""
        if ground.lattice is not None:
            return self._lattice.bound(ground, shape, gap_mm=gap_mm)
        width, height = ground.room
        return most_in(
            self._forms.shapes[shape],
            self._forms.on(ground, shape),
            width_mm=width,
            height_mm=height,
            gap_mm=self._gap_mm if gap_mm is None else gap_mm,
            obstacles=ground.obstacles,
        )

    def full(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return as many pieces of one shape as the ground is found to hold."""
        if ground.lattice is not None:
            return self._lattice.full(ground, shape)
        return self._most.of(ground, shape)

    def quick(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return what two greedy rules find for one shape: enough to choose how to rough-cut."""
        if ground.lattice is not None:
            return self._lattice.quick(ground, shape)
        solved = self._most.solved(ground, shape)
        return self._construct.quick(ground, shape) if solved is None else solved

    def greedy(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return what two greedy rules find for one shape, whatever has been solved meanwhile."""
        return self._construct.quick(ground, shape)

    def fill(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...]:
        """Return pieces laid on the ground, at most as many of each shape as wanted.

        Positions count from the ground's lower left corner, margin included.
        """
        if ground.lattice is not None:
            return self._lattice.fill(ground, wanted)
        asked = self.asked(ground, wanted)
        if not asked:
            return ()
        if len(asked) == 1 and asked[0][1] >= self.bound(ground, asked[0][0]):
            return self.full(ground, asked[0][0])
        found = self._mixtures.solved(ground, asked)
        if found is None:
            found = self._of_one(ground, *asked[0]) if len(asked) == 1 else self._mixtures.of(ground, asked)
            self._mixtures.learn(ground, asked, found)
        return found

    def shortest(
        self, ground: Ground, wanted: Wanted, *, share: float = 0.5, seed: int = 0
    ) -> tuple[Laid, ...] | None:
        """Return all that is wanted, laid on as short a length of the ground as found, or None.

        Where the user gave a time limit it takes about that share of what is left: others are to come.
        Positions count from the ground's lower left corner, margin included; the length used is where the
        furthest piece ends, and the margin. Another seed may find another length.
        """
        found = None
        if ground.lattice is None and not ground.obstacles:
            found = self._shortest.of(ground, wanted, share=share, seed=seed)
        return self._halved(ground, wanted) if found is None else found

    def _halved(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...] | None:
        """The least length, found by halving, at which the ground is filled with all that is wanted."""
        laid = self.fill(ground, wanted)
        if len(laid) < sum(count for _, count in wanted):
            return None
        covered = sum(area(self._forms.shapes[shape].cut) * count for shape, count in wanted)
        least, most = 2 * ground.margin_mm + covered / ground.room[0], _used_mm(ground, laid)
        while most - least > _SHORTER_MM and not self.clock.is_up():
            middle = (least + most) / 2
            tried = self.fill(replace(ground, length_mm=middle), wanted)
            if len(tried) == len(laid):
                laid, most = tried, min(middle, _used_mm(ground, tried))
            else:
                least = middle
        return laid

    def asked(self, ground: Ground, wanted: Wanted) -> Wanted:
        """Return what is wanted as far as the ground could give it at all."""
        could = ((shape, min(most, self.bound(ground, shape))) for shape, most in wanted)
        return tuple((shape, most) for shape, most in could if most > 0)

    def _of_one(self, ground: Ground, shape: str, most: int) -> tuple[Laid, ...]:
        few = self._mixtures.few(ground, shape, most)
        return few if few is not None else trimmed(self.full(ground, shape), ((shape, most),))

    def is_solved(self, ground: Ground, wanted: Wanted) -> bool:
        """Return whether `fill` has its answer at hand."""
        asked = self.asked(ground, wanted)
        if not asked:
            return True
        if len(asked) == 1 and asked[0][1] >= self.bound(ground, asked[0][0]):
            return self._most.solved(ground, asked[0][0]) is not None
        return self._mixtures.solved(ground, asked) is not None

    def solve(self, ground: Ground, wanted: Wanted) -> Plain:
        """Return what `fill` finds, as plain values."""
        return plain(self.fill(ground, wanted))

    def learn(self, ground: Ground, wanted: Wanted, found: Plain) -> None:
        """Keep what another process found, as if `fill` had."""
        asked, laid = self.asked(ground, wanted), self._forms.laid(found)
        if len(asked) == 1 and asked[0][1] >= self.bound(ground, asked[0][0]):
            self._most.learn(ground, asked[0][0], laid)
        else:
            self._mixtures.learn(ground, asked, laid)

    def gets_help(self, attempts: Attempts | None, solve: Solve | None) -> None:
        """Have others make attempts and solve grounds ahead; None for doing all here."""
        self._more.attempts = attempts or self._more.in_turn
        self._solve_ahead = solve

    def counts_only(self) -> None:
        """Never search beyond the counted work: who asks for help has more to do with the time."""
        self._more.may_go_on = False

    def ahead(self, questions: Sequence[tuple[Ground, Wanted]]) -> None:
        """Have several grounds solved at once if anybody helps, as each will be asked for."""
        if self._solve_ahead is not None:
            self._solve_ahead([(ground, wanted) for ground, wanted in questions if ground.lattice is None])

    def _narrower_ahead(self, grounds: Sequence[Ground], shape: str) -> None:
        self.ahead([(ground, ((shape, self.bound(ground, shape)),)) for ground in grounds])

    def in_turn(self, attempts: Sequence[Attempt]) -> Plain | None:
        """Make attempts here, one after the other."""
        return self._more.in_turn(attempts)

    def attempt(self, attempt: Attempt, stop: Callable[[], bool]) -> Plain | None:
        """Return what one start of a squeeze finds."""
        return self._more.make(attempt, stop)


def _used_mm(ground: Ground, laid: Sequence[Laid]) -> float:
    return max((one.y_mm + one.form.bounds[3] for one in laid), default=ground.margin_mm) + ground.margin_mm
