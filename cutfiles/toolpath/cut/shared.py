"""Stretches of cut lines that need no cut of their own: a neighbour's runs there, or the fabric ends there.

Of two pieces that lie edge to edge the one that comes first in the layout keeps its whole outline; the later
one is cut where it is alone. Only straight edges are shared: arcs of two pieces don't lie on each other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from cutfiles.core.tolerance import LEAST_REST_MM, ONE_LINE_MM
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Contour, Path, Point, length, ring
from cutfiles.nest.base.layout import PlacedFabric

LEAST_MM = 0.1  # a shorter common stretch isn't worth lifting the tool for

Span = tuple[float, float]  # from, to: mm along an outline from its first corner


@dataclass(frozen=True, slots=True)
class _StraightEdge:
    """A straight edge of an outline."""

    outline: int
    at_mm: float  # where it begins on the outline
    start: Point
    end: Point


def shared_spans(outlines: Sequence[Contour]) -> list[list[Span]]:
    """Return for each outline of a load the stretches that an earlier one cuts."""
    edges = [edge for number, outline in enumerate(outlines) for edge in _straight(number, outline)]
    spans: list[list[Span]] = [[] for _ in outlines]
    if not edges:
        return spans
    lines = shapely.linestrings([[edge.start, edge.end] for edge in edges])
    pairs = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=ONE_LINE_MM)
    for later, earlier in pairs.T.tolist():
        mine, other = edges[later], edges[earlier]
        if other.outline < mine.outline:
            spans[mine.outline] += _common(mine, other.start, other.end)
    return spans


def on_fabric_edge(outline: Contour, laid: PlacedFabric, *, out_mm: float) -> list[Span]:
    """Return the stretches of a cut line that lie on the edge of its fabric.

    Args:
        outline: as it lies on the mat.
        laid: the fabric.
        out_mm: how far the cut line runs outside of the piece: half of the kerf.
    """
    edge = ring(*laid.outline) if laid.outline else _rectangle(laid)
    spans: list[Span] = []
    for start, end in edge.edges():
        size = math.dist(start[:2], end)
        # To the right: the edge runs counter-clockwise.
        across, up = out_mm * (end[1] - start.y) / size, -out_mm * (end[0] - start.x) / size
        moved = (start.x + across, start.y + up), (end[0] + across, end[1] + up)
        for mine in _straight(0, outline):
            spans += _common(mine, *moved)
    return spans


def _rectangle(laid: PlacedFabric) -> Path:
    left, low = laid.x_mm, laid.y_mm
    right, high = left + laid.across_mm, low + laid.up_mm
    return ring((left, low), (right, low), (right, high), (left, high))


def _straight(number: int, outline: Contour) -> Iterator[_StraightEdge]:
    at = 0.0
    for edge in edges_of(outline) if isinstance(outline, Path) else ():
        if not edge.bulge:
            yield _StraightEdge(number, at, edge.start, edge.end)
        at += edge.length()


def _common(edge: _StraightEdge, start: Point, end: Point) -> Iterator[Span]:
    """The stretch of an edge, if any, along which another straight line runs on it."""
    size = math.dist(edge.start, edge.end)
    x, y = (edge.end[0] - edge.start[0]) / size, (edge.end[1] - edge.start[1]) / size

    def seen(point: Point) -> Point:
        """Along the edge, and beside it."""
        across, up = point[0] - edge.start[0], point[1] - edge.start[1]
        return across * x + up * y, up * x - across * y

    (from_, off), (to, end_off) = sorted((seen(start), seen(end)))
    first, last = max(0.0, from_), min(size, to)
    if last - first < LEAST_MM:
        return
    slope = (end_off - off) / (to - from_)
    if max(abs(off + (at - from_) * slope) for at in (first, last)) > ONE_LINE_MM:
        return
    # Onto the corner: what is left then begins there.
    first, last = (0.0 if first < ONE_LINE_MM else first), (size if last > size - ONE_LINE_MM else last)
    yield edge.at_mm + first, edge.at_mm + last


def left_over(outline: Path, gone: Sequence[Span], *, kerf_mm: float) -> list[Span]:
    """Return what of a closed outline is to be cut, once some stretches are gone.

    In order; the last one may run on over the outline's first corner, beyond its length. What is no longer
    than the kerf is left out, as the cuts at its two ends meet, and what is too short to be cut.
    """
    least = max(kerf_mm, LEAST_REST_MM)
    whole = length(outline)
    merged: list[list[float]] = []
    for first, last in sorted(gone):
        if merged and first <= merged[-1][1] + ONE_LINE_MM:
            merged[-1][1] = max(merged[-1][1], last)
        else:
            merged.append([first, last])
    ends = [last for _, last in merged]
    begins = [first for first, _ in merged[1:]] + [merged[0][0] + whole]
    return [(end, begin) for end, begin in zip(ends, begins, strict=True) if begin - end > least]
