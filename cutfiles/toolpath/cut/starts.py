"""Where closed outlines begin: near where the tool comes from, but not at a sharp point."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from cutfiles.geometry.edge import edges_of, turns_of
from cutfiles.geometry.outline import Circle, Contour
from cutfiles.toolpath.cut.stretch import begun_at, begun_within
from cutfiles.toolpath.order.travel import HOME, end_of, start_of, travel_between

_MOST = 12  # starts that are compared on one outline
_SHARPEST_RAD = math.radians(1)  # corners this near to the sharpest count as sharp, too


def begun_variously(outline: Contour, *, on_edges_above_mm: float | None = None) -> list[Contour]:
    """Return a closed outline begun at each corner where it may begin, at most a dozen.

    Never at the sharpest corners, unless all are alike: threads fray there, and a point is what shows.

    Args:
        outline: closed.
        on_edges_above_mm: begin in the middle of straight edges longer than this instead, if there are any.
    """
    if isinstance(outline, Circle):
        return [outline]
    if on_edges_above_mm is not None:
        numbers = [
            number
            for number, edge in enumerate(edges_of(outline))
            if not edge.bulge and edge.length() > on_edges_above_mm
        ]
        if numbers:
            return [begun_within(outline, number) for number in _few(numbers)]
    turns = [abs(turn) for turn in turns_of(outline)]
    dull = [number for number, turn in enumerate(turns) if turn < max(turns) - _SHARPEST_RAD]
    return [begun_at(outline, number) for number in _few(dull or list(range(len(turns))))]


def _few(numbers: list[int]) -> Iterator[int]:
    step = max(1.0, len(numbers) / _MOST)
    return (numbers[int(index * step)] for index in range(min(_MOST, len(numbers))))


def best_starts(runs: Sequence[Sequence[Sequence[Contour]]]) -> list[int]:
    """Return for each run which way to run it, so that the way between them all is shortest.

    Args:
        runs: in order; of each the ways in which it may be run, as what is run one after the other.

    Source: the shortest path through layers, from the home corner on.
    """
    ways = [(0.0, HOME)]  # of each choice: how far to its end, and where that is
    came: list[list[int]] = []
    for choices in runs:
        next_ways, origins = [], []
        for choice in choices:
            begin = start_of(choice[0])
            reached = [round(far + math.dist(end, begin), 6) for far, end in ways]
            origin = min(range(len(ways)), key=reached.__getitem__)
            next_ways.append((reached[origin] + travel_between(choice), end_of(choice[-1])))
            origins.append(origin)
        ways = next_ways
        came.append(origins)
    pick = min(range(len(ways)), key=lambda index: round(ways[index][0], 6))
    picks = []
    for origins in reversed(came):
        picks.append(pick)
        pick = origins[pick]
    return picks[::-1]
