"""The outlines that a file cuts: closed lines, and open ones that together close."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from cutfiles.check.layout.layout import KnownLoad
from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.tool.lines import closed_again, joined_in_order, owner
from cutfiles.check.tool.restored import Restored, restored
from cutfiles.check.tool.walked import walked_lines
from cutfiles.core.tolerance import FILE_MM, SAME_POINT_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Capabilities, Drawing, Item, Layer, chain, without_repeats
from cutfiles.geometry.joining import meetings, walks
from cutfiles.geometry.outline import Circle, Contour, Path, area, length

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
    items: Sequence[Item], load: KnownLoad, tool: KnownTool, kind: Capabilities
) -> Iterator[tuple[Item, Contour]]:
    """What the tool cuts along each line."""
    pieces = [piece.line for fabric in load.fabrics for piece in fabric.pieces if piece.line is not None]
    # A swivel of nothing leads nowhere, however it got into a layout.
    if tool.swivel_mm > SAME_POINT_MM:
        yield from walked_lines(items, pieces, tool, within_mm=kind.within_mm)
        return
    for item in items:
        path = item.path
        if isinstance(path, Path) and not path.closed:
            yield item, closed_again(path, tool, kind.within_mm)
        else:
            yield item, path


def _is_nothing(contour: Path) -> bool:
    """Whether an outline has no more area than the rounding of a file may make."""
    return abs(area(contour)) <= FILE_MM * length(contour)


def _joined(open_: Sequence[tuple[Item, Path]], piece_ids: frozenset[str]) -> Iterator[tuple[Item, Contour]]:
    """Open lines joined as far as they follow each other, each under the name of its first.

    Where the rest of one piece's outline ends at that of its neighbour, the two stay apart; so do lines that
    lie on each other, as those of two neighbours do.
    """
    owners = [owner(item) for item, _ in open_]
    lines = [path for _, path in open_]
    # Where more than two ends meet nobody knows which goes on.
    partners = {
        end: other
        for end, other in meetings(lines, within_mm=FILE_MM, most=2).sole_partners().items()
        if owners[end[0]] == owners[other[0]] or not {owners[end[0]], owners[other[0]]} <= piece_ids
    }
    for walk in walks(len(lines), partners):
        first = min(number for number, _ in walk.steps)
        paths = walk.paths(lines)
        corners = [vertex for path in paths for vertex in path.vertices[:-1]]
        contour = chain(corners if walk.closed else [*corners, paths[-1].vertices[-1]], closed=walk.closed)
        if len(walk.steps) > 1 and isinstance(contour, Path) and contour.closed and _is_nothing(contour):
            yield from (open_[number] for number, _ in walk.steps)
            continue
        yield open_[first][0], open_[first][1] if isinstance(contour, Fault) else contour
