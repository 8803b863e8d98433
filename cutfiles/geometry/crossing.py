"""Where straight edges and arcs cross, as shares of their way. Closed forms; lengths are mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutfiles.geometry.outline import Arc, Point, Vertex, arc_of

Edge = tuple[Vertex, Point]
_SLACK = 1e-9  # share beyond an end that is still the end


def crossings(one: Edge, other: Edge) -> list[tuple[float, float]]:
    """Return, for each common point of two edges, its share of the way along either.

    Edges that lie on each other, along a line or an arc, have none: they don't cross.
    """
    found = []
    for point in _common(one, other):
        shares = _share(one, point), _share(other, point)
        if all(-_SLACK <= share <= 1 + _SLACK for share in shares):
            found.append((min(max(shares[0], 0.0), 1.0), min(max(shares[1], 0.0), 1.0)))
    return found


def _common(one: Edge, other: Edge) -> Iterator[Point]:
    """Common points of the whole lines and circles."""
    if one[0].bulge == 0 and other[0].bulge == 0:
        yield from _of_lines(one, other)
    elif one[0].bulge == 0:
        yield from _of_line_and_circle(one, arc_of(*other))
    elif other[0].bulge == 0:
        yield from _of_line_and_circle(other, arc_of(*one))
    else:
        yield from _of_circles(arc_of(*one), arc_of(*other))


def _of_lines(one: Edge, other: Edge) -> Iterator[Point]:
    (a, b), (c, d) = one, other
    ux, uy, vx, vy = b[0] - a.x, b[1] - a.y, d[0] - c.x, d[1] - c.y
    cross = ux * vy - uy * vx
    if abs(cross) > 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        share = ((c.x - a.x) * vy - (c.y - a.y) * vx) / cross
        yield (a.x + share * ux, a.y + share * uy)


def _of_line_and_circle(line: Edge, arc: Arc) -> Iterator[Point]:
    (a, b) = line
    size = math.hypot(b[0] - a.x, b[1] - a.y)
    ux, uy = (b[0] - a.x) / size, (b[1] - a.y) / size
    along = (arc.centre[0] - a.x) * ux + (arc.centre[1] - a.y) * uy
    aside = (arc.centre[0] - a.x) * uy - (arc.centre[1] - a.y) * ux
    under = arc.radius**2 - aside**2
    if under > 0:
        half = math.sqrt(under)
        for way in (along - half, along + half):
            yield (a.x + way * ux, a.y + way * uy)


def _of_circles(one: Arc, other: Arc) -> Iterator[Point]:
    dx, dy = other.centre[0] - one.centre[0], other.centre[1] - one.centre[1]
    apart = math.hypot(dx, dy)
    if apart < 1e-12 * max(one.radius, other.radius):
        return
    # The chord that both share stands square to the line of centres, `along` from the first.
    along = (apart + (one.radius - other.radius) * (one.radius + other.radius) / apart) / 2
    under = one.radius**2 - along**2
    if under <= 0:
        return
    half = math.sqrt(under) / apart
    for side in (half, -half):
        yield (
            one.centre[0] + along * dx / apart - side * dy,
            one.centre[1] + along * dy / apart + side * dx,
        )


def _share(edge: Edge, point: Point) -> float:
    start, end = edge
    if start.bulge == 0:
        ux, uy = end[0] - start.x, end[1] - start.y
        return ((point[0] - start.x) * ux + (point[1] - start.y) * uy) / (ux * ux + uy * uy)
    arc = arc_of(start, end)
    turn = math.degrees(math.atan2(point[1] - arc.centre[1], point[0] - arc.centre[0])) - arc.start_deg
    swept = turn % 360 if arc.sweep_deg > 0 else -turn % 360
    share = swept / abs(arc.sweep_deg)
    # Just before the start is a whole turn after it.
    before = (swept - 360) / abs(arc.sweep_deg)
    return before if abs(before) < abs(share - 1) and before > -_SLACK else share
