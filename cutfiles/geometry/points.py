"""Points on lines and arcs, and how far others are from them. mm."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.outline import Contour, Path, Point, Vertex, arc_of, bends


def points_on(contour: Contour, *, stray_mm: float) -> list[Point]:
    """Return points on the path, whose edges stray from it by at most `stray_mm`, to either side."""
    if not isinstance(contour, Path):
        half = Vertex(contour.x + contour.radius, contour.y, 1.0)
        contour = Path((half, Vertex(contour.x - contour.radius, contour.y, 1.0)), closed=True)
    if not contour.has_arcs():
        return [vertex[:2] for vertex in contour.vertices]
    points: list[Point] = []
    for start, end in contour.edges():
        points.append((start.x, start.y))
        if bends(start, end):
            arc = arc_of(start, end)
            # A chord leaves its arc by r·(1 − cos h) = 2·r·sin²(h/2), h being half of its step.
            step = 4 * math.asin(math.sqrt(min(0.25, stray_mm / arc.radius / 2)))
            steps = math.ceil(math.radians(abs(arc.sweep_deg)) / step)
            points += [arc.at(number / steps) for number in range(1, steps)]
    if not contour.closed:
        points.append(contour.vertices[-1][:2])
    return points


def distance_to_edge(point: Point, start: Vertex, end: Point) -> float:
    """Return how far a point is from a straight edge or an arc."""
    to_ends = min(math.dist(point, start[:2]), math.dist(point, end))
    across = (end[0] - start.x, end[1] - start.y)
    far = across[0] ** 2 + across[1] ** 2
    if far < SAME_POINT_MM**2:
        return to_ends
    if abs(start.bulge) * math.sqrt(far) < SAME_POINT_MM:  # straight, or so nearly that its centre is lost
        to_start = (point[0] - start.x, point[1] - start.y)
        share = (to_start[0] * across[0] + to_start[1] * across[1]) / far
        if not 0 <= share <= 1:
            return to_ends
        return abs(to_start[0] * across[1] - to_start[1] * across[0]) / math.sqrt(far)
    arc = arc_of(start, end)
    turn = math.degrees(math.atan2(point[1] - arc.centre[1], point[0] - arc.centre[0])) - arc.start_deg
    swept = turn % 360 if arc.sweep_deg > 0 else -turn % 360
    if swept > abs(arc.sweep_deg):
        return to_ends
    return abs(math.dist(point, arc.centre) - arc.radius)
