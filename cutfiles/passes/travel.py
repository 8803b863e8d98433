"""The way between strokes: nearest next, and never longer than the order that was given."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutfiles.core.outline import Circle, Contour, Path, Point

HOME: Point = (0.0, 0.0)  # where the tool waits: the mat's lower left corner


def in_short_order(groups: Sequence[Sequence[Contour]]) -> list[int]:
    """Return the order in which to run groups of strokes; each group stays together, as it is.

    From the home corner always to the nearest group that is left; where that turns out longer than the
    order given, the order given stands.
    """
    ends = [(_start(group[0]), _end(group[-1])) for group in groups]
    left = set(range(len(groups)))
    order: list[int] = []
    here = HOME
    while left:
        nearest = min(left, key=lambda index: (round(math.dist(here, ends[index][0]), 6), index))
        left.remove(nearest)
        order.append(nearest)
        here = ends[nearest][1]
    as_given = list(range(len(groups)))
    return order if _way(order, ends) < _way(as_given, ends) else as_given


def _way(order: Sequence[int], ends: Sequence[tuple[Point, Point]]) -> float:
    here, total = HOME, 0.0
    for index in order:
        total += math.dist(here, ends[index][0])
        here = ends[index][1]
    return total


def _start(path: Contour) -> Point:
    if isinstance(path, Circle):
        return (path.x + path.radius, path.y)
    return (path.vertices[0].x, path.vertices[0].y)


def _end(path: Contour) -> Point:
    if isinstance(path, Path) and not path.closed:
        return (path.vertices[-1].x, path.vertices[-1].y)
    return _start(path)
