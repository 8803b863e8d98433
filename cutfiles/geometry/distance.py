"""How near two edges come, exactly: closed forms for lines and arcs, no chords.

The nearest two points of two edges that don't meet are an end of one and its nearest point on the other,
or lie where both edges have one common normal: through the centre of every arc involved.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise, product

import numpy as np
import shapely

from cutfiles.geometry.edge import Edge, crossings, share_at
from cutfiles.geometry.outline import Arc, Bounds, Point

_CHUNK = 256  # edges that are looked at together: all of theirs may lie near each
_FEW = 400  # pairs of edges that are looked at one by one


def contours_apart(one: list[Edge], other: list[Edge], *, within_mm: float) -> float:
    """Return the least distance of two outlines' lines, exact where it is below `within_mm`."""
    least = within_mm
    for first, second in near_edges(one, other, within_mm):
        if _boxes_apart(first.box, second.box) < least:
            least = min(least, edges_apart(first, second))
    return least


def near_edges(one: list[Edge], other: list[Edge], within_mm: float) -> Iterator[tuple[Edge, Edge]]:
    """Yield pairs of edges, all those among them that come within a distance of each other."""
    if len(one) * len(other) <= _FEW:
        yield from product(one, other)
        return
    # An outline of thousands of edges would take the square of them.
    mine, theirs = (np.array([edge.box for edge in edges]).reshape(-1, 4) for edges in (one, other))
    grown = mine + np.array([-within_mm, -within_mm, within_mm, within_mm])
    tree = shapely.STRtree(np.asarray(shapely.box(*theirs.T), dtype=object))
    for start in range(0, len(one), _CHUNK):
        pairs = tree.query(shapely.box(*grown[start : start + _CHUNK].T))
        for first, second in zip(*pairs.tolist(), strict=True):
            yield one[start + first], other[second]


def edges_apart(one: Edge, other: Edge) -> float:
    """Return the least distance of two edges, mm; 0 where they cross or touch."""
    least = min(one.to(other.start), one.to(other.end), other.to(one.start), other.to(one.end))
    for first, second in _common_normals(one, other):
        least = min(least, math.dist(first, second))
    return 0.0 if crossings(one, other) else least


def _common_normals(one: Edge, other: Edge) -> Iterator[tuple[Point, Point]]:
    if one.arc is None and other.arc is None:
        return
    if one.arc is None or other.arc is None:
        straight, curved = (one, other) if one.arc is None else (other, one)
        assert curved.arc is not None
        foot = straight.at(straight.share_of(curved.arc.centre))
        for point in _on_arc_towards(curved.arc, foot):
            yield foot, point
        return
    for first in _on_arc_towards(one.arc, other.arc.centre):
        for second in _on_arc_towards(other.arc, one.arc.centre):
            yield first, second


def _on_arc_towards(arc: Arc, point: Point) -> Iterator[Point]:
    """The points of an arc on the line through its centre and another point."""
    across, up = point[0] - arc.centre[0], point[1] - arc.centre[1]
    if across == 0 and up == 0:
        return  # about one centre every point is as near as the ends
    angle = math.degrees(math.atan2(up, across))
    for turned in (angle, angle + 180.0):
        share = share_at(arc, turned)
        if share is not None:
            yield arc.at(share)


def _boxes_apart(one: Bounds, other: Bounds) -> float:
    across = max(one[0] - other[2], other[0] - one[2], 0.0)
    up = max(one[1] - other[3], other[1] - one[3], 0.0)
    return math.hypot(across, up)


def shared_mm(one: list[Edge], other: list[Edge], *, slack_mm: float) -> float:
    """Return the longest stretch along which an edge of one outline runs on an edge of the other, mm.

    Args:
        one: edges of the first outline.
        other: edges of the second outline.
        slack_mm: how far apart lines may be and still count as one.
    """
    longest = 0.0
    for first, second in near_edges(one, other, slack_mm):
        if _boxes_apart(first.box, second.box) <= slack_mm:
            longest = max(longest, _shared(first, second, slack_mm))
    return longest


def _shared(one: Edge, other: Edge, slack_mm: float) -> float:
    shares = [0.0, 1.0, one.share_of(other.start), one.share_of(other.end)]
    on_both = sorted(share for share in shares if other.to(one.at(share)) <= slack_mm)
    longest = 0.0
    for first, last in pairwise(on_both):
        # Two lines that cross have both ends off; two arcs may touch twice: look in between, too.
        between = [one.at(first + step * (last - first) / 4) for step in (1, 2, 3)]
        if all(other.to(point) <= slack_mm for point in between):
            longest = max(longest, (last - first) * one.length())
    return longest
