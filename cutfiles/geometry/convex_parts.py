"""A polygon as convex parts that fill it exactly: ears are cut off, then triangles joined again.

Ear clipping as in de Berg et al., "Computational Geometry", chapter 3; parts joined over diagonals as in
Hertel and Mehlhorn, "Fast triangulation of the plane with respect to simple polygons" (1983), from memory:
at most four times as many parts as there need be. No corner is made that the polygon doesn't have.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import shapely

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.outline import Point
from cutfiles.geometry.points import side

Array = np.ndarray[Any, np.dtype[np.float64]]
Points = list[Point]

# Corners that turn inwards, of one shape. Each is about a part, and each pair of parts of two shapes a
# no-fit polygon: what is more than this is made fewer by filling the shallowest bays.
MOST_INWARD = 24
_STRAIGHT = 1e-12  # sine of a turn that is none


def convex_parts(points: Sequence[Point], *, most_inward: int | None = MOST_INWARD) -> tuple[Array, ...]:
    """Return convex rings, counter-clockwise, that fill a polygon and touch each other only along edges.

    Args:
        points: a simple polygon, counter-clockwise, mm.
        most_inward: where more corners turn inwards, the shallowest bays are filled until no more are
            left, so that the parts together hold the polygon; None fills no bay.

    A polygon that crosses itself is answered by the one convex ring around it.
    """
    corners = _cleaned(points)
    around = hull(corners)
    if not any(_inward_mm(corners, index) > 0 for index in range(len(corners))):
        return (around,)
    if not shapely.Polygon(corners).is_valid:
        return (around,)
    if most_inward is not None:
        corners = _filled(corners, most_inward)
    triangles = _ears(corners)
    if triangles is None:
        return (around,)
    diagonals = _diagonals(triangles)
    orders: list[Callable[[tuple[int, int]], float]] = [
        lambda diagonal: -_length(corners, diagonal),
        lambda diagonal: _length(corners, diagonal),
    ]
    joined = [_joined(triangles, sorted(diagonals, key=order), corners) for order in orders]
    fewest = min(joined, key=len)
    return tuple(hull([corners[index] for index in part]) for part in fewest)


def hull(points: Sequence[Point]) -> Array:
    """Return the convex ring around points, counter-clockwise from the lowest left (monotone chain)."""
    ordered = sorted(set(points))

    def half(row: list[Point]) -> list[Point]:
        chain: list[Point] = []
        for point in row:
            while len(chain) > 1 and side(chain[-2], chain[-1], point) <= SAME_POINT_MM**2:
                chain.pop()
            chain.append(point)
        return chain[:-1]

    return np.array(half(ordered) + half(ordered[::-1]), dtype=np.float64)


def _apart(a: Point, b: Point) -> float:
    return math.hypot(b[0] - a[0], b[1] - a[1])


def _inward_mm(corners: Points, index: int) -> float:
    """How far a corner lies inside the line between its neighbours; 0 for one that doesn't turn inwards."""
    before, corner, after = corners[index - 1], corners[index], corners[(index + 1) % len(corners)]
    turn, chord = side(before, corner, after), _apart(before, after)
    depth = -turn / chord if chord > SAME_POINT_MM else _apart(before, corner)
    return depth if turn < 0 and depth > SAME_POINT_MM else 0.0


def _cleaned(points: Sequence[Point]) -> Points:
    """The corners without repeated ones, and without those that turn inwards by nothing."""
    corners = [
        point
        for point, before in zip(points, [*points[-1:], *points[:-1]], strict=True)
        if _apart(point, before) > SAME_POINT_MM
    ]
    index = 0
    while index < len(corners) and len(corners) > 3:
        before, after = corners[index - 1], corners[(index + 1) % len(corners)]
        if side(before, corners[index], after) < 0 and not _inward_mm(corners, index):
            del corners[index]
        else:
            index += 1
    return corners


def _filled(corners: Points, most_inward: int) -> Points:
    """The corners with the shallowest bays filled. What is filled lies outside the polygon."""
    corners = list(corners)
    gone: list[list[Point]] = [[] for _ in corners]  # corners that the edge leaving each one skips
    while True:
        inward = [index for index in range(len(corners)) if _inward_mm(corners, index) > 0]
        if len(inward) <= most_inward:
            return corners
        depths = []
        for index in inward:
            before, after = corners[index - 1], corners[(index + 1) % len(corners)]
            skipped = [*gone[index - 1], corners[index], *gone[index]]
            depth = max(abs(side(before, after, point)) for point in skipped) / _apart(before, after)
            depths.append((depth, index))
        for _, index in sorted(depths):
            before, after = corners[index - 1], corners[(index + 1) % len(corners)]
            bay = (before, after, corners[index])
            if not any(_within(point, bay) for point in corners if point not in bay):
                gone[index - 1] = [*gone[index - 1], corners[index], *gone[index]]
                del corners[index], gone[index]
                break
        else:
            return corners


