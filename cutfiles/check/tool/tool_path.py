"""From the path that a machine is told to the line that its tool cuts: own code, nothing of the planner's.

A trailing knife's tip is behind the axis by the swivel, on the axis' tangent. So a straight edge is cut on
its own line, the swivel further back; an arc about its own centre on the radius √(R² − swivel²); and an arc
whose radius is the swivel cuts nothing: the tip stands in its centre and turns.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.shapes.contours import same_outline
from cutfiles.core.tolerance import FILE_MM, SWIVEL_STRAY_MM
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, chain
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.joining import followed
from cutfiles.geometry.outline import Arc, Circle, Contour, Path, Point, Vertex, arc_of
from cutfiles.geometry.pose import Pose

# What the tip may be off by where small turns were left out, and where a short edge tells its heading badly.
SWIVEL_MM = 2 * SWIVEL_STRAY_MM + FILE_MM
_PART = re.compile(r"-part-[0-9]+$")
_ROUNDED_MM = 2e-4  # by how much the ends of an edge together may be off


def joined_in_order(items: Sequence[Item]) -> list[Item]:
    """Return open lines with single edges joined that follow each other in the file, as DXF holds them.

    Lines with the names of two pieces stay two.
    """
    found: list[Item] = []
    for item in items:
        before = found[-1] if found else None
        if before is not None and owner(before) == owner(item):
            run = _run_on(before.path, item.path)
            if run is not None:
                found[-1] = replace(before, path=run)
                continue
        found.append(item)
    return found


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


def cut_round(axis: Circle, swivel_mm: float) -> Circle:
    """Return what the tip cuts while the axis goes once around, if it points along the circle at first.

    That is how a file comes to hold a whole circle: the knife points there from the line before, and nothing
    is to be swung. A smaller circle than the swivel is left as it is.
    """
    square = axis.radius**2 - swivel_mm**2
    return Circle(axis.x, axis.y, math.sqrt(square)) if square > FILE_MM**2 else axis


@dataclass(frozen=True, slots=True)
class _Cut:
    """What the tip cuts while the axis runs along one edge."""

    start: Point
    end: Point
    bulge: float


def as_cut(path: Contour, tool: KnownTool, wanted: Sequence[Contour], *, within_mm: float) -> Contour:
    """Return what the tool cuts when it runs along a path, closed where it comes back to its start.

    Args:
        path: what the file holds.
        tool: what it was written for.
        wanted: the outlines that lie near; one that is cut to within the swivel's rounding is returned.
        within_mm: how far a point of the file may be off.
    """
    if isinstance(path, Circle):
        return cut_round(path, tool.swivel_mm)
    if tool.swivel_mm:
        # In some files nobody knows which end was the start: the tip's edges then don't meet.
        tip = _tip(path, tool.swivel_mm) or _tip(path.backwards(), tool.swivel_mm)
        if tip is None:
            return path
        path = tip
    whole = path if path.closed else closed_again(path, tool, SWIVEL_MM if tool.swivel_mm else within_mm)
    if tool.swivel_mm:
        for outline in wanted:
            if (isinstance(whole, Circle) or whole.closed) and same_outline(
                whole, outline, within_mm=SWIVEL_MM
            ):
                return outline
    return whole


@dataclass(frozen=True, slots=True)
class _Swing:
    """The axis goes round on the swivel, as nearly as a file says: the tip stands still, or cuts a tiny arc.

    How large that is tells where the tip stands already: it turns about the same centre, by the same angle.
    """

    arc: Arc
    bulge: float
    most_mm: float  # from the centre to the tip, as far as the file's rounding leaves it open

    def moved(self, tip: Point, way: float) -> Point:
        """Return where the tip is after the swing, or with a way of -1 before it."""
        across, up = tip[0] - self.arc.centre[0], tip[1] - self.arc.centre[1]
        if not FILE_MM < math.hypot(across, up) <= self.most_mm:
            return tip
        return Pose(*self.arc.centre, way * self.arc.sweep_deg).point((across, up))


@dataclass(frozen=True, slots=True)
class _Slip:
    """An edge too short to tell where it heads: the tip goes as far as the axis, from where it stands."""

    along: Point
    bulge: float

    def moved(self, tip: Point, way: float) -> Point:
        """Return where the tip is after the edge, or with a way of -1 before it."""
        return (tip[0] + way * self.along[0], tip[1] + way * self.along[1])


_Blind = _Swing | _Slip  # edges that say how the tip goes on, and not where it is


def _tip(axis: Path, swivel_mm: float) -> Path | None:
    cuts: list[_Cut] = []
    blind: list[_Blind] = []
    first: list[_Blind] = []  # before the first cut
    for start, end in axis.edges():
        step = _step(start, end, swivel_mm)
        if isinstance(step, _Blind):
            blind.append(step)
            continue
        if cuts:
            cuts += _led_on(cuts[-1].end, blind)
            if math.dist(cuts[-1].end, step.start) > SWIVEL_MM:
                return None
        else:
            first = blind
        blind = []
        cuts.append(step)
    if not cuts:
        return None
    if not axis.closed:
        cuts = [*_led_there(cuts[0].start, first), *cuts, *_led_on(cuts[-1].end, blind)]
        return Path((*(Vertex(*cut.start, cut.bulge) for cut in cuts), Vertex(*cuts[-1].end)), closed=False)
    cuts += _led_on(cuts[-1].end, [*blind, *first])
    if math.dist(cuts[-1].end, cuts[0].start) > SWIVEL_MM:
        return None
    return Path(tuple(Vertex(*cut.start, cut.bulge) for cut in cuts), closed=True)


def _led_on(tip: Point, blind: Sequence[_Blind]) -> list[_Cut]:
    """What the tip cuts along edges that only say how it goes on, from where it stands."""
    found: list[_Cut] = []
    for one in blind:
        start, tip = tip, one.moved(tip, 1.0)
        if math.dist(start, tip) > FILE_MM:
            found.append(_Cut(start, tip, one.bulge))
    return found


def _led_there(tip: Point, blind: Sequence[_Blind]) -> list[_Cut]:
    """The same backwards: what it cut before it came to where it stands."""
    found: list[_Cut] = []
    for one in reversed(blind):
        end, tip = tip, one.moved(tip, -1.0)
        if math.dist(tip, end) > FILE_MM:
            found.insert(0, _Cut(tip, end, one.bulge))
    return found


def _step(start: Vertex, end: Point, swivel_mm: float) -> _Cut | _Blind:
    across, up = end[0] - start.x, end[1] - start.y
    size = math.hypot(across, up)
    is_short = swivel_mm * _ROUNDED_MM > SWIVEL_STRAY_MM * size
    if not start.bulge:
        if is_short:
            return _Slip((across, up), 0.0)
        x, y = swivel_mm * across / size, swivel_mm * up / size
        return _Cut((start.x - x, start.y - y), (end[0] - x, end[1] - y), 0.0)
    arc = arc_of(start, end)
    # Four decimals say little of the radius of a short arc.
    slack = FILE_MM + _ROUNDED_MM * arc.radius / size
    if abs(arc.radius - swivel_mm) <= slack:
        return _Swing(arc, start.bulge, math.sqrt((2 * swivel_mm + slack) * slack) + SWIVEL_MM)
    if arc.radius < swivel_mm:
        return _Cut(arc.centre, arc.centre, 0.0)
    if is_short:
        return _Slip((across, up), start.bulge)
    behind = math.degrees(math.asin(swivel_mm / arc.radius)) * (-1.0 if arc.sweep_deg > 0 else 1.0)
    radius = math.sqrt(arc.radius**2 - swivel_mm**2)
    back = replace(arc, radius=radius, start_deg=arc.start_deg + behind)
    return _Cut(back.at(0.0), back.at(1.0), start.bulge)


def closed_again(path: Path, tool: KnownTool, within: float) -> Contour:
    """Return an open path without what runs on past its start; as it is where it doesn't come back there."""
    edges = edges_of(path)
    begin = edges[0].start
    far = 0.0
    for number in range(len(edges) - 1, 0, -1):
        edge = edges[number]
        if edge.to(begin) <= within:
            share = edge.share_of(begin)
            whole = _ring([*(one.vertex() for one in edges[: number + 1])], share)
            if far + (1 - share) * edge.length() > tool.over_mm + within or whole is None:
                return path
            # What runs on must run along what was cut already.
            over = [edge.at((share + 1) / 2), *(one.at(0.5) for one in edges[number + 1 :])]
            along = edges_of(whole)
            return whole if all(min(one.to(at) for one in along) <= within for at in over) else path
        far += edge.length()
    return path


def _ring(corners: list[Vertex], share: float) -> Contour | None:
    """The corners closed, the last edge cut off at a share of it, which is where the first corner is."""
    last = corners[-1]
    corners[-1] = last._replace(bulge=math.tan(math.atan(last.bulge) * share))
    if share <= 0 or math.dist(last[:2], corners[0][:2]) <= FILE_MM:
        corners.pop()
    found = chain(corners, closed=True)
    return None if isinstance(found, Fault) else found
