"""What every search of a job is told, fixed from its start: items, gap, clock, and who works beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from cutfiles.nest.base.bound import most_in
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.orientations import Orientations, PlainLayout

Question = tuple[Container, Wanted]


@dataclass(frozen=True, slots=True)
class Attempt:
    """One start of an insertion as plain values: what any process needs to make it."""

    container: Container
    shapes: tuple[str, ...]  # which may lie there
    placed: PlainLayout  # in the container's room
    add: str
    seed: int
    moves: int


@dataclass(frozen=True, slots=True)
class Outcome:
    """The layout of the first attempt, in their order, that found room; None if none did."""

    placed: PlainLayout | None


class Helpers(Protocol):
    """Others who work at the same time. An answer depends on its question alone, never on who gave it."""

    def solve(self, questions: Sequence[Question]) -> Sequence[PlainLayout | None]:
        """Return what is found for each container, None where that is left to the caller."""
        ...

    def attempt(self, attempts: Sequence[Attempt]) -> Outcome | None:
        """Return what came of the attempts, None where they are left to the caller."""
        ...


@dataclass(frozen=True, slots=True)
class NoHelpers:
    """Nobody else works: all is done in this process."""

    def solve(self, questions: Sequence[Question]) -> Sequence[PlainLayout | None]:
        """Leave all to the caller."""
        return [None] * len(questions)

    def attempt(self, attempts: Sequence[Attempt]) -> Outcome | None:
        """Leave all to the caller."""
        return None


ALONE = NoHelpers()


@dataclass(frozen=True, slots=True)
class SearchContext:
    """What the searches of one job have in common.

    `extends` says whether a search goes on beyond its counted work where the user gave time: a helper
    doesn't, as its caller has other uses for the time.
    """

    items: Orientations
    gap_mm: float
    clock: Clock
    helpers: Helpers = ALONE
    extends: bool = True

    def bound(self, container: Container, shape: str, *, gap_mm: float | None = None) -> int:
        """Return how many of a shape the container can't pass by area, at the job's gap or another."""
        width, height = container.room
        return most_in(
            self.items.shapes[shape],
            self.items.on(container, shape),
            width_mm=width,
            height_mm=height,
            gap_mm=self.gap_mm if gap_mm is None else gap_mm,
            obstacles=container.obstacles,
        )
