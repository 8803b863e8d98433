"""How long to search: counted moves, a limit on the time if the user gave one, and the user's own stop."""

from __future__ import annotations

import time
from collections.abc import Callable
from enum import Enum

# Moves that a job's squeezes may take in all: a few seconds' worth.
MOVES_A_JOB = 2400


class Stop(Enum):
    """What cut a search short."""

    TIME = "the time limit"
    USER = "the user"


class Clock:
    """Says when to stop, and remembers what cut the search short, if anything did.

    Search loops ask `is_up` now and then, and call `tick` where they have found something.
    """

    def __init__(self, limit_s: float | None = None, *, moves: int = 0) -> None:
        """Start now; without a limit the time is never up. Moves are for squeezes: 0 leaves them out."""
        self._end = None if limit_s is None else time.monotonic() + limit_s
        self._asked = False
        self._watcher: Callable[[int], None] | None = None
        self._best = 0
        self.stopped_by: Stop | None = None  # what a search was told when it asked: None if none was stopped
        self.moves_left = moves

    @property
    def cut_short(self) -> bool:
        """Whether a search was told to stop before its end."""
        return self.stopped_by is not None

    def stop(self) -> None:
        """Ask the search to end soon with the best it has. Any thread and any signal handler may."""
        self._asked = True

    def is_up(self) -> bool:
        """Return whether the limit has passed or the user wants no more; whoever asks must stop then."""
        if self.stopped_by is None:
            if self._asked:
                self.stopped_by = Stop.USER
            elif self._end is not None and time.monotonic() >= self._end:
                self.stopped_by = Stop.TIME
        self._tell()
        return self.cut_short

    def watch(self, watcher: Callable[[int], None] | None) -> None:
        """Have somebody told at every `tick`, and whenever a search asks `is_up`: the best count so far."""
        self._watcher = watcher

    def tick(self, best: int) -> None:
        """Tell who watches how many pieces the search has found for the ground it is on.

        For long loops of a search: as often as it likes, it costs nothing where nobody watches and never
        changes what is found. A new ground begins with `tick(0)`.
        """
        self._best = best
        self._tell()

    def _tell(self) -> None:
        if self._watcher is not None:
            self._watcher(self._best)
