"""Lines of a file joined where one goes on from another, and closed where they run on past their start."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from cutfiles.check.layout.tool import KnownTool
from cutfiles.core.tolerance import FILE_MM
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, chain
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.joining import followed
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex

_PART = re.compile(r"-part-[0-9]+$")


def joined_in_order(items: Sequence[Item]) -> list[Item]:
    """Return open lines with single edges joined that follow each other in the file, as DXF holds them.

    Lines with the names of two pieces stay two.
    """
    lines: list[Item] = []
    for item in items:
        before = lines[-1] if lines else None
        if before is not None and owner(before) == owner(item):
            run = _run_on(before.path, item.path)
            if run is not None:
                lines[-1] = replace(before, path=run)
                continue
        lines.append(item)
    return lines


def owner(item: Item) -> str | None:
    """Return the id of the piece that a line is named after: without the number of its part."""
    return None if item.piece_id is None else _PART.sub("", item.piece_id)


def _run_on(before: Contour, path: Contour) -> Path | None:
    """An open path with the single edge that goes on from its end. An ARC may be written backwards."""
    if isinstance(before, Circle) or before.closed or not _single(path):
        return None
    assert isinstance(path, Path)
    return followed(before, path, within_mm=FILE_MM, turnable=_single(before))


def _single(path: Contour) -> bool:
    return isinstance(path, Path) and not path.closed and len(path.vertices) == 2


def closed_again(path: Path, tool: KnownTool, within: float) -> Contour:
    """Return an open path without what runs on past its start; as it is where it doesn't come back there."""
    edges = edges_of(path)
    begin = edges[0].start
    far = 0.0
    for number in range(len(edges) - 1, 0, -1):
        edge = edges[number]
        if edge.distance_to(begin) <= within:
            share = edge.share_of(begin)
            whole = _ring([*(earlier.vertex() for earlier in edges[: number + 1])], share)
            if far + (1 - share) * edge.length() > tool.over_mm + within or whole is None:
                return path
            # What runs on must run along what was cut already.
            over = [edge.at((share + 1) / 2), *(later.at(0.5) for later in edges[number + 1 :])]
            along = edges_of(whole)
            return (
                whole
                if all(min(ring_edge.distance_to(at) for ring_edge in along) <= within for at in over)
                else path
            )
        far += edge.length()
    return path


def _ring(corners: list[Vertex], share: float) -> Contour | None:
    """The corners closed, the last edge cut off at a share of it, which is where the first corner is."""
    last = corners[-1]
    corners[-1] = last._replace(bulge=math.tan(math.atan(last.bulge) * share))
    if share <= 0 or math.dist(last[:2], corners[0][:2]) <= FILE_MM:
        corners.pop()
    ring = chain(corners, closed=True)
    return None if isinstance(ring, Fault) else ring
