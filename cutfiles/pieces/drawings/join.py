"""Lines that meet end to end, joined into closed outlines. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import JOIN_MM, SAME_POINT_MM
from cutfiles.geometry.joining import meetings, walks
from cutfiles.geometry.outline import Path, Point, Vertex
from cutfiles.pieces.drawings.strokes import Run

_MOST_AT_A_POINT = 8  # ends; beyond it the drawing is no outline
_TINY_MM = 1e-4  # edges shorter than this are rounding, and would only upset the seam


@dataclass(frozen=True, slots=True)
class Joined:
    """The closed outlines, how many chains stay open, and the smallest opening that is left."""

    loops: tuple[Path, ...]
    open_chains: int
    opening_mm: float


def joined(runs: list[Run]) -> Joined:
    """Return the outlines that closed runs make, and open ones whose ends lie within 0.05 mm.

    Raises:
        GeometryError: a great many lines meet in one point.
    """
    loops = [loop for run in runs if run.closed for loop in _loop(run.vertices)]
    chains = [Path(run.vertices, closed=False) for run in runs if not run.closed and _size(run) > JOIN_MM]
    near = meetings(chains, within_mm=JOIN_MM, most=_MOST_AT_A_POINT)
    if near.is_crowded:
        raise GeometryError("has many lines that meet in one point; leave one closed outline in it")
    loose: list[Point] = []
    open_chains = 0
    for walk in walks(len(chains), near.nearest(chains)):
        vertices = _bridged(walk.paths(chains))
        if walk.closed:
            loops += _loop(vertices)
        else:
            open_chains += 1
            loose += [vertices[0][:2], vertices[-1][:2]]
    return Joined(tuple(loops), open_chains, _smallest_gap(loose))


def _size(run: Run) -> float:
    xs, ys = [vertex.x for vertex in run.vertices], [vertex.y for vertex in run.vertices]
    return math.hypot(max(xs) - min(xs), max(ys) - min(ys))


def _bridged(paths: list[Path]) -> tuple[Vertex, ...]:
    """The vertices of paths in a row; the gap that is joined is bridged half from each side."""
    vertices: list[Vertex] = []
    for path in paths:
        start, *rest = path.vertices
        if vertices:
            last = vertices.pop()
            start = Vertex((last.x + start.x) / 2, (last.y + start.y) / 2, start.bulge)
        vertices += (start, *rest)
    return tuple(vertices)


def _loop(vertices: tuple[Vertex, ...]) -> list[Path]:
    """The closed path of a run that ends where it began; none if it is but a dot."""
    kept = [vertices[0]]
    for vertex in vertices[1:]:
        if math.dist(kept[-1][:2], vertex[:2]) > _TINY_MM:
            kept.append(vertex)
        else:
            kept[-1] = Vertex(kept[-1].x, kept[-1].y, vertex.bulge)
    if math.dist(kept[0][:2], kept[-1][:2]) <= JOIN_MM:
        last = kept.pop()
        if kept:
            kept[0] = Vertex((kept[0].x + last.x) / 2, (kept[0].y + last.y) / 2, kept[0].bulge)
    if len(kept) < 2:
        return []
    return [
        Path(tuple(_straightened(v, w) for v, w in zip(kept, kept[1:] + kept[:1], strict=True)), closed=True)
    ]


def _straightened(start: Vertex, end: Vertex) -> Vertex:
    """Without a bulge that is but rounding: its radius would be beyond all measure."""
    height = math.dist(start[:2], end[:2]) * abs(start.bulge) / 2
    return start if height > SAME_POINT_MM else Vertex(start.x, start.y)


def _smallest_gap(loose: list[Point]) -> float:
    """Between any two loose ends: what is missing at least. One chain's two ends stand side by side."""
    if len(loose) > 200:  # a hatching: its smallest gap helps no one
        loose = loose[:200]
    return min((math.dist(a, b) for i, a in enumerate(loose) for b in loose[i + 1 :]), default=0.0)
