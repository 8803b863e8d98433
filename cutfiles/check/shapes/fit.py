"""How a shape was turned to give an outline, where corners can't tell: curves in one, chords in the other."""

from __future__ import annotations

import cmath
import math

import numpy as np
import shapely

from cutfiles.check.shapes.contours import Motion, as_line, same_outline
from cutfiles.geometry.outline import Circle, Contour, Path, area, length
from cutfiles.geometry.pose import Pose, placed

_POINTS = 256
_HAIR_MM = 1e-3
_ITERATIONS = 6  # of Gauss-Newton; the first guess is off by a degree or so
_ON_LINE_MM = 1e-9  # a point this near to a line lies on it
_MOST_TRIES = 12  # turns that are looked at more closely
_Complex = np.ndarray[tuple[int], np.dtype[np.complex128]]


def may_fit(shape: Contour, outline: Contour, *, within_mm: float) -> bool:
    """Return False where two outlines can't be one shape: by length and area, which no turn changes."""
    ours, theirs = length(shape), length(outline)
    # Chords within `within_mm` of arcs, and corners off by as much.
    slack = 2 * within_mm * _corners(outline) + 0.01 * theirs
    return abs(ours - theirs) <= slack and abs(abs(area(shape)) - abs(area(outline))) <= 2 * within_mm * max(
        ours, theirs
    )


def _corners(path: Contour) -> int:
    return len(path.vertices) if isinstance(path, Path) else 1


def turns_of(shape: Contour, outline: Contour, *, within_mm: float) -> tuple[float, ...]:
    """Return the turns, degrees, that take the shape onto the outline, wherever that lies.

    Candidates are peaks of the circular cross-correlation of the distances from the centroid along both
    outlines; each is then refined by least squares (Gauss-Newton).
    """
    if not may_fit(shape, outline, within_mm=within_mm):
        return ()
    mine, theirs = _ring(shape), _ring(outline)
    points, line = _sampled(mine), _sampled(theirs)
    alike = np.abs(np.fft.ifft(np.fft.fft(np.abs(line)) * np.conj(np.fft.fft(np.abs(points)))).real)
    best = [
        int(index)
        for index in np.argsort(-alike, kind="stable").tolist()
        if alike[index] >= max(alike[index - 1], alike[(index + 1) % _POINTS])
    ]
    turns: list[float] = []
    for first in best[:_MOST_TRIES]:
        turn = cmath.phase(complex(np.sum(np.roll(line, -first) * np.conj(points))))
        turned = _refined(points, theirs, _middle(outline), turn)
        pose_turn = math.degrees(turned) % 360.0
        if any(abs((pose_turn - earlier + 180) % 360 - 180) < 0.1 for earlier in turns):
            continue
        if _lies_on(shape, outline, turned, within_mm):
            turns.append(pose_turn)
    return tuple(sorted(turns))


def _ring(contour: Contour) -> shapely.LineString:
    counter_clockwise = contour
    if isinstance(contour, Path) and area(contour) < 0:
        counter_clockwise = contour.backwards()
    return as_line(counter_clockwise, stray_mm=_HAIR_MM)


def _middle(contour: Contour) -> complex:
    """The centroid of what the outline encloses: the same whatever its corners."""
    middle = shapely.Polygon(_ring(contour).coords).centroid
    return complex(middle.x, middle.y)


def _sampled(ring: shapely.LineString) -> _Complex:
    """Points at equal steps along, seen from the centroid."""
    at = np.arange(_POINTS) / _POINTS
    xy = shapely.get_coordinates(shapely.line_interpolate_point(ring, at, normalized=True))
    middle = shapely.Polygon(ring.coords).centroid
    samples: _Complex = xy[:, 0] - middle.x + 1j * (xy[:, 1] - middle.y)
    return samples


def _refined(points: _Complex, onto: shapely.LineString, middle: complex, turn: float) -> float:
    """A turn refined by Gauss-Newton on the distances of points from the line."""
    for _ in range(_ITERATIONS):
        turned = points * cmath.exp(1j * turn)
        at = shapely.line_locate_point(
            onto, shapely.points(turned.real + middle.real, turned.imag + middle.imag)
        )
        xy = shapely.get_coordinates(shapely.line_interpolate_point(onto, at))
        off = turned - (xy[:, 0] + 1j * xy[:, 1] - middle)
        distance = np.abs(off)
        away = distance > _ON_LINE_MM
        if not away.any():
            break
        # A point moves at right angles to its radius; only the component along its residual counts.
        change = (1j * turned[away] * np.conj(off[away])).real / distance[away]
        weight = float(np.sum(change * change))
        if weight == 0:
            break
        turn -= float(np.sum(distance[away] * change)) / weight
    return turn


def _lies_on(shape: Contour, outline: Contour, turn: float, within_mm: float) -> bool:
    here = _middle(shape)
    there = _middle(outline) - here * cmath.exp(1j * turn)
    laid = placed(shape, Pose(there.real, there.imag, math.degrees(turn)))
    return same_outline(laid, outline, within_mm=2 * within_mm)


def fitted(shape: Contour, outline: Contour, *, within_mm: float) -> Motion | None:
    """Return how a shape was turned and moved to give an outline, or None if it is another shape.

    Slower than `motion_of`, and asks nothing of the corners: one of the two may have chords for arcs.
    """
    if not may_fit(shape, outline, within_mm=within_mm):
        return None
    if isinstance(shape, Circle):
        middle = _middle(outline)
        whole = Circle(middle.real, middle.imag, shape.radius)
        return Motion((), 0.0) if same_outline(whole, outline, within_mm=2 * within_mm) else None
    turns = turns_of(shape, outline, within_mm=within_mm)
    return Motion(turns, float(np.max(np.abs(_sampled(_ring(outline)))))) if turns else None
