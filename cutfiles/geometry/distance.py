"""How near two edges come, exactly: closed forms for lines and arcs, no chords.

The nearest two points of two edges that don't meet are an end of one and its nearest point on the other,
or lie where both edges have one common normal: through the centre of every arc involved.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
import shapely

from cutfiles.geometry.outline import Arc, Bounds, Circle, Contour, Point, arc_of, bounds

_CHUNK = 256  # edges that are looked at together: all of theirs may lie near each
_FEW = 400  # pairs of edges that are looked at one by one
_ROUND_DEG = 1e-9  # an angle this close to an arc's end is on it


@dataclass(frozen=True, slots=True)
class Edge:
    """A straight edge (`arc` is None) or an arc, with its ends and the upright rectangle around it."""

    start: Point
    end: Point
    arc: Arc | None
    box: Bounds

    def at(self, share: float) -> Point:
        """Return the point at `share` (0 the start, 1 the end) of its length."""
        if self.arc is not None:
            return self.arc.at(share)
        return (
            self.start[0] + share * (self.end[0] - self.start[0]),
            self.start[1] + share * (self.end[1] - self.start[1]),
        )

    def length(self) -> float:
        """Return its length in mm."""
        if self.arc is not None:
            return self.arc.radius * math.radians(abs(self.arc.sweep_deg))
        return math.dist(self.start, self.end)

    def share_of(self, point: Point) -> float:
        """Return the share of its length at which the edge comes nearest to a point."""
        if self.arc is None:
            across, up = self.end[0] - self.start[0], self.end[1] - self.start[1]
            square = across * across + up * up
            if square == 0:
                return 0.0
            along = (point[0] - self.start[0]) * across + (point[1] - self.start[1]) * up
            return min(1.0, max(0.0, along / square))
        angle = math.degrees(math.atan2(point[1] - self.arc.centre[1], point[0] - self.arc.centre[0]))
        share = _share_at(self.arc, angle)
        if share is not None:
            return share
        return 0.0 if math.dist(point, self.start) <= math.dist(point, self.end) else 1.0

    def to(self, point: Point) -> float:
        """Return the distance from a point, mm."""
        return math.dist(point, self.at(self.share_of(point)))


def edges_of(contour: Contour) -> list[Edge]:
    """Return a contour's edges; a circle as two halves."""
    if isinstance(contour, Circle):
        whole = Arc((contour.x, contour.y), contour.radius, 0.0, 360.0)
        halves = (
            Arc(whole.centre, whole.radius, 0.0, 180.0),
            Arc(whole.centre, whole.radius, 180.0, 180.0),
        )
        left, low, right, high = bounds(contour)
        boxes = ((left, contour.y, right, high), (left, low, right, contour.y))
        return [Edge(arc.at(0), arc.at(1), arc, box) for arc, box in zip(halves, boxes, strict=True)]
    found = []
    for start, end in contour.edges():
        if start.bulge:
            arc = arc_of(start, end)
            reach = arc.radius + 1e-9
            x, y = arc.centre
            sagitta = abs(start.bulge) * math.dist((start.x, start.y), end) / 2
            # A cheap rectangle: within the arc's height of the chord, and within its circle.
            box = (
                max(x - reach, min(start.x, end[0]) - 2 * sagitta),
                max(y - reach, min(start.y, end[1]) - 2 * sagitta),
                min(x + reach, max(start.x, end[0]) + 2 * sagitta),
                min(y + reach, max(start.y, end[1]) + 2 * sagitta),
            )
            if abs(start.bulge) > 1:
                box = (x - reach, y - reach, x + reach, y + reach)
            found.append(Edge((start.x, start.y), end, arc, box))
        else:
            box = (min(start.x, end[0]), min(start.y, end[1]), max(start.x, end[0]), max(start.y, end[1]))
            found.append(Edge((start.x, start.y), end, None, box))
    return found


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
    return 0.0 if any(crossings(one, other)) else least


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
        share = _share_at(arc, turned)
        if share is not None:
            yield arc.at(share)


def _share_at(arc: Arc, angle_deg: float) -> float | None:
    """At which share of an arc a direction from its centre meets it, or None."""
    sweep = abs(arc.sweep_deg)
    turn = (angle_deg - arc.start_deg) * (1.0 if arc.sweep_deg > 0 else -1.0) % 360.0
    if turn > 360.0 - _ROUND_DEG:
        turn = 0.0
    if turn > sweep + _ROUND_DEG or sweep == 0:
        return None
    return min(1.0, turn / sweep)


def crossings(one: Edge, other: Edge) -> Iterator[Point]:
    """Yield the points where two edges cross; of straight edges that only touch, none.

    Touching is left to the distances of the ends.
    """
    if one.arc is None and other.arc is None:
        yield from _lines_cross(one, other)
        return
    if one.arc is None or other.arc is None:
        straight, curved = (one, other) if one.arc is None else (other, one)
        assert curved.arc is not None
        for point in _line_meets_circle(straight, curved.arc):
            if _share_at(curved.arc, _direction(curved.arc.centre, point)) is not None:
                yield point
        return
    for point in _circles_meet(one.arc, other.arc):
        if (
            _share_at(one.arc, _direction(one.arc.centre, point)) is not None
            and _share_at(other.arc, _direction(other.arc.centre, point)) is not None
        ):
            yield point


def _lines_cross(one: Edge, other: Edge) -> Iterator[Point]:
    def side(edge: Edge, point: Point) -> float:
        return (edge.end[0] - edge.start[0]) * (point[1] - edge.start[1]) - (edge.end[1] - edge.start[1]) * (
            point[0] - edge.start[0]
        )

    before, after = side(one, other.start), side(one, other.end)
    if before * after < 0 and side(other, one.start) * side(other, one.end) < 0:
        yield other.at(before / (before - after))


def _direction(centre: Point, point: Point) -> float:
    return math.degrees(math.atan2(point[1] - centre[1], point[0] - centre[0]))


def _line_meets_circle(line: Edge, arc: Arc) -> Iterator[Point]:
    across, up = line.end[0] - line.start[0], line.end[1] - line.start[1]
    span = math.hypot(across, up)
    if span == 0:
        return
    across, up = across / span, up / span
    foot = (arc.centre[0] - line.start[0]) * across + (arc.centre[1] - line.start[1]) * up
    off = (arc.centre[0] - line.start[0]) * up - (arc.centre[1] - line.start[1]) * across
    square = arc.radius * arc.radius - off * off
    if square < 0:
        return
    for along in (foot - math.sqrt(square), foot + math.sqrt(square)):
        if 0 <= along <= span:
            yield (line.start[0] + along * across, line.start[1] + along * up)


def _circles_meet(one: Arc, other: Arc) -> Iterator[Point]:
    span = math.dist(one.centre, other.centre)
    if span == 0 or span > one.radius + other.radius or span < abs(one.radius - other.radius):
        return
    along = (span * span + one.radius**2 - other.radius**2) / (2 * span)
    aside = math.sqrt(max(0.0, one.radius**2 - along * along))
    across = (other.centre[0] - one.centre[0]) / span
    up = (other.centre[1] - one.centre[1]) / span
    for sign in (1.0, -1.0):
        yield (
            one.centre[0] + along * across - sign * aside * up,
            one.centre[1] + along * up + sign * aside * across,
        )


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
