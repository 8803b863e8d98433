"""An outline of lines and arcs moved out or in by a seam: lines stay lines, arcs stay arcs. mm.

Every edge is moved on its own, corners get their mitres or arcs, all of it is cut where it crosses, and
the pieces that lie nowhere nearer to the outline than the seam are chained. A fine polygon, grown by the
geometry library, then must be the same shape; where there is none, or more than one, nothing can be sewn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import shapely

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.crossing import crossings
from cutfiles.geometry.outline import Path, Point, Vertex, arc_of, area, bounds, heading, ring, turn_rad
from cutfiles.geometry.points import distance_to_edge, points_on

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
_NUDGES_MM = (0.0, 1e-6, -1e-6)  # where offsets lie exactly on each other a hair apart tells them


class Corners(Enum):
    """How the moved edges are joined where they gape."""

    MITRED = "mitred"
    ROUND = "round"  # about the corner: nowhere further from the outline than the edges


def offset(path: Path, by_mm: float, *, corners: Corners = Corners.MITRED) -> Path | None:
    """Return the outside of the closed ccw path moved out by `by_mm` (in, if below 0).

    None: nothing is left, or more than one. Bays that close become part of the inside.
    """
    edges = [_Edge(start, end) for start, end in path.edges()]
    wanted = _by_library(path, edges, by_mm, corners)
    if wanted is None:
        return None
    for nudge in _NUDGES_MM:
        found = _exact(edges, by_mm + nudge, corners)
        if found is not None and _alike(found, wanted, _ALIKE * abs(by_mm)):
            return found
    # Chords are a poorer line to cut than arcs, but the right one.
    points = list(wanted.simplify(_CHORDS_MM).coords)[:-1]
    return ring(*[(float(x), float(y)) for x, y in (points if wanted.is_ccw else reversed(points))])


def _by_library(path: Path, edges: list[_Edge], by_mm: float, corners: Corners) -> shapely.LinearRing | None:
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


def _exact(edges: list[_Edge], by_mm: float, corners: Corners) -> Path | None:
    mitres = _corners(edges, by_mm) if corners is Corners.MITRED else []
    joins = [_Edge(Vertex(*a), b) for mitre in mitres for a, b in pairwise(mitre[1:])]
    if corners is Corners.ROUND:
        joins = list(_arcs(edges, by_mm))
    pieces = _cut_up(_moved_edges(edges, by_mm) + joins)
    loops = _chained(_far_enough(pieces, edges, mitres, abs(by_mm) - _AS_FAR_MM))
    loop = max(loops, key=area, default=None)
    return None if loop is None else _run_on(loop)


def _run_on(loop: Path) -> Path:
    """The loop without corners at which one straight edge but goes on: a moved edge and its mitre."""
    edges = [_Edge(start, end) for start, end in loop.edges() if math.dist(start[:2], end) > SAME_POINT_MM]
    kept = tuple(
        edge.start
        for before, edge in zip(edges[-1:] + edges[:-1], edges, strict=True)
        if before.start.bulge
        or edge.start.bulge
        or abs(turn_rad(before.heading(at_end=True), edge.heading(at_end=False))) > _SMOOTH_RAD
    )
    return Path(kept, closed=True)


@dataclass(frozen=True, slots=True)
class _Edge:
    """A straight edge or an arc on its own."""

    start: Vertex
    end: Point

    def at(self, share: float) -> Point:
        if self.start.bulge:
            return arc_of(self.start, self.end).at(share)
        x, y = self.start.x, self.start.y
        return (x + share * (self.end[0] - x), y + share * (self.end[1] - y))

    def heading(self, *, at_end: bool) -> Point:
        """The unit tangent."""
        return heading(self.start, self.end, at_end=at_end)


def _moved_edges(edges: list[_Edge], by_mm: float) -> list[_Edge]:
    """Every edge moved to its right, not yet trimmed."""
    ends: list[list[Point]] = []  # of each edge: its moved start and end
    for edge in edges:
        places = ((edge.start[:2], False), (edge.end, True))
        ends.append([_right_of(at, edge.heading(at_end=last), by_mm) for at, last in places])
    for number in range(len(edges)):
        if abs(_turn_before(edges, number)) < _SMOOTH_RAD:
            x, y = ((ends[number - 1][1][axis] + ends[number][0][axis]) / 2 for axis in (0, 1))
            ends[number - 1][1] = ends[number][0] = (x, y)
    return [
        _Edge(Vertex(*start, edge.start.bulge), end)
        for edge, (start, end) in zip(edges, ends, strict=True)
        if _keeps_its_way(edge, by_mm) and math.dist(start, end) > SAME_POINT_MM
    ]


def _turn_before(edges: list[_Edge], number: int) -> float:
    """By how much the outline turns, in radians, where an edge begins; before number 0 is the last."""
    return turn_rad(edges[number - 1].heading(at_end=True), edges[number].heading(at_end=False))


def _corners(edges: list[_Edge], by_mm: float) -> list[list[Point]]:
    """Where the moved edges gape: the corner itself, then the points of the mitre from edge to edge."""
    found = []
    for number, edge in enumerate(edges):
        turn = _turn_before(edges, number)
        if turn * by_mm > _NODE_MM:
            found.append(_mitre(edges[number - 1], edge, turn, by_mm))
    return found


def _arcs(edges: list[_Edge], by_mm: float) -> Iterator[_Edge]:
    """Where the moved edges gape: arcs about the corners."""
    for number, edge in enumerate(edges):
        turn = _turn_before(edges, number)
        if turn * by_mm > _NODE_MM:
            corner = edge.start[:2]
            first = _right_of(corner, edges[number - 1].heading(at_end=True), by_mm)
            last = _right_of(corner, edge.heading(at_end=False), by_mm)
            yield _Edge(Vertex(*first, math.tan(turn / 4)), last)


def _keeps_its_way(edge: _Edge, by_mm: float) -> bool:
    """Not so an arc that is moved in past its centre: all of it lies too near to its own start."""
    if not edge.start.bulge:
        return True
    radius = arc_of(edge.start, edge.end).radius
    return radius + math.copysign(by_mm, by_mm * edge.start.bulge) > SAME_POINT_MM


def _right_of(point: Point, heading: Point, by_mm: float) -> Point:
    return (point[0] + by_mm * heading[1], point[1] - by_mm * heading[0])


def _mitre(before: _Edge, after: _Edge, turn: float, by_mm: float) -> list[Point]:
    """A corner with the points round it, cut off square at twice the seam."""
    corner = after.start[:2]
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


def _cut_up(edges: list[_Edge]) -> list[_Edge]:
    """All edges, cut where they cross."""
    shares: list[list[float]] = [[0.0, 1.0] for _ in edges]
    for one, other in _candidates(edges):
        pairs = crossings((edges[one].start, edges[one].end), (edges[other].start, edges[other].end))
        for share, other_share in pairs:
            shares[one].append(share)
            shares[other].append(other_share)
    return [piece for edge, stops in zip(edges, shares, strict=True) for piece in _pieces(edge, stops)]


def _candidates(edges: list[_Edge]) -> list[tuple[int, int]]:
    boxes = [_box(edge) for edge in edges]
    pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    return [(int(one), int(other)) for one, other in pairs.T if one < other]


def _box(edge: _Edge) -> shapely.Polygon:
    return shapely.box(*bounds(Path((edge.start, Vertex(*edge.end)), closed=False)))


def _pieces(edge: _Edge, stops: list[float]) -> list[_Edge]:
    size = math.dist(edge.start[:2], edge.end) * (1 + abs(edge.start.bulge))
    inner = sorted(stop for stop in stops if stop * size > _NODE_MM and (1 - stop) * size > _NODE_MM)
    kept = [0.0]
    for stop in inner:
        if (stop - kept[-1]) * size > _NODE_MM:
            kept.append(stop)
    kept.append(1.0)
    if len(kept) == 2:
        return [edge]
    quarter = math.atan(edge.start.bulge)
    points = [edge.start[:2], *(edge.at(stop) for stop in kept[1:-1]), edge.end]
    return [
        _Edge(Vertex(*points[i], math.tan(quarter * (kept[i + 1] - kept[i]))), points[i + 1])
        for i in range(len(kept) - 1)
    ]


def _far_enough(
    pieces: list[_Edge], edges: list[_Edge], corners: list[list[Point]], least_mm: float
) -> list[_Edge]:
    """The pieces on the rim: nowhere nearer to the outline than the seam, nor within another's mitre."""
    shares = (0.1, 0.5, 0.9)
    points = [piece.at(share) for piece in pieces for share in shares]
    places = shapely.points(points)
    near = shapely.STRtree([_box(edge) for edge in edges]).query(places, "dwithin", distance=least_mm)
    inside = {
        int(number)
        for number, edge in near.T
        if distance_to_edge(points[number], edges[edge].start, edges[edge].end) < least_mm
    }
    if corners:
        mitres = [shapely.Polygon(corner).buffer(-_AS_FAR_MM, join_style="mitre") for corner in corners]
        inside |= {int(number) for number in shapely.STRtree(mitres).query(places, "within")[0]}
    out = {number // len(shares) for number in inside}
    return [piece for number, piece in enumerate(pieces) if number not in out]


def _chained(pieces: list[_Edge]) -> list[Path]:
    """Closed paths of pieces that follow each other; dead ends are left out."""
    following = _followers(pieces)
    loops = []
    used: set[int] = set()
    for first in range(len(pieces)):
        chain: list[int] = []
        now = first
        while now not in used and following[now]:
            used.add(now)
            chain.append(now)
            now = next((one for one in following[now] if one not in used or one == first), now)
            if now == first:
                break
        if chain and now == first and len(chain) > 1:
            loops.append(Path(tuple(pieces[number].start for number in chain), closed=True))
    return loops


def _followers(pieces: list[_Edge]) -> list[list[int]]:
    """Of each piece those that begin where it ends, without dead ends: every one is led to, and leads on."""
    if not pieces:
        return []
    starts = shapely.STRtree(shapely.points([piece.start[:2] for piece in pieces]))
    ends = shapely.points([piece.end for piece in pieces])
    pairs = {(int(a), int(b)) for a, b in starts.query(ends, "dwithin", distance=_NODE_MM * 2).T}
    while True:
        alive = {a for a, _ in pairs} & {b for _, b in pairs}
        kept = {(a, b) for a, b in pairs if a in alive and b in alive}
        if kept == pairs:
            break
        pairs = kept
    following: list[list[int]] = [[] for _ in pieces]
    for before, after in sorted(pairs):
        following[before].append(after)
    return following


def _alike(path: Path, edge: shapely.LinearRing, within_mm: float) -> bool:
    """Whether the result is a simple outline, and the same as the library's."""
    points = points_on(path, stray_mm=_CHORDS_MM)
    if len(points) < 3:
        return False
    mine = shapely.LinearRing(points)
    return bool(mine.is_simple and shapely.hausdorff_distance(mine, edge) < within_mm + _CHORDS_MM)
