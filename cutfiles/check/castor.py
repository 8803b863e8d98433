"""Where the tip of a trailing knife goes, step by step: for files that hold its axis' way as chords only.

While the axis runs straight the tip follows on a tractrix: with the angle φ from its way to the knife,
tan(φ/2) falls by a factor e with each swivel's length (E. H. Lockwood, A Book of Curves, 1961, chapter 13;
the formula from memory). So the tip's way is known whatever the axis does, if it is known how the knife
points at first: as the documents say, to the right.
"""

from __future__ import annotations

import math
from itertools import pairwise

from cutfiles.check.alone import CHORD_MM
from cutfiles.core.outline import Path, Point, chords
from cutfiles.core.tolerance import FILE_MM, SAME_POINT_MM


class Castor:
    """A knife that is lifted and put down but never turned in the air: what it points at is remembered."""

    def __init__(self, swivel_mm: float) -> None:
        self._swivel_mm = swivel_mm
        self._pointing_rad = 0.0

    def trace(self, axis: Path) -> list[Point]:
        """Return where the tip goes while the axis runs along a path, the first point where it comes down.

        While it stands still no point is added: there may be but one.
        """
        corners = chords(axis, stray_mm=CHORD_MM)
        if axis.closed:
            corners.append(corners[0])
        found = [self._tip(corners[0])]
        for start, end in pairwise(corners):
            for tip in self._along(start, end):
                if math.dist(tip, found[-1]) > SAME_POINT_MM:
                    found.append(tip)
        return found

    def _along(self, start: Point, end: Point) -> list[Point]:
        long = math.dist(start, end)
        if long == 0:
            return []
        way_rad = math.atan2(end[1] - start[1], end[0] - start[0])
        askew_rad = math.remainder(self._pointing_rad - way_rad, math.tau)
        found, done = [], 0.0
        while done < long:
            step = min(long - done, self._step(askew_rad))
            done += step
            fallen = math.exp(-step / self._swivel_mm)
            askew_rad = 2 * math.atan2(math.sin(askew_rad / 2) * fallen, math.cos(askew_rad / 2))
            self._pointing_rad = way_rad + askew_rad
            share = min(1.0, done / long)
            axis = (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
            found.append(self._tip(axis))
        return found

    def _step(self, askew_rad: float) -> float:
        """How far the axis may run before the tip's way, bent by sin(φ)/swivel at most, leaves a chord."""
        bent = abs(math.sin(askew_rad)) / self._swivel_mm
        if self._swivel_mm**2 * bent < FILE_MM and abs(askew_rad) < 1.0:
            return math.inf
        return min(self._swivel_mm / 4, math.sqrt(8 * FILE_MM / max(bent, FILE_MM)))

    def _tip(self, axis: Point) -> Point:
        return (
            axis[0] - self._swivel_mm * math.cos(self._pointing_rad),
            axis[1] - self._swivel_mm * math.sin(self._pointing_rad),
        )
