"""Outlines and drawn lines, made of straight edges and circular arcs: exact, never chopped up.

An arc is a bulge on the vertex it leaves from, as DXF defines it: the tangent of a quarter of the
arc's included angle, positive when it runs counter-clockwise (Autodesk DXF reference, LWPOLYLINE,
group code 42). Lengths are mm, y points up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from operator import itemgetter
from typing import NamedTuple

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import SAME_POINT_MM

Point = tuple[float, float]
Bounds = tuple[float, float, float, float]  # least x, least y, greatest x, greatest y


class Vertex(NamedTuple):
    """A corner, and the bulge of the edge that leaves it (0 is a straight edge)."""

    x: float
    y: float
    bulge: float = 0.0


_BULGE = itemgetter(2)  # of a vertex


class Side(Enum):
    """To which side a polygon that stands for a curve may err."""

    INSIDE = "inside"
    OUTSIDE = "outside"


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc: centre, radius, where it starts and how far it sweeps (degrees, ccw positive)."""

    centre: Point
    radius: float
    start_deg: float
    sweep_deg: float

    def at(self, share: float) -> Point:
        """Return the point at `share` (0 the start, 1 the end) of the sweep."""
        angle = math.radians(self.start_deg + share * self.sweep_deg)
        x, y = self.centre
        return (x + self.radius * math.cos(angle), y + self.radius * math.sin(angle))


@dataclass(frozen=True, slots=True)
class Path:
    """A chain of straight edges and arcs; closed, it is the outline of something."""

    vertices: tuple[Vertex, ...]
    closed: bool

    def __post_init__(self) -> None:
        if len(self.vertices) < 2:
            raise GeometryError(f"a path needs 2 points or more, got {len(self.vertices)}")
        # One number that isn't finite makes the sum so; plans make paths by the hundred thousand.
        if not math.isfinite(sum(map(sum, self.vertices))):
            raise GeometryError("a path needs finite coordinates")

    def has_arcs(self) -> bool:
        """Return whether any edge has a bulge."""
        return any(map(_BULGE, self.vertices))

    def edges(self) -> Iterator[tuple[Vertex, Point]]:
        """Yield each edge: the vertex it leaves (with its bulge) and the point it reaches."""
        ends = self.vertices[1:] + (self.vertices[:1] if self.closed else ())
        # An open path has one edge fewer than vertices: the last bulge means nothing.
        for start, end in zip(self.vertices, ends, strict=False):
            yield start, (end.x, end.y)

    def backwards(self) -> Path:
        """Return the same path run the other way."""
        if not self.has_arcs():
            return Path(self.vertices[::-1], self.closed)
        bulges = [-vertex.bulge for vertex in self.vertices]
        points = [(vertex.x, vertex.y) for vertex in self.vertices]
        points.reverse()
        bulges.reverse()
        # Edge i left vertex i; run backwards it leaves vertex i + 1.
        bulges = bulges[1:] + bulges[:1]
        vertices = tuple(Vertex(x, y, b) for (x, y), b in zip(points, bulges, strict=True))
        return Path(vertices, self.closed)


@dataclass(frozen=True, slots=True)
class Circle:
    """A whole circle, which stays one in every file."""

    x: float
    y: float
    radius: float

    def __post_init__(self) -> None:
        if not (self.radius > 0 and math.isfinite(self.x + self.y + self.radius)):
            raise GeometryError(f"a circle needs a radius above 0 mm, got {self.radius}")


Contour = Path | Circle  # closed where it bounds a piece


def line(*points: Point) -> Path:
    """Return the open path of straight edges through the points, mm."""
    return Path(tuple(Vertex(x, y) for x, y in points), closed=False)


def ring(*points: Point) -> Path:
    """Return the closed path of straight edges through the points, mm."""
    return Path(tuple(Vertex(x, y) for x, y in points), closed=True)


