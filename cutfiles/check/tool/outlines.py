"""The outlines that a file cuts: closed lines, and open ones that together close."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from cutfiles.check.layout.layout import KnownLoad
from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.tool.restored import Restored, restored
from cutfiles.check.tool.tool_path import as_cut, joined_in_order, owner
from cutfiles.check.tool.traced import as_traced, hides_arcs
from cutfiles.core.tolerance import FILE_MM, SAME_POINT_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Drawing, Item, Kind, Layer, chain, without_repeats
from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex, bounds

_PLAIN = KnownTool()


@dataclass(frozen=True, slots=True)
class Outlines:
    """What is cut, each a closed outline, and what was wrong with the lines."""

    items: tuple[Item, ...]
    almost: tuple[Item, ...]  # open ones, closed by a straight edge: only to know which piece was meant
    faults: tuple[Fault, ...]


def outlines_of(drawing: Drawing, load: KnownLoad | None = None, tool: KnownTool = _PLAIN) -> Outlines:
    """Return the closed outlines on the cut layer, in the file's order.

    Lines and arcs that meet end to end, as some programs write an outline, are joined first.

    Args:
        drawing: the file.
        load: the pieces that it should cut, if they are known.
        tool: what it was written for: what the tool does to the lines is undone.
    """
    closed: list[Item] = []
    open_: list[tuple[Item, Path]] = []
    faults: list[Fault] = []
    for whole in drawing.on(Layer.CUT):
        item, repeats = without_repeats(whole)
        if repeats:
            faults.append(Fault(Code.ZERO_LENGTH, item.place, "a point is given twice in a row"))
        if isinstance(item.path, Path) and not item.path.closed:
            open_.append((item, item.path))
        else:
            closed.append(item)
    if tool.over_mm and load is not None:
        lines = joined_in_order([item for item, _ in open_])
        joined = list(_cut_lines([*lines, *closed], load, tool, drawing.kind))
        closed = []
    else:
        joined = list(_joined(open_, frozenset() if load is None else load.piece_ids))
    left: list[Item] = []
    for item, path in joined:
        (closed if _is_closed(path) else left).append(replace(item, path=path))
    almost: list[Item] = []
    shared = Restored((), frozenset())
    if load is not None and (load.shares or tool.skips_edge):
        shared = restored(closed, left, load, tool, within_mm=drawing.kind.within_mm)
    for number, item in enumerate(left):
        if number in shared.used:
            continue
        path = item.path
        assert isinstance(path, Path)
        gap = math.dist(path.vertices[0][:2], path.vertices[-1][:2])
        faults.append(Fault(Code.OPEN_OUTLINE, item.place, f"its ends are {gap:.4g} mm apart"))
        if len(path.vertices) > 2:
            almost.append(replace(item, path=Path(path.vertices, closed=True)))
    return Outlines((*closed, *shared.items), tuple(almost), tuple(faults))


def _is_closed(path: Contour) -> bool:
    return isinstance(path, Circle) or path.closed


def _cut_lines(
    items: Sequence[Item], load: KnownLoad, tool: KnownTool, kind: Kind
) -> Iterator[tuple[Item, Contour]]:
    """What the tool cuts along each line."""
    pieces = [piece.line for fabric in load.fabrics for piece in fabric.pieces if piece.line is not None]
    # A swivel of nothing leads nowhere, however it got into a layout.
    if tool.swivel_mm > SAME_POINT_MM and hides_arcs(kind):
        yield from as_traced(items, pieces, tool, within_mm=kind.within_mm)
        return
    tree = shapely.STRtree([shapely.box(*bounds(line)) for line in pieces])
    for item in items:
        near = tree.query(shapely.box(*bounds(item.path))).tolist() if tool.swivel_mm else []
        wanted = [pieces[number] for number in sorted(near)]
        yield item, as_cut(item.path, tool, wanted, within_mm=kind.within_mm)


def _joined(open_: Sequence[tuple[Item, Path]], piece_ids: frozenset[str]) -> Iterator[tuple[Item, Contour]]:
    """Open lines joined as far as they follow each other, each under the name of its first.

    Where the rest of one piece's outline ends at that of its neighbour, the two stay apart.
    """
    owners = [owner(item) for item, _ in open_]
    partners = {
        end: other
        for end, other in _partners([path for _, path in open_]).items()
        if owners[end[0]] == owners[other[0]] or not {owners[end[0]], owners[other[0]]} <= piece_ids
    }
    seen: set[int] = set()
    for first in range(len(open_)):
        if first in seen:
            continue
        run, closes = _run(first, partners)
        seen.update(index for index, _ in run)
        paths = [open_[index][1] if forward else _reversed(open_[index][1]) for index, forward in run]
        corners = [vertex for path in paths for vertex in path.vertices[:-1]]
        contour = chain(corners if closes else [*corners, paths[-1].vertices[-1]], closed=closes)
        yield open_[first][0], open_[first][1] if isinstance(contour, Fault) else contour


def _reversed(path: Path) -> Path:
    """An open path run the other way; its edges keep their arcs."""
    points = [(vertex.x, vertex.y) for vertex in reversed(path.vertices)]
    bulges = [-vertex.bulge for vertex in reversed(path.vertices[:-1])] + [0.0]
    return Path(tuple(Vertex(x, y, b) for (x, y), b in zip(points, bulges, strict=True)), closed=False)


def _partners(paths: Sequence[Path]) -> dict[tuple[int, int], tuple[int, int]]:
    """For each end (line, 0 start or 1 end) the one other end that lies on it; none where several do."""
    if not paths:
        return {}
    ends: list[Point] = []
    for path in paths:
        ends += [path.vertices[0][:2], path.vertices[-1][:2]]
    # Rounded to a grid first: a drawing with a million lines to one point must not take a million squared.
    cells, place = np.unique(np.round(np.array(ends) / FILE_MM).astype(np.int64), axis=0, return_inverse=True)
    counts = np.bincount(place.ravel(), minlength=len(cells))
    lonely = np.flatnonzero(counts[place.ravel()] <= 2)
    points = [shapely.Point(ends[index]) for index in lonely]
    if not points:
        return {}
    tree = shapely.STRtree(points)
    pairs = tree.query(points, predicate="dwithin", distance=FILE_MM)
    found: dict[int, list[int]] = {}
    for one, other in lonely[pairs].T.tolist():
        if one != other:
            found.setdefault(one, []).append(other)
    return {
        (one // 2, one % 2): (others[0] // 2, others[0] % 2)
        for one, others in found.items()
        if len(others) == 1 and len(found.get(others[0], ())) == 1
    }


def _run(first: int, partners: dict[tuple[int, int], tuple[int, int]]) -> tuple[list[tuple[int, bool]], bool]:
    """Lines that follow each other through `first` (each with its direction), and whether they close."""
    run, closes = _onward((first, True), partners)
    if closes:
        return run, True
    # The run may have begun before `first`: walk to its beginning, then all along it.
    last, forward = _onward((first, False), partners)[0][-1]
    return _onward((last, not forward), partners)[0], False


def _onward(
    start: tuple[int, bool], partners: dict[tuple[int, int], tuple[int, int]]
) -> tuple[list[tuple[int, bool]], bool]:
    run = [start]
    used = {start[0]}
    end = (start[0], 1 if start[1] else 0)
    while end in partners:
        index, side = partners[end]
        if index in used:
            return run, index == start[0] and len(run) > 1
        run.append((index, side == 0))
        used.add(index)
        end = (index, 1 - side)
    return run, False
