"""Stretches of outlines: begun elsewhere, run on past the start, or in part. Lines and arcs, mm."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex, arc_of, length

Edge = tuple[Vertex, Point]


def as_path(outline: Contour) -> Path:
    """Return a closed outline as a path; a circle as two half circles, begun at its right, ccw."""
    if isinstance(outline, Path):
        return outline
    x, y, radius = outline.x, outline.y, outline.radius
    return Path((Vertex(x + radius, y, 1.0), Vertex(x - radius, y, 1.0)), closed=True)


def edge_length(edge: Edge) -> float:
    """Return the length of an edge in mm."""
    start, end = edge
    return length(Path((start, Vertex(*end)), closed=False))


def part_of_edge(edge: Edge, first: float, last: float) -> Edge:
    """Return the part of an edge from one share of its length to another, 0 to 1."""
    start, end = edge

    def at(share: float) -> Point:
        if share in (0.0, 1.0):
            return end if share else start[:2]
        if start.bulge:
            return arc_of(start, end).at(share)
        return (start.x + share * (end[0] - start.x), start.y + share * (end[1] - start.y))

    return Vertex(*at(first), math.tan(math.atan(start.bulge) * (last - first))), at(last)


def begun_at(outline: Path, number: int) -> Path:
    """Return a closed path that begins at its corner of that number."""
    return Path(outline.vertices[number:] + outline.vertices[:number], closed=True)


def begun_within(outline: Path, number: int) -> Path:
    """Return a closed path that begins in the middle of its edge of that number."""
    first, *rest = begun_at(outline, number).edges()
    head, tail = part_of_edge(first, 0.0, 0.5), part_of_edge(first, 0.5, 1.0)
    return Path((tail[0], *(start for start, _ in rest), head[0]), closed=True)


def stretch(outline: Path, *, from_mm: float, to_mm: float) -> Path:
    """Return the open path along a closed outline between two distances from its first corner.

    Args:
        outline: closed.
        from_mm: below 0 it begins before the first corner.
        to_mm: above `from_mm`; beyond the length of the outline it runs round again.
    """
    edges = [(edge, edge_length(edge)) for edge in outline.edges()]
    whole = sum(size for _, size in edges)
    at = whole * math.floor(from_mm / whole)
    vertices: list[Vertex] = []
    end: Point = outline.vertices[0][:2]
    while at < to_mm - SAME_POINT_MM:
        for edge, size in edges:
            first, last = max(from_mm, at), min(to_mm, at + size)
            if last - first > SAME_POINT_MM:
                start, end = part_of_edge(edge, _share(first - at, size), _share(last - at, size))
                vertices.append(start)
            at += size
    return Path((*vertices, Vertex(*end)), closed=False)


def _share(along: float, size: float) -> float:
    """Ends are kept as they are: a hair of an edge is none."""
    if along <= SAME_POINT_MM:
        return 0.0
    return 1.0 if along >= size - SAME_POINT_MM else along / size


def run_on(outline: Contour, by_mm: float) -> Contour:
    """Return a closed outline as a path that runs on past its start, at most once more round it."""
    if by_mm <= SAME_POINT_MM:
        return outline
    path = as_path(outline)
    whole = length(path)
    return stretch(path, from_mm=0.0, to_mm=whole + min(by_mm, whole))


def reversed_ring(outline: Contour) -> Contour:
    """Return a closed outline run the other way; a circle has no way round."""
    return outline if isinstance(outline, Circle) else outline.backwards()
