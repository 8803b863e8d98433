"""The user's time limit. Without one nothing in the nest looks at the time."""

from __future__ import annotations

import time


class Clock:
    """Says when the limit is up, and whether that cut anything short."""

    def __init__(self, limit_s: float | None = None) -> None:
        self._end = None if limit_s is None else time.monotonic() + limit_s
        self.cut_short = False

    def is_up(self) -> bool:
        """Return whether the search must stop; asking when it is up counts as being cut short."""
        if self._end is not None and time.monotonic() >= self._end:
            self.cut_short = True
        return self.cut_short