def _within(point: Point, triangle: tuple[Point, Point, Point]) -> bool:
    """Whether a point lies in a counter-clockwise triangle or on its edge."""
    a, b, c = triangle
    return side(a, b, point) >= 0 and side(b, c, point) >= 0 and side(c, a, point) >= 0


def _ears(corners: Points) -> list[tuple[int, ...]] | None:
    """Triangles of corner numbers; None where no ear is found: the polygon isn't simple."""
    left = list(range(len(corners)))
    triangles: list[tuple[int, ...]] = []
    free: dict[tuple[int, int, int], float] = {}  # ears and how long a cut takes them off: they stay ears
    while len(left) > 3:
        blocking = [corners[index] for index in left if _turn_at(left, index, corners) <= 0]
        best: tuple[float, int] | None = None
        for place, index in enumerate(left):
            ear = (left[place - 1], index, left[(place + 1) % len(left)])
            if ear not in free:
                cut = _cut_mm((corners[ear[0]], corners[index], corners[ear[2]]), blocking)
                if cut is None:
                    continue
                free[ear] = cut
            # The shortest cut first: slivers come of long ones.
            if best is None or free[ear] < best[0]:
                best = (free[ear], place)
        place = best[1] if best else _flat(left, corners)
        if place < 0:
            return None
        if best:
            triangles.append((left[place - 1], left[place], left[(place + 1) % len(left)]))
        del left[place]
    if side(corners[left[0]], corners[left[1]], corners[left[2]]) > 0:
        triangles.append(tuple(left))
    return triangles


def _turn_at(left: list[int], index: int, corners: Points) -> float:
    place = left.index(index)
    return side(corners[left[place - 1]], corners[index], corners[left[(place + 1) % len(left)]])


def _cut_mm(ear: tuple[Point, Point, Point], blocking: list[Point]) -> float | None:
    """How long a cut takes off this corner; None where it turns inwards or holds another corner."""
    if side(*ear) <= _STRAIGHT * _apart(ear[0], ear[1]) * _apart(ear[1], ear[2]):
        return None
    if any(_within(point, ear) and point not in ear for point in blocking):
        return None
    return round(_apart(ear[0], ear[2]), 9)


def _flat(left: list[int], corners: Points) -> int:
    """The place of a corner between two edges on one line, which nothing can be cut off from; else -1."""
    for place, index in enumerate(left):
        ear = (corners[left[place - 1]], corners[index], corners[left[(place + 1) % len(left)]])
        if abs(side(*ear)) <= _STRAIGHT * max(1e-300, _apart(ear[0], ear[1]) * _apart(ear[1], ear[2])):
            return place
    return -1


def _diagonals(triangles: list[tuple[int, ...]]) -> list[tuple[int, int]]:
    edges = {(part[i - 1], part[i]) for part in triangles for i in range(3)}
    return sorted((start, end) for start, end in edges if start < end and (end, start) in edges)


def _length(corners: Points, diagonal: tuple[int, int]) -> float:
    return round(_apart(corners[diagonal[0]], corners[diagonal[1]]), 9)


def _joined(
    triangles: list[tuple[int, ...]], diagonals: list[tuple[int, int]], corners: Points
) -> list[list[int]]:
    """Parts joined over each diagonal where the whole stays convex."""
    parts: dict[int, list[int]] = {number: list(part) for number, part in enumerate(triangles)}
    holder = {(part[i - 1], part[i]): number for number, part in parts.items() for i in range(3)}
    for start, end in diagonals:
        first, second = holder[(start, end)], holder[(end, start)]
        if first == second:
            continue
        # The first part from `end` round to `start`, then the second's corners on from `start` to `end`.
        whole = [*_starting_at(parts[first], end), *_starting_at(parts[second], start)[1:-1]]
        if all(_stays_convex(whole, whole.index(index), corners) for index in (start, end)):
            parts[first] = whole
            for i in range(len(whole)):
                holder[(whole[i - 1], whole[i])] = first
            del parts[second]
    return list(parts.values())


def _starting_at(part: list[int], index: int) -> list[int]:
    place = part.index(index)
    return part[place:] + part[:place]


def _stays_convex(part: list[int], place: int, corners: Points) -> bool:
    before, corner, after = (corners[part[i % len(part)]] for i in (place - 1, place, place + 1))
    return side(before, corner, after) >= -_STRAIGHT * _apart(before, corner) * _apart(corner, after)