def arc_of(start: Vertex, end: Point) -> Arc:
    """Return the arc that a bulged edge stands for.

    Raises:
        GeometryError: the edge is straight, or its ends are one point.

    Source: bulge b = tan(sweep / 4), hence radius = chord · (1 + b²) / (4·|b|), and the centre lies
    chord · (1 − b²) / (4·b) to the left of the chord's middle.
    """
    chord_x, chord_y = end[0] - start.x, end[1] - start.y
    chord = math.hypot(chord_x, chord_y)
    bulge = start.bulge
    if bulge == 0 or chord < SAME_POINT_MM:
        raise GeometryError("an arc needs a bulge and two ends apart")
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    aside = (1 - bulge * bulge) / (4 * bulge)
    centre = (
        (start.x + end[0]) / 2 - aside * chord_y,
        (start.y + end[1]) / 2 + aside * chord_x,
    )
    start_deg = math.degrees(math.atan2(start.y - centre[1], start.x - centre[0]))
    return Arc(centre, radius, start_deg, math.degrees(4 * math.atan(bulge)))


def bulge_of(sweep_rad: float) -> float:
    """Return the bulge of an arc that sweeps so far, ccw positive; less than a full turn."""
    return math.tan(sweep_rad / 4)


def bends(start: Vertex, end: Point) -> bool:
    """Return whether an edge is an arc; one that its chord would stand for has no centre to speak of."""
    # An arc rises above its chord by half of it, times the bulge.
    return math.dist((start.x, start.y), end) * abs(start.bulge) / 2 > SAME_POINT_MM


def heading(start: Vertex, end: Point, *, at_end: bool) -> Point:
    """Return the unit tangent of an edge, at its start or at its end; the ends must lie apart."""
    x, y = end[0] - start.x, end[1] - start.y
    size = math.hypot(x, y)
    # An arc leaves its chord by half of its sweep, to the right if it runs counter-clockwise.
    aside = 2 * math.atan(start.bulge) * (1 if at_end else -1)
    cos, sin = math.cos(aside) / size, math.sin(aside) / size
    return (x * cos - y * sin, x * sin + y * cos)


def as_path(outline: Contour) -> Path:
    """Return a contour as a path; a circle as two half circles, begun at its right, ccw."""
    if isinstance(outline, Path):
        return outline
    x, y, radius = outline.x, outline.y, outline.radius
    return Path((Vertex(x + radius, y, 1.0), Vertex(x - radius, y, 1.0)), closed=True)


def counter_clockwise(outline: Contour) -> Contour:
    """Return a closed outline run counter-clockwise."""
    return outline if area(outline) > 0 else reversed_ring(outline)


def reversed_ring(outline: Contour) -> Contour:
    """Return a closed outline run the other way; a circle has no way round."""
    return outline if isinstance(outline, Circle) else outline.backwards()


def turn_rad(before: Point, after: Point) -> float:
    """Return by how much one heading must turn to become the other, above -pi up to pi, ccw positive."""
    return math.atan2(
        before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]
    )


def area(contour: Contour) -> float:
    """Return the enclosed area in mm², positive when the path runs counter-clockwise. Exact for arcs.

    Source: shoelace formula, plus for each arc its circular segment r²·(t − sin t)/2.
    """
    if isinstance(contour, Circle):
        return math.pi * contour.radius**2
    total = 0.0
    for start, end in contour.edges():
        total += (start.x * end[1] - end[0] * start.y) / 2
        if start.bulge:
            arc = arc_of(start, end)
            sweep = math.radians(arc.sweep_deg)
            total += arc.radius**2 * (sweep - math.sin(sweep)) / 2
    return total


def length(contour: Contour) -> float:
    """Return the length along the path in mm. Exact for arcs."""
    if isinstance(contour, Circle):
        return 2 * math.pi * contour.radius
    total = 0.0
    for start, end in contour.edges():
        if start.bulge:
            arc = arc_of(start, end)
            total += arc.radius * math.radians(abs(arc.sweep_deg))
        else:
            total += math.hypot(end[0] - start.x, end[1] - start.y)
    return total


