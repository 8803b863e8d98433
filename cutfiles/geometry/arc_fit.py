"""Free curves as a few arcs, each tangent to the next. Lengths are mm."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import FIT_MM, SAME_POINT_MM
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Path, Point, Vertex, bulge_of, turn_rad

_SAMPLES = 16  # of a stretch, at which the arcs are held against the curve
_DEEPEST = 20  # halvings; only a cusp asks for so many
_MOST_TRIED = 4000  # stretches of one curve; a large ellipse takes some hundred
_STEEPEST = 0.6  # bulge; beyond it (120°) a biarc says little about the curve
_STRAIGHT_MM = 1e-5  # a straight edge where an arc would do leaves a kink: only for what is straight


@dataclass(frozen=True, slots=True)
class Curve:
    """A smooth curve: where it is and its derivative, for parameters from `start` up or down to `end`."""

    at: Callable[[float], Point]
    slope: Callable[[float], Point]
    start: float = 0.0
    end: float = 1.0


def fitted(curve: Curve, *, within_mm: float = FIT_MM) -> list[Vertex]:
    """Return the vertices of a chain of arcs along the curve, its end included; the last bulge is 0.

    A stretch that two arcs can't follow within `within_mm` is halved. Run backwards or mirrored, a
    curve so gives the same arcs: a symmetric drawing stays symmetric.

    Raises:
        GeometryError: a curve of no sense, such as one with a pole.

    Source: biarc of equal control lengths, K. M. Bolton, Biarc curves, Computer-Aided Design 7 (1975).
    """
    vertices: list[Vertex] = []
    waiting = [(curve, _DEEPEST)]
    tried = 0
    while waiting:
        stretch, deeper = waiting.pop()
        tried += 1
        if tried > _MOST_TRIED:
            raise GeometryError("holds a curve that arcs can't follow; simplify it")
        arcs = _arcs(stretch, within_mm, last=deeper == 0)
        if arcs:
            vertices += arcs
            continue
        middle = (stretch.start + stretch.end) / 2
        waiting.append((Curve(curve.at, curve.slope, middle, stretch.end), deeper - 1))
        waiting.append((Curve(curve.at, curve.slope, stretch.start, middle), deeper - 1))
    return [*vertices, Vertex(*curve.at(curve.end))]


def _arcs(curve: Curve, within_mm: float, *, last: bool) -> list[Vertex]:
    """One line or two arcs along the stretch, without its end; nothing if they stray. The last is a line."""
    step = (curve.end - curve.start) / (_SAMPLES + 1)
    samples = [curve.at(curve.start + step * number) for number in range(_SAMPLES + 2)]
    start, end = samples[0], samples[-1]
    straight = [Vertex(*start), Vertex(*end)]
    if last or strays(straight, samples) <= _STRAIGHT_MM:
        return straight[:1]
    vertices = _biarc(start, end, _heading(curve, at_end=False), _heading(curve, at_end=True))
    return vertices[:-1] if vertices and strays(vertices, samples) <= within_mm else []


def _heading(curve: Curve, *, at_end: bool) -> Point:
    """The unit tangent at an end of the stretch; (0, 0) if there is none."""
    parameter = curve.end if at_end else curve.start
    span = curve.end - curve.start
    x, y = curve.slope(parameter)
    if math.hypot(x, y) * abs(span) < SAME_POINT_MM:
        # A handle of no length: the curve leaves along what comes next.
        near = curve.at(parameter + (-1e-4 if at_end else 1e-4) * span)
        here = curve.at(parameter)
        sign = -1.0 if at_end else 1.0
        x, y = sign * (near[0] - here[0]), sign * (near[1] - here[1])
    else:
        x, y = math.copysign(x, x * span), math.copysign(y, y * span)  # the parameter may run down
    size = math.hypot(x, y)
    return (x / size, y / size) if size > 0 else (0.0, 0.0)


def _biarc(start: Point, end: Point, leaving: Point, arriving: Point) -> list[Vertex]:
    """Two arcs from start to end with the given tangents; empty if none that bend gently do."""
    across = (end[0] - start[0], end[1] - start[1])
    both = (leaving[0] + arriving[0], leaving[1] + arriving[1])
    far = _dot(across, across)
    along = _dot(across, both)
    unlike = 2 * (1 - _dot(leaving, arriving))
    if unlike > 1e-12:
        reach = (math.sqrt(along * along + unlike * far) - along) / unlike
    elif along > 0:
        reach = far / (2 * along)
    else:
        return []
    joint = (
        (start[0] + end[0] + reach * (leaving[0] - arriving[0])) / 2,
        (start[1] + end[1] + reach * (leaving[1] - arriving[1])) / 2,
    )
    # The angle between tangent and chord is half of the sweep.
    first = bulge_of(2 * turn_rad(leaving, (joint[0] - start[0], joint[1] - start[1])))
    second = bulge_of(2 * turn_rad((end[0] - joint[0], end[1] - joint[1]), arriving))
    if max(abs(first), abs(second)) > _STEEPEST:
        return []
    return [Vertex(*start, first), Vertex(*joint, second), Vertex(*end)]


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1]


def strays(vertices: list[Vertex], samples: list[Point]) -> float:
    """Return how far from the chain of lines and arcs the furthest of the points is."""
    edges = edges_of(Path(tuple(vertices), closed=False))
    return max(min(edge.distance_to(point) for edge in edges) for point in samples)
