"""What a trailing knife cuts, where the way of its axis is known as chords only: walked, and compared.

A file that knows no arcs, or one for a machine that isn't square, holds the small arcs round the knife's tip
as a few chords: what is cut can't be computed edge by edge as in `tool_path`, but it can be walked.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely

from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.shapes.contours import as_line
from cutfiles.check.tool.castor import Castor
from cutfiles.check.tool.tool_path import SWIVEL_MM, closed_again, cut_round
from cutfiles.core.tolerance import CHORD_MM, FILE_MM
from cutfiles.findings import limits
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Drawing, Item, Kind, Layer
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, bounds


def hides_arcs(kind: Kind) -> bool:
    """Return whether a knife's small arcs are lost in a file of this kind."""
    return not kind.has_arcs or kind.within_mm > FILE_MM or not kind.as_written


def too_far(drawing: Drawing, tool: KnownTool) -> Fault | None:
    """Return a fault where a knife would have to be walked along more than can be in reasonable time."""
    if not tool.swivel_mm or not hides_arcs(drawing.kind):
        return None
    corners = sum(len(one.path.vertices) for one in drawing.on(Layer.CUT) if isinstance(one.path, Path))
    if corners <= limits.MOST_WALKED:
        return None
    return Fault(Code.TOO_MUCH, "", f"{corners} corners to walk a knife along: nothing was measured")


def as_traced(
    items: Sequence[Item], pieces: Sequence[Contour], tool: KnownTool, *, within_mm: float
) -> Iterator[tuple[Item, Contour]]:
    """Yield what the knife cuts along each line: the piece's outline if it is that, else what was walked.

    Args:
        items: lines to cut.
        pieces: what is to be cut.
        tool: with a swivel.
        within_mm: how far a point of the file may be off.
    """
    castor = Castor(tool.swivel_mm)
    within = within_mm + SWIVEL_MM
    outlines = [as_line(piece, stray_mm=CHORD_MM) for piece in pieces]
    tree = shapely.STRtree([shapely.box(*bounds(piece)) for piece in pieces])
    for item in sorted(items, key=lambda one: one.order):
        if isinstance(item.path, Circle):
            # It ends where it began, wherever that is: the knife points as it did before.
            yield item, cut_round(item.path, tool.swivel_mm)
            continue
        points = castor.trace(item.path)
        if len(points) < 2:
            yield item, item.path
            continue
        way = shapely.LineString(points)
        near = sorted(tree.query(way).tolist())
        found = next((n for n in near if _cuts(way, outlines[n], tool, within)), None)
        yield item, _walked(way, tool, within) if found is None else pieces[found]


def _cuts(way: shapely.LineString, outline: shapely.LineString, tool: KnownTool, within: float) -> bool:
    """Whether the tip goes all round an outline and nowhere else, and past its start no more than it may."""
    # While the axis swings on chords the tip doesn't quite stand still: the more so the larger the swivel.
    if way.length > outline.length + tool.over_mm + 8 * within + tool.swivel_mm:
        return False
    if shapely.hausdorff_distance(way, outline) > within:
        return False
    # That is taken at corners: an edge may still be missing where the way doesn't come back to its start.
    corners = shapely.get_coordinates(way)
    back = shapely.LineString(corners[len(corners) // 2 :])
    return bool(shapely.distance(back, shapely.Point(corners[0])) <= within)


def _walked(way: shapely.LineString, tool: KnownTool, within: float) -> Contour:
    corners = way.simplify(within / 2).coords
    path = Path(tuple(Vertex(x, y) for x, y in corners), closed=False)
    if way.length <= 8 * within:
        return path  # a crumb between two shared edges: its ends are near, and it goes round nothing
    if len(corners) > 3 and math.dist(corners[0], corners[-1]) <= within:
        return Path(path.vertices[:-1], closed=True)
    return closed_again(path, tool, within)