def bounds(contour: Contour) -> Bounds:
    """Return the smallest upright rectangle around the path, mm. Exact for arcs."""
    if isinstance(contour, Circle):
        x, y, r = contour.x, contour.y, contour.radius
        return (x - r, y - r, x + r, y + r)
    xs = [vertex.x for vertex in contour.vertices]
    ys = [vertex.y for vertex in contour.vertices]
    for start, end in contour.edges() if contour.has_arcs() else ():
        if not start.bulge:
            continue
        arc = arc_of(start, end)
        for quarter in range(4):
            if _sweeps_over(arc, 90.0 * quarter):
                xs.append(arc.centre[0] + (arc.radius, 0.0, -arc.radius, 0.0)[quarter])
                ys.append(arc.centre[1] + (0.0, arc.radius, 0.0, -arc.radius)[quarter])
    return (min(xs), min(ys), max(xs), max(ys))


def _sweeps_over(arc: Arc, angle_deg: float) -> bool:
    if arc.sweep_deg >= 0:
        return (angle_deg - arc.start_deg) % 360.0 <= arc.sweep_deg
    return (arc.start_deg - angle_deg) % 360.0 <= -arc.sweep_deg


def chords(contour: Contour, *, stray_mm: float, side: Side = Side.INSIDE) -> list[Point]:
    """Return points of straight edges that stand for the path and err to one side only.

    Args:
        contour: closed paths run counter-clockwise; an open path has its "inside" on its left.
        stray_mm: how far an edge may stray from its arc, above 0.
        side: INSIDE keeps the polygon within the outline, OUTSIDE keeps it around the outline.

    A circle's OUTSIDE polygon touches it at 0, 90, 180 and 270 degrees, so that its bounds are exact.
    """
    if isinstance(contour, Circle):
        return _circle_points(contour, stray_mm, side)
    points: list[Point] = []
    for start, end in contour.edges():
        points.append((start.x, start.y))
        if start.bulge:
            bulges_out = start.bulge > 0
            outer = bulges_out == (side is Side.OUTSIDE)
            points.extend(_arc_points(arc_of(start, end), stray_mm, outer=outer))
    if not contour.closed:
        points.append((contour.vertices[-1].x, contour.vertices[-1].y))
    return points


def _steps(radius: float, sweep_rad: float, stray_mm: float) -> int:
    # The sagitta of a chord, r·(1 − cos(step/2)), and the overshoot of a tangent corner,
    # r·(1/cos(step/2) − 1), are equal to second order: the larger one rules.
    half_step = math.acos(radius / (radius + min(stray_mm, radius)))
    return max(1, math.ceil(abs(sweep_rad) / (2 * half_step)))


def _arc_points(arc: Arc, stray_mm: float, *, outer: bool) -> list[Point]:
    """Points between the arc's ends: on it, or where tangents at equal steps cross."""
    sweep = math.radians(abs(arc.sweep_deg))
    steps = max(_steps(arc.radius, sweep, stray_mm), math.ceil(sweep / (math.pi / 2)))
    if not outer:
        return [arc.at(step / steps) for step in range(1, steps)]
    corner = Arc(arc.centre, arc.radius / math.cos(sweep / steps / 2), arc.start_deg, arc.sweep_deg)
    return [corner.at((step + 0.5) / steps) for step in range(steps)]


def _circle_points(circle: Circle, stray_mm: float, side: Side) -> list[Point]:
    steps = 4 * math.ceil(_steps(circle.radius, 2 * math.pi, stray_mm) / 4)
    whole = Arc((circle.x, circle.y), circle.radius, 0.0, 360.0)
    if side is Side.INSIDE:
        return [whole.at(step / steps) for step in range(steps)]
    corner = Arc(whole.centre, circle.radius / math.cos(math.pi / steps), 0.0, 360.0)
    return [corner.at((step + 0.5) / steps) for step in range(steps)]
