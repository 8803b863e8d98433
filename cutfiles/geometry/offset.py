"""An outline of lines and arcs moved out or in by a seam: lines stay lines, arcs stay arcs. mm.

Every edge is moved on its own, corners get their mitres or arcs, all of it is cut where it crosses, and
the pieces that lie nowhere nearer to the outline than the seam are chained. A fine polygon, grown by the
geometry library, then must be the same shape; where there is none, or more than one, nothing can be sewn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from enum import Enum
from itertools import pairwise

import shapely

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.edge import Edge, crossings, edge, edges_of
from cutfiles.geometry.joining import loops
from cutfiles.geometry.outline import (
    Circle,
    Contour,
    Path,
    Point,
    Vertex,
    area,
    bulge_of,
    counter_clockwise,
    ring,
    turn_rad,
)
from cutfiles.geometry.points import points_on

# Beyond twice the seam a mitred corner is cut off square, as sewers trim a long point: common
# practice, no published source.
MITRE_LIMIT = 2.0

_CLOSE_MM = 1e-3  # how far the edges of the polygon for the library stray from the arcs
_QUARTER = 32  # edges of a quarter round of the library: they keep within 0.03 % of the seam
_AS_FAR_MM = 3e-5  # a piece may be this much nearer than the seam: rounding, and the ends brought together
_NODE_MM = 2e-5  # ends of pieces that are one point
_SMOOTH_RAD = 1e-6  # a turn below this is no corner: both edges' ends are brought to one point
_ALIKE = 0.02  # of the seam, that the result may differ from the library's, which drops shallow bays
_CHORDS_MM = 2e-3  # how far chords may stray where arcs could not be had
_NUDGES_MM = (0.0, 1e-6, -1e-6)  # where offsets lie exactly on each other, a tiny shift tells them apart


class Corners(Enum):
    """How the moved edges are joined where they gape."""

    MITRED = "mitred"
    ROUND = "round"  # about the corner: nowhere further from the outline than the edges


def offset(outline: Contour, by_mm: float, *, corners: Corners = Corners.MITRED) -> Contour | None:
    """Return the outside of a closed outline moved out by `by_mm` (in, if below 0), counter-clockwise.

    None: nothing is left, or more than one. Bays that close become part of the inside.
    """
    path = counter_clockwise(outline)
    if isinstance(path, Circle):
        radius = path.radius + by_mm
        return Circle(path.x, path.y, radius) if radius > SAME_POINT_MM else None
    edges = edges_of(path)
    wanted = _by_library(path, edges, by_mm, corners)
    if wanted is None:
        return None
    for nudge in _NUDGES_MM:
        moved = _exact(edges, by_mm + nudge, corners)
        if moved is not None and _alike(moved, wanted, _ALIKE * abs(by_mm)):
            return moved
    # Chords are a poorer line to cut than arcs, but the right one.
    points = list(wanted.simplify(_CHORDS_MM).coords)[:-1]
    return ring(*[(float(x), float(y)) for x, y in (points if wanted.is_ccw else reversed(points))])


def _by_library(path: Path, edges: list[Edge], by_mm: float, corners: Corners) -> shapely.LinearRing | None:
    """The rim of what lies within the seam, and of the mitres.

    Not the library's own mitres: beside a reflex corner of many short edges they leave the bay out.
    """
    within = shapely.Polygon(points_on(path, stray_mm=_CLOSE_MM)).buffer(by_mm, quad_segs=_QUARTER)
    gaping = _corners(edges, by_mm) if corners is Corners.MITRED else []
    mitres = shapely.union_all([shapely.Polygon(mitre) for mitre in gaping])
    whole = within.union(mitres) if by_mm > 0 else within.difference(mitres)
    if not isinstance(whole, shapely.Polygon) or whole.is_empty:
        return None
    return whole.exterior


def _exact(edges: list[Edge], by_mm: float, corners: Corners) -> Path | None:
    mitres = _corners(edges, by_mm) if corners is Corners.MITRED else []
    joins = [edge(Vertex(*a), b) for mitre in mitres for a, b in pairwise(mitre[1:])]
    if corners is Corners.ROUND:
        joins = list(_arcs(edges, by_mm))
    pieces = _cut_up(_moved_edges(edges, by_mm) + joins)
    rim = _far_enough(pieces, edges, mitres, abs(by_mm) - _AS_FAR_MM)
    loop = max(loops(rim, within_mm=2 * _NODE_MM), key=area, default=None)
    return None if loop is None else _run_on(loop)


def _run_on(loop: Path) -> Path:
    """The loop without corners at which one straight edge but goes on: a moved edge and its mitre."""
    edges = [segment for segment in edges_of(loop) if math.dist(segment.start, segment.end) > SAME_POINT_MM]
    kept = tuple(
        after.vertex()
        for before, after in pairwise([*edges[-1:], *edges])
        if before.bulge
        or after.bulge
        or abs(turn_rad(before.heading(at_end=True), after.heading(at_end=False))) > _SMOOTH_RAD
    )
    return Path(kept, closed=True)


def _moved_edges(edges: list[Edge], by_mm: float) -> list[Edge]:
    """Every edge moved to its right, not yet trimmed."""
    ends: list[list[Point]] = []  # of each edge: its moved start and end
    for unmoved in edges:
        places = ((unmoved.start, False), (unmoved.end, True))
        ends.append([_right_of(at, unmoved.heading(at_end=last), by_mm) for at, last in places])
    for number in range(len(edges)):
        if abs(_turn_before(edges, number)) < _SMOOTH_RAD:
            x, y = ((ends[number - 1][1][axis] + ends[number][0][axis]) / 2 for axis in (0, 1))
            ends[number - 1][1] = ends[number][0] = (x, y)
    return [
        edge(Vertex(*start, unmoved.bulge), end)
        for unmoved, (start, end) in zip(edges, ends, strict=True)
        if _keeps_its_way(unmoved, by_mm) and math.dist(start, end) > SAME_POINT_MM
    ]


def _turn_before(edges: list[Edge], number: int) -> float:
    """By how much the outline turns, in radians, where an edge begins; before number 0 is the last."""
    return turn_rad(edges[number - 1].heading(at_end=True), edges[number].heading(at_end=False))


def _corners(edges: list[Edge], by_mm: float) -> list[list[Point]]:
    """Where the moved edges gape: the corner itself, then the points of the mitre from edge to edge."""
    mitres = []
    for number, after in enumerate(edges):
        turn = _turn_before(edges, number)
        if turn * by_mm > _NODE_MM:
            mitres.append(_mitre(edges[number - 1], after, turn, by_mm))
    return mitres


def _arcs(edges: list[Edge], by_mm: float) -> Iterator[Edge]:
    """Where the moved edges gape: arcs about the corners."""
    for number, after in enumerate(edges):
        turn = _turn_before(edges, number)
        if turn * by_mm > _NODE_MM:
            first = _right_of(after.start, edges[number - 1].heading(at_end=True), by_mm)
            last = _right_of(after.start, after.heading(at_end=False), by_mm)
            yield edge(Vertex(*first, bulge_of(turn)), last)


def _keeps_its_way(unmoved: Edge, by_mm: float) -> bool:
    """Whether a moved edge runs as before: an arc moved in past its centre doesn't, and is dropped."""
    return (
        unmoved.arc is None
        or unmoved.arc.radius + math.copysign(by_mm, by_mm * unmoved.bulge) > SAME_POINT_MM
    )


