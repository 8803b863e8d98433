"""Whether two outlines are the same, or the same but for a move, a turn or a flip."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from cutfiles.check.shapes.tangles import meet_often
from cutfiles.core.tolerance import FILE_MM
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex, area, bounds, chords
from cutfiles.geometry.pose import Pose, placed

_HAIR_MM = 1e-4  # how far chords may stray where curves are compared
_MOST_CORNERS = 1500  # above, turned outlines are not searched for: it takes the square of them


def same_outline(first: Contour, second: Contour, *, within_mm: float = FILE_MM) -> bool:
    """Return whether two closed outlines are one, wherever each starts and whichever way it runs.

    No point of either is further than `within_mm` (and a ten-thousandth of a mm for arcs) from the other.
    """
    if not _bounds_agree(first, second, within_mm):
        return False
    if isinstance(first, Circle) and isinstance(second, Circle):
        return (
            math.dist((first.x, first.y), (second.x, second.y)) + abs(first.radius - second.radius)
            <= within_mm
        )
    if isinstance(first, Path) and isinstance(second, Path):
        if _same_corners(first, second, within_mm):
            return True
    elif _goes_round(first, second, within_mm) or _goes_round(second, first, within_mm):
        return True
    return _within(first, second, within_mm) and _within(second, first, within_mm)


def _bounds_agree(first: Contour, second: Contour, within_mm: float) -> bool:
    return all(abs(a - b) <= within_mm for a, b in zip(bounds(first), bounds(second), strict=True))


def _same_corners(first: Path, second: Path, within_mm: float) -> bool:
    """The usual case, and quick: corner by corner from the one nearest to the first."""
    if len(first.vertices) != len(second.vertices):
        return False
    if (area(first) > 0) != (area(second) > 0):
        second = second.backwards()
    mine, theirs = first.vertices, second.vertices
    at = mine[0][:2]
    start = min(range(len(theirs)), key=lambda index: math.dist(theirs[index][:2], at))
    turned = theirs[start:] + theirs[:start]
    if not all(math.dist(a[:2], b[:2]) <= within_mm for a, b in zip(mine, turned, strict=True)):
        return False
    # Between straight edges the middles are as near as the ends.
    return not (first.has_arcs() or second.has_arcs()) or all(
        math.dist(a[1], b[1]) <= within_mm
        for a, b in zip(_corners(first), _corners(Path(turned, second.closed)), strict=True)
    )


def _goes_round(circle: Contour, chain: Contour, within_mm: float) -> bool:
    """The usual case of a circle in HP-GL, and quick: chords that go round it once and never leave its line.

    Every ray from the middle meets such a chain once, so that no point of the circle is far from it either.
    """
    if not (isinstance(circle, Circle) and isinstance(chain, Path) and chain.closed):
        return False
    if any(vertex.bulge for vertex in chain.vertices):
        return False
    x, y = (np.array([vertex[:2] for vertex in chain.vertices]) - (circle.x, circle.y)).T
    next_x, next_y = np.roll(x, -1), np.roll(y, -1)
    distances, lengths = np.hypot(x, y), np.hypot(next_x - x, next_y - y)
    if np.abs(distances - circle.radius).max() > within_mm or not lengths.all():
        return False
    cross = x * next_y - y * next_x
    # A chord is nearest to the middle between its ends, if it is at all nearer than they are.
    if (np.abs(cross) / lengths).min() < circle.radius - within_mm:
        return False
    turns = np.arctan2(cross, x * next_x + y * next_y)
    return bool((np.abs(turns.sum()) < 7.0) and ((turns > 0).all() or (turns < 0).all()))  # 2π: once round


def _corners(path: Path) -> list[tuple[Point, Point]]:
    """Each edge's start and its middle: the middle tells a bulge."""
    return [(edge.start, edge.at(0.5)) for edge in edges_of(path)]


