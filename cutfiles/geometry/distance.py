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


def contours_apart(first: list[Edge], second: list[Edge], *, within_mm: float) -> float:
    """Return the least distance of two outlines' lines, exact where it is below `within_mm`."""
    least = within_mm
    for edge, other_edge in near_edges(first, second, within_mm):
        if _boxes_apart(edge.box, other_edge.box) < least:
            least = min(least, edges_apart(edge, other_edge))
    return least


def near_edges(first: list[Edge], second: list[Edge], within_mm: float) -> Iterator[tuple[Edge, Edge]]:
    """Yield pairs of edges, all those among them that come within a distance of each other."""
    if len(first) * len(second) <= _FEW:
        yield from product(first, second)
        return
    # An outline of thousands of edges would take the square of them.
    mine, theirs = (np.array([edge.box for edge in edges]).reshape(-1, 4) for edges in (first, second))
    grown = mine + np.array([-within_mm, -within_mm, within_mm, within_mm])
    tree = shapely.STRtree(np.asarray(shapely.box(*theirs.T), dtype=object))
    for start in range(0, len(first), _CHUNK):
        pairs = tree.query(shapely.box(*grown[start : start + _CHUNK].T))
        for i, j in zip(*pairs.tolist(), strict=True):
            yield first[start + i], second[j]


def edges_apart(first: Edge, second: Edge) -> float:
    """Return the least distance of two edges, mm; 0 where they cross or touch."""
    least = min(
        first.distance_to(second.start),
        first.distance_to(second.end),
        second.distance_to(first.start),
        second.distance_to(first.end),
    )
    for start, end in _common_normals(first, second):
        least = min(least, math.dist(start, end))
    return 0.0 if crossings(first, second) else least


def _common_normals(first: Edge, second: Edge) -> Iterator[tuple[Point, Point]]:
    if first.arc is None and second.arc is None:
        return
    if first.arc is None or second.arc is None:
        straight, curved = (first, second) if first.arc is None else (second, first)
        assert curved.arc is not None
        foot = straight.at(straight.share_of(curved.arc.centre))
        for point in _on_arc_towards(curved.arc, foot):
            yield foot, point
        return
    for start in _on_arc_towards(first.arc, second.arc.centre):
        for end in _on_arc_towards(second.arc, first.arc.centre):
            yield start, end


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


def _boxes_apart(first: Bounds, second: Bounds) -> float:
    across = max(first[0] - second[2], second[0] - first[2], 0.0)
    up = max(first[1] - second[3], second[1] - first[3], 0.0)
    return math.hypot(across, up)


def shared_mm(first: list[Edge], second: list[Edge], *, slack_mm: float) -> float:
    """Return the longest stretch along which an edge of one outline runs on an edge of the other, mm.

    Args:
        first: edges of an outline.
        second: edges of another outline.
        slack_mm: how far apart lines may be and still count as one.
    """
    longest = 0.0
    for edge, other_edge in near_edges(first, second, slack_mm):
        if _boxes_apart(edge.box, other_edge.box) <= slack_mm:
            longest = max(longest, _shared(edge, other_edge, slack_mm))
    return longest


def _shared(first: Edge, second: Edge, slack_mm: float) -> float:
    shares = [0.0, 1.0, first.share_of(second.start), first.share_of(second.end)]
    on_both = sorted(share for share in shares if second.distance_to(first.at(share)) <= slack_mm)
    longest = 0.0
    for start, end in pairwise(on_both):
        # Two lines that cross have both ends off; two arcs may touch twice: look in between, too.
        between = [first.at(start + step * (end - start) / 4) for step in (1, 2, 3)]
        if all(second.distance_to(point) <= slack_mm for point in between):
            longest = max(longest, (end - start) * first.length())
    return longest