def _right_of(point: Point, heading: Point, by_mm: float) -> Point:
    return (point[0] + by_mm * heading[1], point[1] - by_mm * heading[0])


def _mitre(before: Edge, after: Edge, turn: float, by_mm: float) -> list[Point]:
    """A corner with the points round it, cut off square at twice the seam."""
    corner = after.start
    arriving, leaving = before.heading(at_end=True), after.heading(at_end=False)
    first, last = _right_of(corner, arriving, by_mm), _right_of(corner, leaving, by_mm)
    seam, half = abs(by_mm), abs(turn) / 2
    if MITRE_LIMIT * math.cos(half) >= 1:
        reach = seam * math.tan(half)  # along each edge to where they cross
        return [corner, first, (first[0] + reach * arriving[0], first[1] + reach * arriving[1]), last]
    # Square to the line through the corner's middle, which stands `half` off either normal.
    reach = seam * (MITRE_LIMIT - math.cos(half)) / math.sin(half)
    return [
        corner,
        first,
        (first[0] + reach * arriving[0], first[1] + reach * arriving[1]),
        (last[0] - reach * leaving[0], last[1] - reach * leaving[1]),
        last,
    ]


def _cut_up(edges: list[Edge]) -> list[Edge]:
    """All edges, cut where they cross."""
    shares: list[list[float]] = [[0.0, 1.0] for _ in edges]
    for first, second in _candidates(edges):
        for first_share, second_share in crossings(edges[first], edges[second]):
            shares[first].append(first_share)
            shares[second].append(second_share)
    return [piece for whole, stops in zip(edges, shares, strict=True) for piece in _pieces(whole, stops)]


def _candidates(edges: list[Edge]) -> list[tuple[int, int]]:
    boxes = [shapely.box(*segment.box) for segment in edges]
    pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    return [(int(first), int(second)) for first, second in pairs.T if first < second]


def _pieces(whole: Edge, stops: list[float]) -> list[Edge]:
    size = math.dist(whole.start, whole.end) * (1 + abs(whole.bulge))
    inner = sorted(stop for stop in stops if stop * size > _NODE_MM and (1 - stop) * size > _NODE_MM)
    kept = [0.0]
    for stop in inner:
        if (stop - kept[-1]) * size > _NODE_MM:
            kept.append(stop)
    kept.append(1.0)
    return [whole] if len(kept) == 2 else [whole.part(first, last) for first, last in pairwise(kept)]


def _far_enough(
    pieces: list[Edge], edges: list[Edge], corners: list[list[Point]], least_mm: float
) -> list[Edge]:
    """The pieces on the rim: nowhere nearer to the outline than the seam, nor within another's mitre."""
    shares = (0.1, 0.5, 0.9)
    points = [piece.at(share) for piece in pieces for share in shares]
    places = shapely.points(points)
    boxes = [shapely.box(*segment.box) for segment in edges]
    near = shapely.STRtree(boxes).query(places, "dwithin", distance=least_mm)
    inside = {int(number) for number, index in near.T if edges[index].distance_to(points[number]) < least_mm}
    if corners:
        mitres = [shapely.Polygon(corner).buffer(-_AS_FAR_MM, join_style="mitre") for corner in corners]
        inside |= {int(number) for number in shapely.STRtree(mitres).query(places, "within")[0]}
    out = {number // len(shares) for number in inside}
    return [piece for number, piece in enumerate(pieces) if number not in out]


def _alike(path: Path, edge: shapely.LinearRing, within_mm: float) -> bool:
    """Whether the result is a simple outline, and the same as the library's."""
    points = points_on(path, stray_mm=_CHORDS_MM)
    if len(points) < 3:
        return False
    mine = shapely.LinearRing(points)
    return bool(mine.is_simple and shapely.hausdorff_distance(mine, edge) < within_mm + _CHORDS_MM)
