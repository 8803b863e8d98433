"""How far the nest is, for a listener."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the nest is."""

    fabric: str  # the one that is searched
    best: int  # pieces found so far on the rectangle of it that is searched, 0 where none is known yet
    placed: int  # pieces on all fabrics that have a place by now
    of: int  # pieces in all; how many "fill" gives isn't known before it is tried
    fabrics_left: int  # whose layout isn't final yet

    @property
    def left(self) -> int:
        """How many pieces have no place yet."""
        return self.of - self.placed


ProgressListener = Callable[[Progress], None]


class ProgressReporter:
    """Keeps count of what each fabric is known to give, and reports it."""

    def __init__(self, progress: ProgressListener | None, *, needed: int, fabrics: int) -> None:
        """Report to a listener; `needed` pieces are to be cut from so many fabrics."""
        self._progress = progress
        self._fabrics_left = fabrics
        self._needed = needed
        self._fabric = ""
        self._known: dict[str, int] = {}
        self._settled = 0
        self._placed = 0

    def begin(self, fabric: str) -> None:
        """A fabric is searched from now on."""
        self._fabric = fabric
        self.report(0)

    def note_capacity(self, fabric: str, count: int) -> None:
        """A fabric was found to hold so many, of which not all need be taken."""
        self._known[fabric] = count
        self.report(0)

    def settle(self, fabric: str, count: int) -> None:
        """A fabric is settled."""
        self._fabric = fabric
        self._fabrics_left -= 1
        self._settled += count
        self.report(0)

    def report(self, best: int) -> None:
        """Tell, with the most pieces found on the rectangle that is searched."""
        if self._progress is None:
            return
        # What fabrics could give is often more than is asked of them.
        placed = max(self._settled, min(sum(self._known.values()), self._needed))
        # Where a fabric's share of one shape makes way for another it is less, but a bar never runs back.
        self._placed = max(self._placed, placed)
        of = max(self._placed, self._needed)
        self._progress(Progress(self._fabric, best, self._placed, of, self._fabrics_left))
