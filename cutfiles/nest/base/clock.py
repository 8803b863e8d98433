"""How long to search: counted moves, a limit on the time if the user gave one, and the user's own stop."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum

from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.cutting_rules.cloth import cloth_of

ShouldStop = Callable[[], bool]  # asked now and then by a search: whether to break off

# What a first layout may take beyond a limit: without it there would be nothing to keep.
_GRACE_S = 0.7


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard each container is searched.

    For one piece more: from how many starts, and moves from each. Rows are stacked where at least so many
    pieces could lie: they take long, and of few pieces they seldom hold more than greedy rules find.
    Where only `numbers` are asked, the first layout that holds them will do, whatever it leaves.
    """

    starts: int
    moves: int
    rows_from: int = 0
    numbers: bool = False


@dataclass(frozen=True, slots=True)
class StripWork:
    """How much is done to shorten a strip: changes to try, and rows of linear programs, which take the time.

    Whichever comes to its end first.
    """

    tries: int
    rows: int


NO_INSERTION = Effort(0, 0)
USUAL = Effort(6, 400)


def effort_for(fabrics: Iterable[FabricSpec]) -> Effort:
    """Return the effort that a job's fabrics leave for each, so that all take a minute at the most.

    By counting, not by the time: the same job gets the same layout on any machine. What counts is how many
    different cloths there are, whatever they are called.
    """
    cloth_count = len({cloth_of(fabric) for fabric in fabrics})
    if cloth_count <= 6:
        return USUAL
    return Effort(5, 350) if cloth_count <= 20 else Effort(4, 300)


class Stop(Enum):
    """What cut a search short."""

    TIME = "the time limit"
    USER = "the user"


class Clock:
    """Says when to stop, and remembers what cut the search short, if anything did.

    Search loops call `poll` now and then, and call `tick` where they have found something.
    """

    def __init__(self, limit_s: float | None = None, *, effort: Effort = NO_INSERTION) -> None:
        """Start now; without a limit the time is never up."""
        self._end = None if limit_s is None else time.monotonic() + limit_s
        self._asked_at: float | None = None
        self._watcher: Callable[[int], None] | None = None
        self._best = 0
        self.stopped_by: Stop | None = None  # what a search was told when it asked: None if none was stopped
        self.effort = effort
        self.went_on = False  # whether a search went on beyond its counted work, as there was time

    @property
    def cut_short(self) -> bool:
        """Whether a search was told to stop before its end."""
        return self.stopped_by is not None

    @property
    def left_s(self) -> float | None:
        """Seconds until the limit, None if there is none."""
        return None if self._end is None else max(0.0, self._end - time.monotonic())

    @property
    def left_with_grace_s(self) -> float | None:
        """Seconds until a first layout too is broken off, None if there is no limit."""
        return None if self._end is None else max(0.0, self._end + _GRACE_S - time.monotonic())

    def share(self, part: float) -> float | None:
        """Return when a part of the time that is left will have passed; None where there is no limit."""
        if self._end is None or self.cut_short:
            return None
        now = time.monotonic()
        return now + part * max(0.0, self._end - now)

    def left_until(self, until: float) -> float:
        """Return the seconds until then."""
        return until - time.monotonic()

    def extend_until(self, until: float) -> bool:
        """Note that the clock decides from here on, and return whether there is time until then."""
        self.went_on = True
        return self._asked_at is None and time.monotonic() < until

    def stop(self) -> None:
        """Ask the search to end soon with the best it has. Any thread and any signal handler may."""
        if self._asked_at is None:
            self._asked_at = time.monotonic()

    def is_overdue(self) -> bool:
        """Return whether the search should long have ended: even a first layout is broken off then."""
        ends = [end for end in (self._end, self._asked_at) if end is not None]
        return bool(ends) and time.monotonic() >= min(ends) + _GRACE_S

    def poll(self) -> bool:
        """Tell the watcher, note what stops the search if anything does, and return whether it must stop."""
        if self.stopped_by is None:
            if self._asked_at is not None:
                self.stopped_by = Stop.USER
            elif self._end is not None and time.monotonic() >= self._end:
                self.stopped_by = Stop.TIME
        self._tell()
        return self.cut_short

    def wait(self, seconds: float) -> bool:
        """Do nothing for a moment while others work; return whether the search must stop."""
        time.sleep(seconds)
        return self.poll()

    def watch(self, watcher: Callable[[int], None] | None) -> None:
        """Tell a watcher the best count so far at every `tick`, and whenever a search calls `poll`."""
        self._watcher = watcher

    def tick(self, best: int) -> None:
        """Tell the watcher how many pieces the search has found for the container it is on.

        For long loops of a search: as often as it likes, it costs nothing without a watcher and never
        changes what is found. A new container begins with `tick(0)`.
        """
        self._best = best
        self._tell()

    def _tell(self) -> None:
        if self._watcher is not None:
            self._watcher(self._best)


def cores() -> int:
    """Return how many processes may run at once."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
