"""How long to search: counted moves, and a limit on the time if the user gave one."""

from __future__ import annotations

import time

# Moves that a job's squeezes may take in all: a few seconds' worth.
MOVES_A_JOB = 2400


class Clock:
    """Says when to stop, and remembers whether the time cut the search short."""

    def __init__(self, limit_s: float | None = None, *, moves: int = 0) -> None:
        """Start now; without a limit the time is never up. Moves are for squeezes: 0 leaves them out."""
        self._end = None if limit_s is None else time.monotonic() + limit_s
        self.cut_short = False
        self.moves_left = moves

    def is_up(self) -> bool:
        """Return whether the limit has passed."""
        if self._end is not None and time.monotonic() >= self._end:
            self.cut_short = True
        return self.cut_short
