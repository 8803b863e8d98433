"""The corners of a polygon of the user's own: checked, and brought into counter-clockwise order."""

from __future__ import annotations

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.core.units import FORMS, length_mm
from cutfiles.geometry.outline import Point, area, ring
from cutfiles.geometry.points import side
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.schema.field import LONGEST_MM

_MOST_CORNERS = 500


def corners_of(section: Section, *, key: str = "points") -> tuple[Point, ...]:
    """Return the polygon at a key in mm, counter-clockwise, without repeated corners.

    Raises:
        JobError: no simple polygon; `where` names the point.
    """
    _, value = section.value(key)
    if value is None:
        raise section.error(key, "is missing; give the corners in order, like [[0, 0], [2, 0], [1, 3]]")
    if not isinstance(value, list):
        raise section.error(key, f"{quoted(value)} is not a list of corners; write [[0, 0], [2, 0], [1, 3]]")
    if not 3 <= len(value) <= _MOST_CORNERS:
        raise section.error(key, f"has {len(value)} corners; 3 to {_MOST_CORNERS} are allowed")
    points = [_point(section, f"{key}.{number}", entry) for number, entry in enumerate(value, start=1)]
    points = [
        point for point, before in zip(points, points[-1:] + points[:-1], strict=True) if point != before
    ]
    if len(points) < 3:
        raise section.error(key, "has fewer than 3 different corners")
    crossing = _crossing(points)
    if crossing:
        first, second = crossing
        raise section.error(
            key, f"edges {first} and {second} cross or touch; give the corners in their order round"
        )
    turning = area(ring(*points))
    if abs(turning) < SAME_POINT_MM:
        raise section.error(key, "has no area; give the corners in their order round")
    if turning < 0:
        points.reverse()
    return tuple(points)


def _point(section: Section, where: str, entry: object) -> Point:
    if not isinstance(entry, list) or len(entry) != 2:
        problem = (
            f"has {len(entry)} numbers" if isinstance(entry, list) else f"{quoted(entry)} is not a corner"
        )
        raise section.error(where, f"{problem}; write [x, y]")
    numbers = []
    for value in entry:
        too_long = isinstance(value, int) and abs(value) > LONGEST_MM
        try:
            mm = LONGEST_MM * 2 if too_long else length_mm(value, section.unit)
        except GeometryError:
            raise section.error(where, f"{quoted(value)} is not a length; write one like {FORMS}") from None
        if abs(mm) > LONGEST_MM:
            raise section.error(where, f"{quoted(value)} is too far out; at most {LONGEST_MM / 1000:g} m")
        numbers.append(mm)
    return (numbers[0], numbers[1])


def _crossing(points: list[Point]) -> tuple[int, int] | None:
    """Numbers (from 1) of two edges that meet elsewhere than at a shared corner."""
    edges = list(zip(points, points[1:] + points[:1], strict=True))
    for i, (a, b) in enumerate(edges):
        for j in range(i + 1, len(edges)):
            c, d = edges[j]
            beside = j == i + 1 or (i == 0 and j == len(edges) - 1)
            if beside and len(edges) > 2:
                shared = b if j == i + 1 else a
                far, other = (a, d) if j == i + 1 else (b, c)
                # Neighbours share a corner; they overlap when one folds back onto the other.
                if _side(shared, far, other) == 0 and _dot(shared, far, other) > 0:
                    return i + 1, j + 1
            elif _meet(a, b, c, d):
                return i + 1, j + 1
    return None


def _side(a: Point, b: Point, c: Point) -> float:
    cross = side(a, b, c)
    return 0.0 if abs(cross) < SAME_POINT_MM**2 else cross


def _dot(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[0] - a[0]) + (b[1] - a[1]) * (c[1] - a[1])


def _within(a: Point, b: Point, c: Point) -> bool:
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    sides = _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)
    if sides[0] * sides[1] < 0 and sides[2] * sides[3] < 0:
        return True
    ends = ((a, b, c), (a, b, d), (c, d, a), (c, d, b))
    return any(side == 0 and _within(*end) for side, end in zip(sides, ends, strict=True))
