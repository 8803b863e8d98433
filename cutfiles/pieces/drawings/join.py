"""Lines that meet end to end, joined into closed outlines. mm."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import JOIN_MM, SAME_POINT_MM
from cutfiles.geometry.outline import Path, Point, Vertex
from cutfiles.pieces.drawings.strokes import Run

_MOST_AT_A_POINT = (
    8  # ends; beyond it the drawing is no outline, and the pairs to compare grow with the square
)
_TINY_MM = 1e-4  # edges shorter than this are rounding, and would only upset the seam

End = tuple[int, int]  # number of the run, 0 its start or 1 its end


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
    chains = [run for run in runs if not run.closed and _size(run) > JOIN_MM]
    partner = _partners(chains)
    loose: list[Point] = []
    open_chains = 0
    seen: set[int] = set()
    for number in range(len(chains)):
        if number in seen:
            continue
        first = _first_of(number, partner)
        vertices, last = _walked(first, chains, partner, seen)
        if last in partner:
            loops += _loop(vertices)
        else:
            open_chains += 1
            loose += [vertices[0][:2], vertices[-1][:2]]
    return Joined(tuple(loops), open_chains, _smallest_gap(loose))


def _size(run: Run) -> float:
    xs, ys = [vertex.x for vertex in run.vertices], [vertex.y for vertex in run.vertices]
    return math.hypot(max(xs) - min(xs), max(ys) - min(ys))


def _partners(chains: list[Run]) -> dict[End, End]:
    """Which end meets which: the nearest first, each once."""
    cells: dict[tuple[int, int], list[tuple[End, Point]]] = defaultdict(list)
    for number, run in enumerate(chains):
        for side, vertex in ((0, run.vertices[0]), (1, run.vertices[-1])):
            cell = (math.floor(vertex.x / JOIN_MM), math.floor(vertex.y / JOIN_MM))
            cells[cell].append(((number, side), (vertex.x, vertex.y)))
            if len(cells[cell]) > _MOST_AT_A_POINT:
                raise GeometryError("has many lines that meet in one point; leave one closed outline in it")
    partner: dict[End, End] = {}
    for _, one, other in sorted(_near_pairs(cells)):
        if one not in partner and other not in partner:
            partner[one], partner[other] = other, one
    return partner


def _near_pairs(
    cells: dict[tuple[int, int], list[tuple[End, Point]]],
) -> Iterator[tuple[float, End, End]]:
    for (column, row), ends in cells.items():
        for right in (-1, 0, 1):
            for up in (-1, 0, 1):
                for other, there in cells.get((column + right, row + up), ()):
                    for end, here in ends:
                        distance = math.dist(here, there)
                        if end < other and distance <= JOIN_MM:
                            yield distance, end, other


def _first_of(number: int, partner: dict[End, End]) -> End:
    """The end to walk in by: the loose one of an open chain, any of a closed one."""
    end = (number, 0)
    while end in partner:
        run, side = partner[end]
        end = (run, 1 - side)
        if end == (number, 0):
            break
    return end


def _walked(
    first: End, chains: list[Run], partner: dict[End, End], seen: set[int]
) -> tuple[tuple[Vertex, ...], End]:
    """The vertices from an end on to where the chain stops, and the end it stops at."""
    vertices: list[Vertex] = []
    end = first
    while True:
        number, side = end
        seen.add(number)
        run = Path(chains[number].vertices, closed=False)
        following = _turned(run) if side == 1 else run.vertices
        # The gap that is joined is bridged half from each side.
        if vertices:
            last, start = vertices.pop(), following[0]
            vertices.append(Vertex((last.x + start.x) / 2, (last.y + start.y) / 2, start.bulge))
            following = following[1:]
        vertices += following
        out = (number, 1 - side)
        if out not in partner or partner[out] == first:
            return tuple(vertices), out
        end = partner[out]


def _turned(run: Path) -> tuple[Vertex, ...]:
    """An open run backwards: the edge that left a vertex now leaves the next."""
    points = [vertex[:2] for vertex in reversed(run.vertices)]
    bulges = [-vertex.bulge for vertex in reversed(run.vertices[:-1])] + [0.0]
    return tuple(Vertex(x, y, bulge) for (x, y), bulge in zip(points, bulges, strict=True))


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
