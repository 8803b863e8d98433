"""Pieces whose outline is cut in part by their neighbours, or ends where the fabric does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.check.layout.layout import KnownFabric, KnownLoad
from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.shapes.contours import as_area, as_line, same_outline
from cutfiles.check.tool.knife import SWIVEL_MM
from cutfiles.check.tool.lines import owner
from cutfiles.core.tolerance import CHORD_MM, LEAST_REST_MM
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.geometry.outline import Contour, Path, Point, Vertex


@dataclass(frozen=True, slots=True)
class Restored:
    """Outlines made whole, and which of the open lines are part of them."""

    items: tuple[Item, ...]
    used: frozenset[int]


def restored(
    closed: Sequence[Item], open_: Sequence[Item], load: KnownLoad, tool: KnownTool, *, within_mm: float
) -> Restored:
    """Return the outlines of pieces that are all cut, though not by a line of their own all round.

    Whatever of such an outline no line runs along must lie on the fabric's own edge, where the layout leaves
    that uncut, or be so short that the kerf bridges it, or that nothing can cut it.

    Args:
        closed: whole outlines of the file.
        open_: open lines to cut.
        load: where the pieces are.
        tool: what the file was written for.
        within_mm: how far a point of the file may be off.
    """
    # A knife's tip is known a little worse than a line of the file.
    reach = 2 * within_mm + 2 * CHORD_MM + (SWIVEL_MM if tool.swivel_mm else 0.0)
    # Edge by edge: where two pieces meet, a file without names doesn't tell whose line goes on.
    corners = _PieceCorners(load, reach)
    edges = [(number, edge) for number, item in enumerate(open_) for edge in corners.parts(item.path)]
    lines = [
        as_line(path, stray_mm=CHORD_MM) for path in (*(item.path for item in closed), *(e for _, e in edges))
    ]
    if not lines:
        return Restored((), frozenset())
    tree = shapely.STRtree(lines)
    named = _Named(load, reach)
    outlines: list[Item] = []
    used: set[int] = set()
    for fabric in load.fabrics:
        for piece in fabric.pieces:
            if piece.line is None:
                continue
            outline = as_line(piece.line, stray_mm=CHORD_MM)
            near = sorted(tree.query(outline, predicate="dwithin", distance=reach).tolist())
            if any(
                n < len(closed) and same_outline(closed[n].path, piece.line, within_mm=within_mm)
                for n in near
            ):
                continue
            along: list[BaseGeometry] = [lines[n] for n in near]
            if tool.skips_edge:
                along.append(_edge(fabric, tool.kerf_mm / 2))
            rest = outline.difference(shapely.union_all(shapely.buffer(along, reach)))
            longest = max((part.length for part in shapely.get_parts(rest)), default=0.0)
            if longest <= tool.kerf_mm + LEAST_REST_MM:
                around = outline.buffer(reach)
                own = [n - len(closed) for n in near if n >= len(closed) and around.covers(lines[n])]
                new = [edges[n][1] for n in own if n not in used]
                used.update(own)
                parts = [(open_[edges[n][0]], lines[n + len(closed)]) for n in own]
                name, place = named.name_of(piece.piece_id, parts)
                outlines.append(
                    Item(Layer.CUT, "cut", piece.line, name, place, is_shared=True, drawn=tuple(new))
                )
    unused = {number for index, (number, _) in enumerate(edges) if index not in used}
    return Restored(tuple(outlines), frozenset(range(len(open_))) - unused)


class _PieceCorners:
    """Where outlines turn: one straight edge of a line may run along several pieces in a row."""

    def __init__(self, load: KnownLoad, reach_mm: float) -> None:
        lines = [piece.line for fabric in load.fabrics for piece in fabric.pieces]
        places = {vertex[:2] for line in lines if isinstance(line, Path) for vertex in line.vertices}
        self._points = [shapely.Point(place) for place in sorted(places)]
        self._tree = shapely.STRtree(self._points)
        self._reach_mm = reach_mm

    def parts(self, path: Contour) -> Iterator[Path]:
        """Yield the edges of a path, straight ones parted where they pass a corner."""
        assert isinstance(path, Path)
        for start, end in path.edges():
            stops = [] if start.bulge else self._stops(start[:2], end)
            places = [start, *(Vertex(*stop) for stop in stops), Vertex(*end)]
            for first, last in pairwise(places):
                yield Path((first, last), closed=False)

    def _stops(self, start: Point, end: Point) -> list[Point]:
        edge = shapely.LineString((start, end))
        near = self._tree.query(edge, predicate="dwithin", distance=self._reach_mm)
        found: list[Point] = []
        last = self._reach_mm
        for along in sorted(edge.project(self._points[index]) for index in near):
            if last < along < edge.length - self._reach_mm:
                at = edge.interpolate(along)
                found.append((at.x, at.y))
                last = along + self._reach_mm  # two pieces' corners in one place count once
        return found


def _edge(fabric: KnownFabric, out_mm: float) -> BaseGeometry:
    """Where cut lines of pieces run that lie on the fabric's edge."""
    left, low, right, high = fabric.box
    cloth = shapely.box(left, low, right, high)
    if fabric.outline is not None:
        cloth = as_area(fabric.outline, stray_mm=CHORD_MM)
    return cloth.buffer(out_mm, join_style="mitre").boundary if out_mm else cloth.boundary


class _Named:
    """What a file calls the outlines that several of its lines make up."""

    def __init__(self, load: KnownLoad, reach_mm: float) -> None:
        self._outlines = {
            piece.piece_id: piece.line
            for fabric in load.fabrics
            for piece in fabric.pieces
            if piece.line is not None
        }
        self._reach_mm = reach_mm
        self._around: dict[str, BaseGeometry] = {}

    def name_of(self, piece_id: str, parts: Sequence[tuple[Item, BaseGeometry]]) -> tuple[str | None, str]:
        """Return the name of a piece's outline, and the place of the line that gives it.

        A piece may have no line of its own: neighbours and the fabric's edge leave nothing to cut. Then the
        name is the piece's, unless a line lies here that has no business on the piece it is named after.

        Args:
            piece_id: the piece.
            parts: the lines along its outline, and the edge of each that lies there.
        """
        for item, _ in parts:
            if owner(item) == piece_id:
                return piece_id, item.place
        for item, edge in parts:
            if not self._is_on(owner(item), edge):
                return owner(item), item.place
        return piece_id, piece_id

    def _is_on(self, piece_id: str | None, edge: BaseGeometry) -> bool:
        """Whether an edge lies on the outline of a piece."""
        if piece_id is None or piece_id not in self._outlines:
            return False
        if piece_id not in self._around:
            outline = as_line(self._outlines[piece_id], stray_mm=CHORD_MM)
            self._around[piece_id] = outline.buffer(self._reach_mm)
        return bool(self._around[piece_id].covers(edge))
