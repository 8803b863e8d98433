"""A way through runs made shorter, step by step: stretches turned round, short stretches put elsewhere.

Source: 2-opt (G. A. Croes, 1958) and Or-opt (I. Or, 1976), each tried only between ends that lie near each
other, so that the work grows little faster than the number of runs.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence

from cutfiles.geometry.outline import Point
from cutfiles.toolpath.order.neighbours import neighbours_of

# Less than this is no gain: the last bit of a distance must never decide.
GAIN_MM = 1e-4
_TRIALS_A_RUN = 40  # how often a run is looked at on average, at most
_LONGEST = 3  # runs that are put elsewhere together


def improved(ends: Sequence[Point], tour: Sequence[int]) -> list[int]:
    """Return a way no longer than the one given.

    Args:
        ends: of run i the ends 2·i and 2·i + 1, mm.
        tour: of each run, in order, the end at which it begins. The first one stays first.
    """
    search = _Search(ends, list(tour))
    search.run()
    return search.tour


class _Search:
    def __init__(self, ends: Sequence[Point], tour: list[int]) -> None:
        self.ends = ends
        self.tour = tour
        self.place = [0] * len(tour)  # of each run
        self._note(0, len(tour))
        self.near = neighbours_of(ends)
        self.todo = deque(begin >> 1 for begin in tour)
        self.waits = [True] * len(tour)

    def run(self) -> None:
        trials = _TRIALS_A_RUN * len(self.tour)
        while self.todo and trials > 0:
            trials -= 1
            run = self.todo.popleft()
            self.waits[run] = False
            while trials > 0 and (self._turn_round(run) or self._put_elsewhere(run)):
                trials -= 1

    def _note(self, first: int, last: int) -> None:
        for index in range(first, last):
            self.place[self.tour[index] >> 1] = index

    def _apart(self, first: int, second: int | None) -> float:
        """Between two ends; nothing where the way is over."""
        return 0.0 if second is None else math.dist(self.ends[first], self.ends[second])

    def _begin(self, index: int) -> int | None:
        return self.tour[index] if index < len(self.tour) else None

    def _replace(self, first: int, stretch: list[int]) -> None:
        """Put a stretch in, and look again at the runs at its ends and beside them."""
        last = first + len(stretch)
        self.tour[first:last] = stretch
        self._note(first, last)

    def _look_again(self, *indices: int) -> None:
        for index in indices:
            if 0 <= index < len(self.tour):
                run = self.tour[index] >> 1
                if not self.waits[run]:
                    self.waits[run] = True
                    self.todo.append(run)

    def _turn_round(self, run: int) -> bool:
        """Whether turning a stretch round that begins or ends beside the run was a gain."""
        here = self.place[run]
        return self._turn_after(here) or (here > 0 and self._turn_after(here - 1))

    def _turn_after(self, here: int) -> bool:
        tour = self.tour
        begin = self._begin(here + 1)
        if begin is None:
            return False
        end = tour[here] ^ 1
        link = self._apart(end, begin)
        for side, at in ((1, end), (0, begin)):
            for other in self.near[at]:
                if link - self._apart(at, other) <= GAIN_MM:
                    break
                there = self.place[other >> 1]
                if tour[there] ^ side != other:
                    continue  # the wrong end of it
                # Both links lie after one run each: after `first` and after `last`.
                first, last = sorted((here, there if side else there - 1))
                if first < 0 or first == last:
                    continue
                after = self._begin(last + 1)
                new = self._apart(tour[first] ^ 1, tour[last] ^ 1) + self._apart(tour[first + 1], after)
                old = self._apart(tour[first] ^ 1, tour[first + 1]) + self._apart(tour[last] ^ 1, after)
                if old - new > GAIN_MM:
                    self._replace(
                        first + 1, [run_end ^ 1 for run_end in reversed(tour[first + 1 : last + 1])]
                    )
                    self._look_again(first, first + 1, last, last + 1)
                    return True
        return False

    def _put_elsewhere(self, run: int) -> bool:
        """Whether putting the run, with up to two that follow it, elsewhere was a gain."""
        first = self.place[run]
        if first == 0:
            return False
        for count in range(1, _LONGEST + 1):
            last = first + count - 1
            if last >= len(self.tour):
                return False
            if self._move(first, last):
                return True
        return False

    def _move(self, first: int, last: int) -> bool:
        tour = self.tour
        before, after = tour[first - 1] ^ 1, self._begin(last + 1)
        begin, end = tour[first], tour[last] ^ 1
        saved = self._apart(before, begin) + self._apart(end, after) - self._apart(before, after)
        for at, is_begin in ((begin, True), (end, False)):
            for other in self.near[at]:
                if saved - self._apart(at, other) <= GAIN_MM:
                    break
                there = self.place[other >> 1]
                # After the end of another run, or before the beginning of one.
                gap = there if tour[there] ^ 1 == other else there - 1
                if gap < 0 or first - 1 <= gap <= last:
                    continue
                # Forwards where its beginning follows an end, or its end precedes a beginning.
                forwards = (tour[there] ^ 1 == other) is is_begin
                head, tail = (begin, end) if forwards else (end, begin)
                left, right = tour[gap] ^ 1, self._begin(gap + 1)
                added = self._apart(left, head) + self._apart(tail, right) - self._apart(left, right)
                if saved - added > GAIN_MM:
                    self._shift(first, last, gap, forwards=forwards)
                    return True
        return False

    def _shift(self, first: int, last: int, gap: int, *, forwards: bool) -> None:
        tour = self.tour
        stretch = tour[first : last + 1]
        if not forwards:
            stretch = [run_end ^ 1 for run_end in reversed(stretch)]
        if gap > last:
            self._replace(first, tour[last + 1 : gap + 1] + stretch)
            inserted = gap - len(stretch)
        else:
            self._replace(gap + 1, stretch + tour[gap + 1 : first])
            inserted = gap
        self._look_again(first - 1, first, last, last + 1)
        self._look_again(inserted, inserted + 1, inserted + len(stretch), inserted + len(stretch) + 1)
