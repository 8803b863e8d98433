"""One straight edge or arc by itself: where it is, how long, how near, where it crosses. Closed forms, mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from cutfiles.geometry.outline import (
    Arc,
    Bounds,
    Circle,
    Contour,
    Path,
    Point,
    Vertex,
    arc_of,
    bends,
    heading,
    turn_rad,
)

_ROUND_DEG = 1e-9  # an angle this close to an arc's end is on it
_SLACK = 1e-9  # share beyond an end that is still the end
_PARALLEL = 1e-12  # sine of the angle between lines that have no crossing to speak of


@dataclass(frozen=True, slots=True)
class Edge:
    """A straight edge (`arc` is None) or an arc, with its ends and an upright rectangle that holds it.

    The bulge is that of the path it was taken from: an arc so flat that its centre is lost keeps it, and is
    measured as its chord.
    """

    start: Point
    end: Point
    bulge: float
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

    def heading(self, *, at_end: bool) -> Point:
        """Return the unit tangent at its start or at its end; the ends must lie apart."""
        return heading(Vertex(*self.start, self.bulge), self.end, at_end=at_end)

    def vertex(self) -> Vertex:
        """Return its start, as the vertex of a path that this edge leaves."""
        return Vertex(*self.start, self.bulge)

    def part(self, first: float, last: float) -> Edge:
        """Return the stretch from one share of its length to another; its own ends exactly."""
        start = self.start if first == 0.0 else self.end if first == 1.0 else self.at(first)
        end = self.start if last == 0.0 else self.end if last == 1.0 else self.at(last)
        return edge(Vertex(*start, math.tan(math.atan(self.bulge) * (last - first))), end)

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
        share = share_at(self.arc, angle)
        if share is not None:
            return share
        return 0.0 if math.dist(point, self.start) <= math.dist(point, self.end) else 1.0

    def distance_to(self, point: Point) -> float:
        """Return the distance from a point, mm."""
        return math.dist(point, self.at(self.share_of(point)))


def edge(start: Vertex, end: Point) -> Edge:
    """Return the edge that leaves a vertex of a path and reaches a point."""
    if not start.bulge or not bends(start, end):
        box = (min(start.x, end[0]), min(start.y, end[1]), max(start.x, end[0]), max(start.y, end[1]))
        return Edge((start.x, start.y), end, start.bulge, None, box)
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
    return Edge((start.x, start.y), end, start.bulge, arc, box)


def edges_of(contour: Contour) -> list[Edge]:
    """Return a contour's edges; a circle as two halves."""
    if isinstance(contour, Circle):
        x, y, radius = contour.x, contour.y, contour.radius
        upper, lower = (Arc((x, y), radius, start, 180.0) for start in (0.0, 180.0))
        return [
            Edge(upper.at(0), upper.at(1), 1.0, upper, (x - radius, y, x + radius, y + radius)),
            Edge(lower.at(0), lower.at(1), 1.0, lower, (x - radius, y - radius, x + radius, y)),
        ]
    return [edge(start, end) for start, end in contour.edges()]


def turns_of(outline: Path) -> list[float]:
    """Return by how much a closed path turns at each of its corners, in radians, ccw positive."""
    edges = list(outline.edges())
    return [
        turn_rad(heading(*before, at_end=True), heading(*after, at_end=False))
        for before, after in pairwise([edges[-1], *edges])
    ]


def share_at(arc: Arc, angle_deg: float) -> float | None:
    """Return at which share of an arc a direction from its centre meets it, None where it doesn't."""
    sweep = abs(arc.sweep_deg)
    turn = (angle_deg - arc.start_deg) * (1.0 if arc.sweep_deg > 0 else -1.0) % 360.0
    if turn > 360.0 - _ROUND_DEG:
        turn = 0.0
    if turn > sweep + _ROUND_DEG or sweep == 0:
        return None
    return min(1.0, turn / sweep)


def crossings(first: Edge, second: Edge) -> list[tuple[float, float]]:
    """Return, for each common point of two edges, its share of the length of either.

    An end on the other edge counts. Edges that lie on each other, along a line or an arc, have none: they
    don't cross.
    """
    if first.arc is None and second.arc is None:
        return _of_lines(first, second)
    shares = []
    for point in _common(first, second):
        first_share, second_share = _share(first, point), _share(second, point)
        if first_share is not None and second_share is not None:
            shares.append((first_share, second_share))
    return shares


def _of_lines(first: Edge, second: Edge) -> list[tuple[float, float]]:
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = first.start, first.end, second.start, second.end
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    cross = ux * vy - uy * vx
    if abs(cross) <= _PARALLEL * math.hypot(ux, uy) * math.hypot(vx, vy):
        return []
    first_share = ((cx - ax) * vy - (cy - ay) * vx) / cross
    second_share = ((cx - ax) * uy - (cy - ay) * ux) / cross
    if not (-_SLACK <= first_share <= 1 + _SLACK and -_SLACK <= second_share <= 1 + _SLACK):
        return []
    return [(min(max(first_share, 0.0), 1.0), min(max(second_share, 0.0), 1.0))]


def _common(first: Edge, second: Edge) -> Iterator[Point]:
    """Common points of the whole line and circle, or of both circles."""
    if first.arc is not None and second.arc is not None:
        yield from _of_circles(first.arc, second.arc)
    elif first.arc is not None:
        yield from _of_line_and_circle(second, first.arc)
    elif second.arc is not None:
        yield from _of_line_and_circle(first, second.arc)


def _of_line_and_circle(line: Edge, arc: Arc) -> Iterator[Point]:
    (ax, ay), (bx, by) = line.start, line.end
    size = math.hypot(bx - ax, by - ay)
    if size == 0:
        return
    ux, uy = (bx - ax) / size, (by - ay) / size
    along = (arc.centre[0] - ax) * ux + (arc.centre[1] - ay) * uy
    aside = (arc.centre[0] - ax) * uy - (arc.centre[1] - ay) * ux
    under = arc.radius**2 - aside**2
    if under > 0:
        half = math.sqrt(under)
        for way in (along - half, along + half):
            yield (ax + way * ux, ay + way * uy)


def _of_circles(first: Arc, second: Arc) -> Iterator[Point]:
    dx, dy = second.centre[0] - first.centre[0], second.centre[1] - first.centre[1]
    apart = math.hypot(dx, dy)
    if apart < 1e-12 * max(first.radius, second.radius):
        return
    # The chord that both share stands square to the line of centres, `along` from the first.
    along = (apart + (first.radius - second.radius) * (first.radius + second.radius) / apart) / 2
    under = first.radius**2 - along**2
    if under <= 0:
        return
    half = math.sqrt(under) / apart
    for side in (half, -half):
        yield (
            first.centre[0] + along * dx / apart - side * dy,
            first.centre[1] + along * dy / apart + side * dx,
        )


def _share(edge: Edge, point: Point) -> float | None:
    """The share of a point on the whole line or circle; None where that is beyond the edge's ends."""
    if edge.arc is None:
        ux, uy = edge.end[0] - edge.start[0], edge.end[1] - edge.start[1]
        share = ((point[0] - edge.start[0]) * ux + (point[1] - edge.start[1]) * uy) / (ux * ux + uy * uy)
        return min(max(share, 0.0), 1.0) if -_SLACK <= share <= 1 + _SLACK else None
    angle = math.degrees(math.atan2(point[1] - edge.arc.centre[1], point[0] - edge.arc.centre[0]))
    return share_at(edge.arc, angle)
