"""SVG path data taken apart, in the SVG's own frame (y down): segments, and chains of lines and arcs.

Source: W3C, SVG 1.1 (Second Edition), chapter 8.3 (path data) and appendix F.6 (elliptical arcs).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.outline import Point

NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"  # as SVG writes one
# One token: a command letter or a number. No two branches share a start, so it never backtracks far.
_TOKEN = re.compile(rf"[\s,]*(?:(?P<command>[A-Za-z])|(?P<number>{NUMBER}))")
_FLAG = re.compile(r"[\s,]*([01])")
_LETTERS = frozenset("MLHVCSQTAZmlhvcsqtaz")
_POINTS = {"M": 1, "L": 1, "C": 3, "S": 2, "Q": 2, "T": 1}


class PathDataError(Exception):
    """The text breaks the grammar; of path data the message is where: what stands there, or `its end`."""


class CurveError(Exception):
    """The path holds a curve that is neither a line nor a circular arc."""


class EllipticalArc(NamedTuple):
    """An arc as path data has it: two radii, the turn of the first, and which of the four arcs is meant."""

    across: float
    up: float
    turn_deg: float
    large: bool
    positive: bool


class Segment(NamedTuple):
    """One step of the pen, all in absolute coordinates.

    Kinds are M, L, C (two handles and the end), Q (a handle and the end), A (the end) and Z (where the
    subpath began); H and V are L, S and T have their handle worked out.
    """

    kind: str
    points: tuple[Point, ...]
    arc: EllipticalArc | None = None


def number_of(text: str) -> float:
    """Return a number as SVG writes it.

    Raises:
        PathDataError: it is no number, or not a finite one.
    """
    match = _TOKEN.fullmatch(text.strip())
    if match is None or match["number"] is None:
        raise PathDataError(f"{text[:40]!r} is no number")
    value = float(match["number"])
    if not math.isfinite(value):
        raise PathDataError(f"{text[:40]!r} is no finite number")
    return value


def numbers_of(text: str) -> list[float]:
    """Return numbers that stand apart by spaces or commas.

    Raises:
        PathDataError: anything else in between.
    """
    reader = _SegmentReader(text)
    numbers = []
    while not reader.is_done():
        numbers.append(reader.number())
    return numbers


def segments(text: str, *, finite: bool = False) -> Iterator[Segment]:
    """Yield the segments of a path's `d`, as far as it can be read.

    Args:
        text: the path data.
        finite: take a number beyond all measure for a break of the grammar, not for infinite.

    Raises:
        PathDataError: the text breaks the grammar.
    """
    return _SegmentReader(text, finite=finite).segments()


class _SegmentReader:
    """Walks along the text once, from left to right."""

    def __init__(self, text: str, *, finite: bool = False) -> None:
        self._finite = finite
        self._text = text.rstrip(" \t\r\n\f\v,")
        self._at = 0
        self._here: Point = (0.0, 0.0)
        self._began: Point = (0.0, 0.0)
        self._handle: Point | None = None  # the last one of the curve just read
        self._handle_of = ""

    def is_done(self) -> bool:
        return self._at >= len(self._text)

    def segments(self) -> Iterator[Segment]:
        command = ""
        while not self.is_done():
            letter = self._letter(begun=bool(command))
            if letter is not None:
                command = letter
            elif command in ("", "Z", "z"):
                raise self._wrong()
            yield self._segment(command)
            if command in "Mm":
                command = "L" if command == "M" else "l"  # further pairs of a moveto are lines

    def _wrong(self) -> PathDataError:
        rest = self._text[self._at :].lstrip(" \t\r\n\f\v,")[:12]
        return PathDataError((f'"{rest}"' if rest.isprintable() else repr(rest)) if rest else "its end")

    def _letter(self, *, begun: bool) -> str | None:
        match = _TOKEN.match(self._text, self._at)
        if match is None:
            raise self._wrong()
        letter = match["command"]
        if letter is None:
            return None
        if letter not in _LETTERS or (not begun and letter not in "Mm"):
            raise self._wrong()
        self._at = match.end()
        return str(letter)

    def number(self) -> float:
        match = _TOKEN.match(self._text, self._at)
        if match is None or match["number"] is None:
            raise self._wrong()
        value = float(match["number"])
        if self._finite and not math.isfinite(value):
            raise self._wrong()
        self._at = match.end()
        return value

    def _flag(self) -> bool:
        # Flags may be written without a space after them: "a1 1 0 0150 0".
        match = _FLAG.match(self._text, self._at)
        if match is None:
            raise self._wrong()
        self._at = match.end()
        return match[1] == "1"

    def _segment(self, command: str) -> Segment:
        kind = command.upper()
        base = self._here if command.islower() else (0.0, 0.0)
        if kind == "Z":
            self._here, self._handle = self._began, None
            return Segment("Z", (self._began,))
        arc = None
        if kind == "A":
            radii = (abs(self.number()), abs(self.number()))
            arc = EllipticalArc(*radii, self.number(), self._flag(), self._flag())
        if kind == "H":
            points = [(base[0] + self.number(), self._here[1])]
        elif kind == "V":
            points = [(self._here[0], base[1] + self.number())]
        else:
            points = [(base[0] + self.number(), base[1] + self.number()) for _ in range(_POINTS.get(kind, 1))]
        if kind in "ST":
            mirrored = self._handle is not None and self._handle_of == ("C" if kind == "S" else "Q")
            points.insert(0, _mirrored(self._handle, self._here) if mirrored else self._here)
        kind = {"H": "L", "V": "L", "S": "C", "T": "Q"}.get(kind, kind)
        self._handle, self._handle_of = (points[-2], kind) if kind in "CQ" else (None, "")
        self._here = points[-1]
        if kind == "M":
            self._began = self._here
        return Segment(kind, tuple(points), arc)


def _mirrored(handle: Point | None, about: Point) -> Point:
    return about if handle is None else (2 * about[0] - handle[0], 2 * about[1] - handle[1])


@dataclass(slots=True)
class Chain:
    """A run of the pen: corners with the bulge of the edge that leaves them."""

    corners: list[tuple[float, float, float]] = field(default_factory=list)
    closed: bool = False


def chains_of(text: str) -> list[Chain]:
    """Return the chains of a path's `d`.

    Raises:
        PathDataError: the text breaks the grammar.
        CurveError: there is a Bézier curve, or an arc of an ellipse.
    """
    chains: list[Chain] = []
    here: Point = (0.0, 0.0)
    for kind, points, arc in segments(text, finite=True):
        end = points[-1]
        if kind == "M":
            chains.append(Chain([(*end, 0.0)]))
        elif kind == "Z":
            chains[-1].closed = True
        elif kind in "CQ":
            raise CurveError("a curve in path data, where only lines and arcs of circles are known")
        else:
            if chains[-1].closed:
                chains.append(Chain([(*here, 0.0)]))  # after Z a new chain begins where the last one did
            corners = chains[-1].corners
            if arc is not None:
                corners[-1] = (*corners[-1][:2], _bulge(here, end, arc))
            corners.append((*end, 0.0))
        here = end
    return chains


def _bulge(start: Point, end: Point, arc: EllipticalArc) -> float:
    """The bulge of an arc given by its ends, as F.6.5 and F.6.6 of the standard have it."""
    half_chord = math.dist(start, end) / 2
    if arc.across == 0 or arc.up == 0 or half_chord == 0:
        return 0.0
    if abs(arc.across - arc.up) > SAME_POINT_MM:
        raise CurveError(f"an arc of an ellipse ({arc.across:g} by {arc.up:g}), where only circles are known")
    # A radius too small to reach is grown until it does.
    quarter = math.asin(min(1.0, half_chord / arc.across)) / 2
    if arc.large:
        quarter = math.pi / 2 - quarter
    return math.tan(quarter) if arc.positive else -math.tan(quarter)
