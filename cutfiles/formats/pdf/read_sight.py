"""How much of each line of a PDF is seen: within the edges of its pages and clips, and not painted over.

A line that runs over several pages is cut off on each; it is whole if together they show all of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import CHORD_MM, PDF_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.pdf.read_content import PageLine
from cutfiles.geometry.outline import Path, Vertex
from cutfiles.geometry.points import points_on

LineKey = tuple[str, bool, tuple[tuple[float, float, bool], ...]]
_LOST_MM = 0.1  # a shorter rest is where a clip's edge crosses the line
_MOST_PARTS = 200_000


@dataclass(slots=True)
class _SeenLine:
    """What was seen so far of a line that no page shows whole."""

    line: BaseGeometry
    place: str
    clips: list[BaseGeometry] = field(default_factory=list)
    shown: list[BaseGeometry] = field(default_factory=list)


@dataclass(slots=True)
class Sight:
    """Follows lines from page to page."""

    _whole: set[LineKey] = field(default_factory=set)
    _parts: dict[LineKey, _SeenLine] = field(default_factory=dict)
    _boxes: dict[int, tuple[BaseGeometry, bool]] = field(default_factory=dict)  # of clips, if they are boxes

    def follow(self, key: LineKey, line: PageLine, fills: Sequence[BaseGeometry]) -> None:
        """Take a line on one page.

        Args:
            key: what tells it from other lines.
            line: as the page draws it.
            fills: areas that the page fills, in order.
        """
        if key in self._whole:
            return
        later = fills[line.fills :]
        xs, ys = [corner[0] for corner in line.corners], [corner[1] for corner in line.corners]
        box = (min(xs), min(ys), max(xs), max(ys))
        straight = not any(corner[2] for corner in line.corners)
        if straight and self._holds(line.clip, box) and not any(_meet(box, fill.bounds) for fill in later):
            self._mark_whole(key)
            return
        way = _way(line)
        clipped = way.intersection(line.clip)
        shown = clipped
        for fill in later:
            if _meet(way.bounds, fill.bounds):
                shown = shown.difference(fill)
        if _is_all(way, shown):
            self._mark_whole(key)
        elif len(self._parts) < _MOST_PARTS:
            seen = self._parts.setdefault(key, _SeenLine(way, line.place))
            seen.clips.append(clipped)
            seen.shown.append(shown)

    def _mark_whole(self, key: LineKey) -> None:
        self._whole.add(key)
        self._parts.pop(key, None)

    def _holds(self, clip: BaseGeometry, box: tuple[float, float, float, float]) -> bool:
        """Whether a clip is a box, as nearly all are, and holds another."""
        known = self._boxes.get(id(clip))
        if known is None:
            # The geometry is kept as well, so that nothing else gets its number.
            known = self._boxes[id(clip)] = (clip, bool(clip.equals(clip.envelope)))
        if not known[1] or clip.is_empty:
            return False
        left, low, right, high = clip.bounds
        return left <= box[0] and low <= box[1] and right >= box[2] and high >= box[3]

    def faults(self) -> Iterator[Fault]:
        """Yield a fault for each line of which all pages together don't show everything."""
        for seen in self._parts.values():
            if not _is_all(seen.line, shapely.union_all(seen.clips)):
                words = "is cut off by the edge of a page or of a clip"
                yield Fault(Code.CLIPPED, seen.place, words)
            elif not _is_all(seen.line, shapely.union_all(seen.shown)):
                yield Fault(Code.HIDDEN, seen.place, "is covered by an area that is painted after it")


def _is_all(line: BaseGeometry, shown: BaseGeometry) -> bool:
    if shown.is_empty:
        return False
    return bool(line.difference(shown.buffer(PDF_MM)).length <= _LOST_MM)


def _way(line: PageLine) -> BaseGeometry:
    corners = [Vertex(*corner) for corner in line.corners]
    points = points_on(Path(tuple(corners), closed=False), stray_mm=CHORD_MM)
    if line.closed:
        points.append(points[0])
    return shapely.LineString(points)


def _meet(first: tuple[float, float, float, float], second: tuple[float, float, float, float]) -> bool:
    # An area of nothing has bounds that are no numbers, which meet nothing.
    return first[0] <= second[2] and second[0] <= first[2] and first[1] <= second[3] and second[1] <= first[3]
