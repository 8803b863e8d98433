"""What a trailing knife cuts: simulated along the lines of a file in order, and compared with the pieces.

Own code, nothing of the planner's. Source: docs/decisions/0008-a-knife-is-walked.md
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely

from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.shapes.contours import as_line
from cutfiles.check.tool.knife import SWIVEL_MM, TrailingKnife
from cutfiles.check.tool.lines import closed_again
from cutfiles.core.tolerance import CHORD_MM
from cutfiles.formats.model.drawing import Item
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, bounds


def walked_lines(
    items: Sequence[Item], pieces: Sequence[Contour], tool: KnownTool, *, within_mm: float
) -> Iterator[tuple[Item, Contour]]:
    """Yield what the knife cuts along each line: the piece's outline if it is that, else what was walked.

    Args:
        items: lines to cut.
        pieces: what is to be cut.
        tool: with a swivel.
        within_mm: how far a point of the file may be off.
    """
    knife = TrailingKnife(tool.swivel_mm)
    within = within_mm + SWIVEL_MM
    outlines = [as_line(piece, stray_mm=CHORD_MM) for piece in pieces]
    tree = shapely.STRtree([shapely.box(*bounds(piece)) for piece in pieces])
    for item in sorted(items, key=lambda item: item.order):
        if isinstance(item.path, Circle):
            # It ends where it began, wherever that is: the knife points as it did before.
            yield item, knife.round(item.path)
            continue
        points = knife.trace(item.path)
        if len(points) < 2:
            yield item, item.path
            continue
        way = shapely.LineString(points)
        near = sorted(tree.query(way).tolist())
        match = next((n for n in near if _cuts(way, outlines[n], tool, within)), None)
        yield item, _walked(way, tool, within) if match is None else pieces[match]


def _cuts(way: shapely.LineString, outline: shapely.LineString, tool: KnownTool, within: float) -> bool:
    """Whether the tip goes all round an outline and nowhere else, and past its start no more than it may."""
    # While the axis swings on chords the tip doesn't quite stand still: the more so the larger the swivel.
    if way.length > outline.length + tool.over_mm + 8 * within + tool.swivel_mm:
        return False
    if shapely.hausdorff_distance(way, outline) > within:
        return False
    # The distance is measured at corners: an edge is missing where the way doesn't come back to its start.
    corners = shapely.get_coordinates(way)
    back = shapely.LineString(corners[len(corners) // 2 :])
    return bool(shapely.distance(back, shapely.Point(corners[0])) <= within)


def _walked(way: shapely.LineString, tool: KnownTool, within: float) -> Contour:
    corners = way.simplify(within / 2).coords
    path = Path(tuple(Vertex(x, y) for x, y in corners), closed=False)
    if way.length <= 8 * within:
        return path  # a fragment between two shared edges: its ends are near, and it goes round nothing
    if len(corners) > 3 and math.dist(corners[0], corners[-1]) <= within:
        return Path(path.vertices[:-1], closed=True)
    return closed_again(path, tool, within)