@lru_cache(maxsize=4096)  # each outline is looked at three times
def as_line(contour: Contour, *, stray_mm: float) -> shapely.LineString:
    """Return a contour as a chain of chords, closed if it is."""
    points = chords(contour, stray_mm=stray_mm)
    closed = isinstance(contour, Circle) or contour.closed
    return shapely.LineString([*points, points[0]] if closed else points)


@lru_cache(maxsize=4096)
def as_area(contour: Contour, *, stray_mm: float) -> shapely.Polygon:
    """Return what a closed contour encloses, of chords; it isn't valid where the contour crosses itself."""
    return shapely.Polygon(as_line(contour, stray_mm=stray_mm).coords)


def _within(first: Contour, second: Contour, within_mm: float) -> bool:
    if meet_often(as_line(first, stray_mm=_HAIR_MM), as_line(second, stray_mm=_HAIR_MM)):
        return False
    around = as_line(second, stray_mm=_HAIR_MM).buffer(within_mm + _HAIR_MM)
    return bool(shapely.covers(around, as_line(first, stray_mm=_HAIR_MM)))


def mirror_image(contour: Contour) -> Contour:
    """Return the outline mirrored about the y axis."""
    return placed(contour, Pose(mirrored=True))


@dataclass(frozen=True, slots=True)
class Motion:
    """What takes a shape from its own frame to where it was found; several turns if it looks alike."""

    turns_deg: tuple[float, ...]  # empty for a circle: any turn
    reach_mm: float  # from its middle to its furthest corner: what a turn moves most


def motion_of(shape: Contour, outline: Contour, *, within_mm: float = FILE_MM) -> Motion | None:
    """Return how a shape was turned and moved to give an outline, or None if it is another shape."""
    if isinstance(shape, Circle) or isinstance(outline, Circle):
        alike = isinstance(shape, Circle) and isinstance(outline, Circle)
        if not alike or abs(shape.radius - outline.radius) > within_mm:  # type: ignore[union-attr]
            return None
        return Motion((), 0.0)
    shape, outline = _simplest(shape), _simplest(outline)
    count = len(shape.vertices)
    if count != len(outline.vertices) or count > _MOST_CORNERS:
        return None
    if (area(shape) > 0) != (area(outline) > 0):
        outline = outline.backwards()
    mine, theirs = _centred(shape), _centred(outline)
    turns = []
    for first in range(count):
        shifted = np.roll(theirs, -first, axis=0)
        fit = complex(np.sum(shifted * np.conj(mine)))
        if abs(fit) == 0:
            continue
        if float(np.max(np.abs(shifted - fit / abs(fit) * mine))) <= 2 * within_mm:
            turns.append(math.degrees(cmath.phase(fit)) % 360.0)
    return Motion(tuple(sorted(turns)), float(np.max(np.abs(mine)))) if turns else None


def _centred(path: Path) -> np.ndarray[tuple[int, int], np.dtype[np.complex128]]:
    """Corners and middles of edges as complex numbers about their mean."""
    points = np.array([[complex(*start), complex(*middle)] for start, middle in _corners(path)])
    centred: np.ndarray[tuple[int, int], np.dtype[np.complex128]] = points - points.mean()
    return centred


def _simplest(path: Path) -> Path:
    """The path without corners that turn by nothing between straight edges."""
    kept: list[Vertex] = []
    vertices = path.vertices
    for index, vertex in enumerate(vertices):
        before, after = vertices[index - 1], vertices[(index + 1) % len(vertices)]
        if before.bulge == 0 and vertex.bulge == 0 and _off_line(before, vertex, after) <= FILE_MM / 4:
            continue
        kept.append(vertex)
    return Path(tuple(kept), path.closed) if len(kept) >= 3 else path


def _off_line(before: Vertex, vertex: Vertex, after: Vertex) -> float:
    across, up = after.x - before.x, after.y - before.y
    span = math.hypot(across, up)
    if span == 0:
        return math.inf
    return abs(across * (vertex.y - before.y) - up * (vertex.x - before.x)) / span
