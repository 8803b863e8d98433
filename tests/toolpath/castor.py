"""A trailing knife, walked in small steps: the tip is drawn after its axis like a castor.

Source: the pole of fixed length whose end can't slip sideways; its trace under a straight pull is the
tractrix (E. H. Lockwood, A Book of Curves, 1961, chapter 13; the formula used is given from memory).
"""

from __future__ import annotations

import math

from cutfiles.geometry.outline import Circle, Contour, Point
from cutfiles.geometry.points import points_on


def trace(axis: Contour, *, swivel_mm: float, pointing: Point, step_mm: float = 0.01) -> list[Point]:
    """Return where the tip goes while the axis runs along a path.

    Args:
        axis: open, as the machine is told it.
        swivel_mm: from the axis back to the tip.
        pointing: from the tip to the axis when the knife comes down, a unit vector.
        step_mm: of the axis.
    """
    x, y = steps(axis, step_mm)[0]
    tip = (x - swivel_mm * pointing[0], y - swivel_mm * pointing[1])
    traced = [tip]
    for x, y in steps(axis, step_mm)[1:]:
        across, up = x - tip[0], y - tip[1]
        pull = swivel_mm / math.hypot(across, up)
        tip = (x - pull * across, y - pull * up)
        traced.append(tip)
    return traced


def steps(path: Contour, step_mm: float) -> list[Point]:
    """Return points along a path, none further than a step from the one before."""
    corners = points_on(path, stray_mm=1e-5)
    if isinstance(path, Circle) or path.closed:
        corners.append(corners[0])
    points = [corners[0]]
    for corner in corners[1:]:
        last = points[-1]
        count = max(1, math.ceil(math.dist(last, corner) / step_mm))
        points += [
            (last[0] + (corner[0] - last[0]) * n / count, last[1] + (corner[1] - last[1]) * n / count)
            for n in range(1, count + 1)
        ]
    return points


def straight_pull_mm(swivel_mm: float, from_rad: float, to_rad: float) -> float:
    """Return how far a straight pull goes until a knife that stood askew by one angle stands so by another.

    Source: of the tractrix, tan(angle/2) falls as exp(−way/swivel).
    """
    return swivel_mm * math.log(math.tan(from_rad / 2) / math.tan(to_rad / 2))
