"""Where the tip of a trailing knife goes while its axis runs along the lines of a file, step by step.

While the axis runs straight the tip follows on a tractrix: with the angle φ from its way to the knife,
tan(φ/2) falls by a factor e with each swivel's length (E. H. Lockwood, A Book of Curves, 1961, chapter 13;
the formula from memory). So the tip's path follows from that of the axis and the
knife's initial direction, which the documents give: to the right.
"""

from __future__ import annotations

import math
from itertools import pairwise

from cutfiles.core.tolerance import CHORD_MM, FILE_MM, SAME_POINT_MM, SWIVEL_STRAY_MM
from cutfiles.geometry.outline import Circle, Path, Point, chords

# What the tip may be off by where small turns were left out.
SWIVEL_MM = 2 * SWIVEL_STRAY_MM + FILE_MM
_LITTLE_ASKEW = math.cos(1.0)  # below one radian the bend only falls from there on


class TrailingKnife:
    """A knife that is lifted and put down but never turned in the air: where it points is remembered."""

    def __init__(self, swivel_mm: float) -> None:
        self._swivel_mm = swivel_mm
        self._pointing = (1.0, 0.0)  # a unit vector, from the tip to the axis

    def trace(self, axis: Path) -> list[Point]:
        """Return where the tip goes while the axis runs along a path, the first point where it comes down.

        While it stands still no point is added: there may be but one.
        """
        corners = chords(axis, stray_mm=CHORD_MM)
        if axis.closed:
            corners.append(corners[0])
        points = [self._tip(corners[0])]
        for start, end in pairwise(corners):
            long = math.dist(start, end)
            if long:
                self._along(start, end, long, points)
        return points

    def round(self, axis: Circle) -> Circle:
        """Return what the tip cuts while the axis goes once around, if it points along the circle at first.

        That is how a file comes to hold a whole circle: the knife points there from the line before, and
        nothing is to be swung. A smaller circle than the swivel is left as it is.
        """
        square = axis.radius**2 - self._swivel_mm**2
        return Circle(axis.x, axis.y, math.sqrt(square)) if square > FILE_MM**2 else axis

    def _along(self, start: Point, end: Point, long: float, points: list[Point]) -> None:
        """Add where the tip goes while the axis runs straight."""
        way_x, way_y = (end[0] - start[0]) / long, (end[1] - start[1]) / long
        swivel_mm, (x, y) = self._swivel_mm, self._pointing
        done = 0.0
        while done < long:
            # No angle is needed, only its cosine and sine: there are a million of them to a folder.
            cos, sin = way_x * x + way_y * y, way_x * y - way_y * x
            step = min(long - done, self._step(cos, sin))
            done += step
            # In the ratio of the sine and the cosine of half the angle, whichever of the two is the larger.
            half_sin, half_cos = (sin, 1 + cos) if cos > 0 else (1 - cos, sin)
            half_sin *= math.exp(-step / swivel_mm)
            square = half_sin * half_sin + half_cos * half_cos
            cos = (half_cos * half_cos - half_sin * half_sin) / square
            sin = 2 * half_sin * half_cos / square
            self._pointing = x, y = way_x * cos - way_y * sin, way_y * cos + way_x * sin
            share = min(1.0, done / long)
            tip = (
                start[0] + share * (end[0] - start[0]) - swivel_mm * x,
                start[1] + share * (end[1] - start[1]) - swivel_mm * y,
            )
            if math.dist(tip, points[-1]) > SAME_POINT_MM:
                points.append(tip)

    def _step(self, cos: float, sin: float) -> float:
        """How far the axis may run before the tip's way, bent by sin(φ)/swivel at most, leaves a chord."""
        bent = abs(sin) / self._swivel_mm
        if cos > _LITTLE_ASKEW and self._swivel_mm**2 * bent < FILE_MM:
            return math.inf
        return min(self._swivel_mm / 4, math.sqrt(8 * FILE_MM / max(bent, FILE_MM)))

    def _tip(self, axis: Point) -> Point:
        return (
            axis[0] - self._swivel_mm * self._pointing[0],
            axis[1] - self._swivel_mm * self._pointing[1],
        )
