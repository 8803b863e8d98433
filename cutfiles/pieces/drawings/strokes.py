"""What a drawing is made of: straight, round and free strokes, and the runs of lines and arcs they become.

Lengths are mm once the strokes have been moved to true size.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from cutfiles.core.errors import GeometryError
from cutfiles.geometry.arc_fit import Curve, fitted
from cutfiles.geometry.outline import Circle, Point, Vertex, bulge_of

FARTHEST_MM = 100_000.0  # as for the points of a job file: a drawing beyond 100 m is a slip
_LARGEST_MM = 1e15  # of radii: an arc of more is straight over 100 m, and its squares soon are no numbers
_TOO_FAR = "reaches further than 100 m; check its unit, or move it to its page"
MOST_STROKES = 5000  # of one drawing; an outline to cut has a few dozen
_STRAIGHT_RAD = 1e-6  # an arc of less leaves its chord by an eighth of a millionth of its length
_ROUND = 1e-9  # relative; axes that differ by less are rounding


class Affine(NamedTuple):
    """x becomes a·x + c·y + e, y becomes b·x + d·y + f (the order of SVG's `matrix()`)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def point(self, point: Point) -> Point:
        """Return where a point goes."""
        x, y = point
        return (self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f)

    def vector(self, vector: Point) -> Point:
        """Return what a direction with a length becomes."""
        x, y = vector
        return (self.a * x + self.c * y, self.b * x + self.d * y)

    def after(self, first: Affine) -> Affine:
        """Return the map that does `first`, then this one."""
        a, b = self.vector((first.a, first.b))
        c, d = self.vector((first.c, first.d))
        e, f = self.point((first.e, first.f))
        return Affine(a, b, c, d, e, f)


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight edge."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Oval:
    """A stretch of a circle or ellipse: centre + u·cos t + v·sin t, t from `start_rad` on by `sweep_rad`."""

    centre: Point
    u: Point
    v: Point
    start_rad: float = 0.0
    sweep_rad: float = 2 * math.pi

    def at(self, angle_rad: float) -> Point:
        """Return the point at a parameter."""
        cos, sin = math.cos(angle_rad), math.sin(angle_rad)
        return (
            self.centre[0] + self.u[0] * cos + self.v[0] * sin,
            self.centre[1] + self.u[1] * cos + self.v[1] * sin,
        )

    def slope(self, angle_rad: float) -> Point:
        """Return the derivative there."""
        cos, sin = math.cos(angle_rad), math.sin(angle_rad)
        return (self.v[0] * cos - self.u[0] * sin, self.v[1] * cos - self.u[1] * sin)


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bézier curve with its two handles."""

    a: Point
    b: Point
    c: Point
    d: Point

    def at(self, t: float) -> Point:
        """Return the point at a share t of the parameter, 0 to 1."""
        s = 1 - t
        weights = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
        points = (self.a, self.b, self.c, self.d)
        x, y = (math.fsum(w * p[axis] for w, p in zip(weights, points, strict=True)) for axis in (0, 1))
        return (x, y)

    def slope(self, t: float) -> Point:
        """Return the derivative there."""
        s = 1 - t
        weights = (3 * s * s, 6 * s * t, 3 * t * t)
        points = (self.a, self.b, self.c, self.d)
        steps = [(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(points)]
        x, y = (math.fsum(w * p[axis] for w, p in zip(weights, steps, strict=True)) for axis in (0, 1))
        return (x, y)


@dataclass(frozen=True, slots=True)
class FreeCurve:
    """A curve that is smooth between its breaks, in mm already."""

    curves: tuple[Curve, ...]


DrawingStroke = Straight | Oval | Cubic | FreeCurve


@dataclass(frozen=True, slots=True)
class Run:
    """Lines and arcs in a row; the last vertex is the end, or the first once more if `closed`."""

    vertices: tuple[Vertex, ...]
    closed: bool


def moved(stroke: Straight | Oval | Cubic, by: Affine) -> Straight | Oval | Cubic:
    """Return the stroke as an affine map leaves it: none of them changes its kind."""
    if isinstance(stroke, Straight):
        return Straight(by.point(stroke.start), by.point(stroke.end))
    if isinstance(stroke, Cubic):
        return Cubic(*(by.point(point) for point in (stroke.a, stroke.b, stroke.c, stroke.d)))
    return Oval(
        by.point(stroke.centre), by.vector(stroke.u), by.vector(stroke.v), stroke.start_rad, stroke.sweep_rad
    )


def run_of(strokes: Iterable[DrawingStroke], *, closed: bool = False) -> Run | Circle:
    """Return strokes that follow each other as lines and arcs; a lone whole circle stays one.

    Raises:
        GeometryError: a coordinate that is no number, or lies 100 m out.
    """
    strokes = list(strokes)
    if len(strokes) == 1 and isinstance(strokes[0], Oval) and abs(strokes[0].sweep_rad) > 2 * math.pi - 1e-9:
        oval = strokes[0]
        _refuse_far((oval.at(0.0), oval.at(math.pi)))
        if _is_round(oval) and math.hypot(*oval.u) > 0:
            return Circle(*oval.centre, math.hypot(*oval.u))
        closed = True
    vertices: list[Vertex] = []
    for stroke in strokes:
        _refuse_far(_corners(stroke))
        # Where one ends the next begins: kept once, with the bulge of the next.
        del vertices[-1:]
        vertices += _traced(stroke)
    _refuse_far(vertex[:2] for vertex in vertices)  # a spline may have a pole between its ends
    return Run(tuple(vertices), closed)


def _corners(stroke: DrawingStroke) -> tuple[Point, ...]:
    if isinstance(stroke, Straight):
        return (stroke.start, stroke.end)
    if isinstance(stroke, Cubic):
        return (stroke.a, stroke.b, stroke.c, stroke.d)
    if isinstance(stroke, Oval):  # its centre may well lie far out
        if max(abs(number) for number in (*stroke.centre, *stroke.u, *stroke.v)) > _LARGEST_MM:
            raise GeometryError(_TOO_FAR)
        return (stroke.at(stroke.start_rad), stroke.at(stroke.start_rad + stroke.sweep_rad))
    return tuple(curve.at(at) for curve in stroke.curves for at in (curve.start, curve.end))


def _refuse_far(points: Iterable[Point]) -> None:
    for number in (number for point in points for number in point):
        if not math.isfinite(number):
            raise GeometryError("has a coordinate that is not a number; draw the outline anew")
        if abs(number) > FARTHEST_MM:
            raise GeometryError(_TOO_FAR)


def _is_round(oval: Oval) -> bool:
    big = max(math.hypot(*oval.u), math.hypot(*oval.v))
    skew = oval.u[0] * oval.v[0] + oval.u[1] * oval.v[1]
    unlike = abs(math.hypot(*oval.u) - math.hypot(*oval.v))
    return abs(skew) <= _ROUND * big * big and unlike <= _ROUND * big


def _traced(stroke: DrawingStroke) -> list[Vertex]:
    if isinstance(stroke, Straight):
        return [Vertex(*stroke.start), Vertex(*stroke.end)]
    if isinstance(stroke, Cubic):
        if stroke.a == stroke.b and stroke.c == stroke.d:
            return [Vertex(*stroke.a), Vertex(*stroke.d)]
        return fitted(Curve(stroke.at, stroke.slope))
    if isinstance(stroke, FreeCurve):
        return _end_to_end(stroke.curves)
    if abs(stroke.sweep_rad) < _STRAIGHT_RAD:
        first, last = _corners(stroke)
        return [Vertex(*first), Vertex(*last)]
    return _round_arcs(stroke) if _is_round(stroke) else _oval_arcs(stroke)


def _round_arcs(oval: Oval) -> list[Vertex]:
    steps = max(1, math.ceil(abs(oval.sweep_rad) / math.pi - 1e-9))  # half a circle each at most
    step = oval.sweep_rad / steps
    turns = math.copysign(1.0, oval.u[0] * oval.v[1] - oval.u[1] * oval.v[0])
    bulge = turns * bulge_of(step)
    arcs = [Vertex(*oval.at(oval.start_rad + number * step), bulge) for number in range(steps)]
    return [*arcs, Vertex(*oval.at(oval.start_rad + oval.sweep_rad))]


def _oval_arcs(oval: Oval) -> list[Vertex]:
    """Fitted quarter by quarter of the ellipse's own axes, so that its symmetry is kept."""
    skew = oval.u[0] * oval.v[0] + oval.u[1] * oval.v[1]
    unlike = oval.u[0] ** 2 + oval.u[1] ** 2 - oval.v[0] ** 2 - oval.v[1] ** 2
    axis = math.atan2(2 * skew, unlike) / 2  # where |u·cos t + v·sin t| is greatest
    first, last = oval.start_rad, oval.start_rad + oval.sweep_rad
    low, high = min(first, last), max(first, last)
    quarter = math.pi / 2
    numbers = range(math.floor((low - axis) / quarter) + 1, math.ceil((high - axis) / quarter))
    inner = [axis + quarter * number for number in numbers]
    stops = [low, *(stop for stop in inner if low + 1e-9 < stop < high - 1e-9), high]
    if first > last:
        stops.reverse()
    return _end_to_end(Curve(oval.at, oval.slope, start, end) for start, end in pairwise(stops))


def _end_to_end(curves: Iterable[Curve]) -> list[Vertex]:
    vertices: list[Vertex] = []
    for curve in curves:
        del vertices[-1:]
        vertices += fitted(curve)
    return vertices
