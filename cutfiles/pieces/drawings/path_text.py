"""The path data of an SVG drawing as strokes, in the file's own units, y down."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from cutfiles.core.errors import GeometryError
from cutfiles.formats.svg.path_data import EllipticalArc, PathDataError, Segment, segments
from cutfiles.formats.svg.path_data import numbers_of as numbers_in
from cutfiles.geometry.outline import Point
from cutfiles.pieces.drawings.strokes import MOST_STROKES, Cubic, Oval, Straight

PathStroke = Straight | Oval | Cubic


@dataclass(slots=True)
class DrawnSubpath:
    """What one moveto begins."""

    strokes: list[PathStroke] = field(default_factory=list)
    closed: bool = False


def numbers_of(text: str, what: str) -> list[float]:
    """Return numbers that stand apart by spaces or commas.

    Raises:
        GeometryError: anything else in between.
    """
    try:
        return numbers_in(text)
    except PathDataError as error:
        raise GeometryError(f"has {what} that can't be read at {error}; export it anew") from None


def subpaths(text: str) -> list[DrawnSubpath]:
    """Return the strokes of path data.

    Raises:
        GeometryError: it breaks the grammar, or is of more strokes than an outline has.
    """
    paths: list[DrawnSubpath] = []
    here: Point = (0.0, 0.0)
    strokes = 0
    try:
        for segment in segments(text):
            if segment.kind == "M":
                paths.append(DrawnSubpath())
            else:
                stroke = _stroke(here, segment)
                if stroke is not None:
                    strokes += 1
                    if strokes > MOST_STROKES:
                        raise GeometryError(f"is of more than {MOST_STROKES} lines and curves; simplify it")
                    if paths[-1].closed:
                        # PathStroke on after a closepath without a moveto: a new subpath from the same start.
                        paths.append(DrawnSubpath())
                    paths[-1].strokes.append(stroke)
                if segment.kind == "Z":
                    paths[-1].closed = True
            here = segment.points[-1]
    except PathDataError as error:
        raise GeometryError(f"has path data that can't be read at {error}; export it anew") from None
    return [subpath for subpath in paths if subpath.strokes]


def _stroke(start: Point, segment: Segment) -> PathStroke | None:
    """What a segment draws; a closepath or an arc that ends where it begins draws nothing."""
    end = segment.points[-1]
    if segment.kind == "A":
        assert segment.arc is not None
        return _arc(start, end, segment.arc) if end != start else None
    if segment.kind == "C":
        return Cubic(start, *segment.points)
    if segment.kind == "Q":
        handle = segment.points[0]
        return Cubic(start, _two_thirds(start, handle), _two_thirds(end, handle), end)
    return None if segment.kind == "Z" and end == start else Straight(start, end)


def _two_thirds(start: Point, handle: Point) -> Point:
    return (start[0] + 2 / 3 * (handle[0] - start[0]), start[1] + 2 / 3 * (handle[1] - start[1]))


def _arc(start: Point, end: Point, arc: EllipticalArc) -> Straight | Oval:
    """Source: W3C SVG 1.1, appendix F.6.5 and F.6.6, from two ends to centre and angles."""
    across, up, turn_deg, large, sweep = arc
    if across == 0 or up == 0:
        return Straight(start, end)
    turn = math.radians(turn_deg % 360)
    cos, sin = math.cos(turn), math.sin(turn)
    half = ((start[0] - end[0]) / 2, (start[1] - end[1]) / 2)
    x, y = (cos * half[0] + sin * half[1]) / across, (cos * half[1] - sin * half[0]) / up
    far = math.hypot(x, y)
    if not 0 < far < math.inf:
        return Straight(start, end)  # radii beyond all measure; coordinates beyond are refused later
    if far > 1:  # too small to reach: the least radii that do
        across, up, x, y, far = across * far, up * far, x / far, y / far, 1.0
    # On the unit circle: the centre lies square to the chord, to the side that the flags choose.
    aside = math.sqrt(max(0.0, 1 - far * far)) / far * (1.0 if large == sweep else -1.0)
    # F.6.5 with both radii 1: c' = ± sqrt(...)·(y', −x'), minus where the flags are alike.
    middle = (-aside * y, aside * x)
    first = math.atan2(y - middle[1], x - middle[0])
    last = math.atan2(-y - middle[1], -x - middle[0])
    swept = (last - first) % (2 * math.pi)
    if not sweep:
        swept -= 2 * math.pi
    u, v = (across * cos, across * sin), (-up * sin, up * cos)
    centre = (
        (start[0] + end[0]) / 2 + u[0] * middle[0] + v[0] * middle[1],
        (start[1] + end[1]) / 2 + u[1] * middle[0] + v[1] * middle[1],
    )
    return Oval(centre, u, v, first, swept)
