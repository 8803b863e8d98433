"""The way between runs: nearest next, then made shorter, and never longer than the order that was given.

A run is what is drawn or cut in one go. It has two ends and may be run from either.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from cutfiles.geometry.outline import Circle, Contour, Path, Point
from cutfiles.toolpath.order.improve import GAIN_MM, improved
from cutfiles.toolpath.order.neighbours import neighbours_of

Ends = tuple[Point, Point]  # where a run begins and where it ends
HOME: Point = (0.0, 0.0)  # where the tool waits: the mat's lower left corner


class DirectedRun(NamedTuple):
    """Which run is next, and whether from its end to its beginning."""

    run: int
    backwards: bool

    def turned(self) -> DirectedRun:
        """Return the same run the other way."""
        return DirectedRun(self.run, not self.backwards)


def in_short_order(ends: Sequence[Ends]) -> list[DirectedRun]:
    """Return the order in which to run everything once, on a short way from the home corner.

    Args:
        ends: where each run begins and ends, mm.

    From the home corner always to the nearest end that is left, then improved; the way is never longer
    than in the order given.
    """
    # Run 0 is the home corner. A hundredth of a micron: the last bit of a place must never decide.
    places = [HOME, HOME]
    places += [(round(x, 5), round(y, 5)) for pair in ends for x, y in pair]
    as_given = list(range(0, len(places), 2))
    tours = [improved(places, order) for order in (_nearest_next(places), as_given)]
    tour = min(tours, key=lambda order: round(_way(places, order), 6))
    if _way(places, tour) > _way(places, as_given) - GAIN_MM:
        tour = as_given
    return [DirectedRun((begin >> 1) - 1, bool(begin & 1)) for begin in tour[1:]]


def _way(places: Sequence[Point], tour: Sequence[int]) -> float:
    return sum(math.dist(places[begin ^ 1], places[following]) for begin, following in pairwise(tour))


def _nearest_next(places: Sequence[Point]) -> list[int]:
    near = neighbours_of(places)
    points = np.array(places)
    free = np.ones(len(places), dtype=bool)
    free[:2] = False
    tour = [0]
    for _ in range(len(places) // 2 - 1):
        here = tour[-1] ^ 1
        begin = next((other for other in near[here] if free[other]), None)
        if begin is None:  # all around it is done: look everywhere
            left = np.flatnonzero(free)
            apart = np.round(np.hypot(*(points[left] - points[here]).T), 6)
            begin = int(left[np.argmin(apart)])
        free[[begin, begin ^ 1]] = False
        tour.append(begin)
    return tour


def start_of(path: Contour) -> Point:
    """Return where the tool comes down."""
    if isinstance(path, Circle):
        return (path.x + path.radius, path.y)
    return path.vertices[0][:2]


def end_of(path: Contour) -> Point:
    """Return where the tool goes up."""
    if isinstance(path, Path) and not path.closed:
        return path.vertices[-1][:2]
    return start_of(path)


def ends_of(path: Contour) -> Ends:
    """Return where the tool comes down and where it goes up."""
    return start_of(path), end_of(path)


def travel_of(paths: Sequence[Contour]) -> float:
    """Return how far the tool goes while it is up, from the home corner through all paths in order, mm."""
    return way_through([ends_of(path) for path in paths])


def travel_between(paths: Sequence[Contour]) -> float:
    """Return how far the tool goes while it is up, from the first path to the last, mm."""
    return way_between([ends_of(path) for path in paths])


def way_through(ends: Sequence[Ends]) -> float:
    """Return the way from the home corner through runs that lie so, in order, mm."""
    return math.dist(HOME, ends[0][0]) + way_between(ends) if ends else 0.0


def way_between(ends: Sequence[Ends]) -> float:
    """Return the way from the first of these runs to the last, mm."""
    return sum(math.dist(before[1], after[0]) for before, after in pairwise(ends))


def run_backwards(path: Contour) -> Contour:
    """Return an open path run the other way; a closed one stays as it is."""
    return path.backwards() if isinstance(path, Path) and not path.closed else path
