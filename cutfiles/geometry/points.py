"""Points: on which side of a line they lie; and as many on arcs as it takes for chords between them. mm."""

from __future__ import annotations

import math

from cutfiles.geometry.outline import Contour, Point, arc_of, as_path, bends


def points_on(contour: Contour, *, stray_mm: float) -> list[Point]:
    """Return points on the path, whose edges stray from it by at most `stray_mm`, to either side."""
    contour = as_path(contour)
    if not contour.has_arcs():
        return [vertex[:2] for vertex in contour.vertices]
    points: list[Point] = []
    for start, end in contour.edges():
        points.append((start.x, start.y))
        if bends(start, end):
            arc = arc_of(start, end)
            steps = math.ceil(math.radians(abs(arc.sweep_deg)) / chord_rad(arc.radius, stray_mm=stray_mm))
            points += [arc.at(number / steps) for number in range(1, steps)]
    if not contour.closed:
        points.append(contour.vertices[-1][:2])
    return points


def chord_rad(radius: float, *, stray_mm: float) -> float:
    """Return how far an arc sweeps that leaves its chord by `stray_mm`, in radians; 2/3·pi at most."""
    # A chord leaves its arc by r·(1 − cos h) = 2·r·sin²(h/2), h being half of its step.
    return 4 * math.asin(math.sqrt(min(0.25, stray_mm / radius / 2)))


def side(start: Point, end: Point, point: Point) -> float:
    """Return twice the area of a triangle: above 0 where the point lies left of the way from start to end."""
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])
