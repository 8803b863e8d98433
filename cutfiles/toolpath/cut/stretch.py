"""Stretches of outlines: begun elsewhere, run on past the start, or in part. Lines and arcs, mm."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.edge import edge, edges_of
from cutfiles.geometry.outline import Contour, Path, Point, Vertex, as_path, length


def begun_at(outline: Path, number: int) -> Path:
    """Return a closed path that begins at its corner of that number."""
    return Path(outline.vertices[number:] + outline.vertices[:number], closed=True)


def begun_within(outline: Path, number: int) -> Path:
    """Return a closed path that begins in the middle of its edge of that number."""
    whole = begun_at(outline, number)
    first = edge(whole.vertices[0], whole.vertices[1][:2])
    head, tail = first.part(0.0, 0.5), first.part(0.5, 1.0)
    return Path((tail.vertex(), *whole.vertices[1:], head.vertex()), closed=True)


def stretch(outline: Path, *, from_mm: float, to_mm: float) -> Path:
    """Return the open path along a closed outline between two distances from its first corner.

    Args:
        outline: closed.
        from_mm: below 0 it begins before the first corner.
        to_mm: above `from_mm`; beyond the length of the outline it runs round again.
    """
    edges = [(segment, segment.length()) for segment in edges_of(outline)]
    whole = sum(size for _, size in edges)
    at = whole * math.floor(from_mm / whole)
    vertices: list[Vertex] = []
    end: Point = outline.vertices[0][:2]
    while at < to_mm - SAME_POINT_MM:
        for segment, size in edges:
            first, last = max(from_mm, at), min(to_mm, at + size)
            if last - first > SAME_POINT_MM:
                part = segment.part(_share(first - at, size), _share(last - at, size))
                vertices.append(part.vertex())
                end = part.end
            at += size
    return Path((*vertices, Vertex(*end)), closed=False)


def _share(along: float, size: float) -> float:
    """Ends are kept as they are: too short an edge is none."""
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
