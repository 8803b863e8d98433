"""SVG path text as chains of lines and arcs, still in the SVG's own frame (y down).

Source: W3C, SVG 1.1 (Second Edition), chapter 8.3 (path data) and appendix F.6 (elliptical arcs).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

from cutfiles.core.tolerance import SAME_POINT_MM

# One token: a command letter or a number. No two branches share a start, so it never backtracks far.
_TOKEN = re.compile(
    r"[\s,]*(?:(?P<command>[A-Za-z])"
    r"|(?P<number>[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?))"
)
_FLAG = re.compile(r"[\s,]*([01])")
_NUMBERS = {"M": 2, "L": 2, "H": 1, "V": 1, "A": 7, "Z": 0}
_CURVES = "CSQT"


@dataclass(slots=True)
class Chain:
    """A run of the pen: corners with the bulge of the edge that leaves them."""

    corners: list[tuple[float, float, float]] = field(default_factory=list)
    closed: bool = False


class PathTextError(Exception):
    """The text is no path data: the message says why."""


class CurveError(Exception):
    """The path holds a curve that is neither a line nor a circular arc."""


def number_of(text: str) -> float:
    """Return a number as SVG writes it.

    Raises:
        PathTextError: it is no number, or not a finite one.
    """
    match = _TOKEN.fullmatch(text.strip())
    if match is None or match["number"] is None:
        raise PathTextError(f"{text[:40]!r} is no number")
    value = float(match["number"])
    if not math.isfinite(value):
        raise PathTextError(f"{text[:40]!r} is no finite number")
    return value


def chains_of(text: str) -> list[Chain]:
    """Return the chains of a path's `d`.

    Raises:
        PathTextError: the text breaks the grammar.
        CurveError: there is a Bézier curve, or an arc of an ellipse.
    """
    return _PathReader(text).read()


class _PathReader:
    """Walks along the text once, from left to right."""

    def __init__(self, text: str) -> None:
        self._text = text.rstrip()
        self._at = 0
        self._chains: list[Chain] = []
        self._here = (0.0, 0.0)

    def read(self) -> list[Chain]:
        command = ""
        while self._at < len(self._text):
            letter = self._letter()
            if letter is not None:
                command = letter
            elif command.upper() in ("", "Z"):
                raise PathTextError(f"path data goes wrong at {self._rest()!r}")
            self._run(command, first=letter is not None)
            if command in "Mm":
                command = "L" if command == "M" else "l"  # further pairs of a moveto are lines
        return self._chains

    def _rest(self) -> str:
        return self._text[self._at : self._at + 20]

    def _letter(self) -> str | None:
        match = _TOKEN.match(self._text, self._at)
        if match is None:
            raise PathTextError(f"path data goes wrong at {self._rest()!r}")
        letter = match["command"]
        if letter is None:
            return None
        self._at = match.end()
        if letter.upper() in _CURVES:
            raise CurveError(f"a curve ({letter}) in path data, where only M, L, H, V, A and Z are known")
        if letter.upper() not in _NUMBERS or (not self._chains and letter not in "Mm"):
            raise PathTextError(f"path data has {letter!r} where M, L, H, V, A or Z may stand")
        return str(letter)

    def _number(self) -> float:
        match = _TOKEN.match(self._text, self._at)
        if match is None or match["number"] is None:
            raise PathTextError(f"path data goes wrong at {self._rest()!r}")
        self._at = match.end()
        value = float(match["number"])
        if not math.isfinite(value):
            raise PathTextError(f"{match['number'][:40]!r} is no finite number")
        return value

    def _flag(self) -> bool:
        # Flags may be written without a space after them.
        match = _FLAG.match(self._text, self._at)
        if match is None:
            raise PathTextError(f"an arc's flag is neither 0 nor 1 at {self._rest()!r}")
        self._at = match.end()
        return match[1] == "1"

    def _run(self, command: str, *, first: bool) -> None:
        kind, relative = command.upper(), command.islower()
        if kind == "Z":
            chain = self._chains[-1]
            if not chain.closed:
                chain.closed = True
                self._here = chain.corners[0][:2]
            return
        base = self._here if relative else (0.0, 0.0)
        bulge_of = None
        if kind == "A":
            radii = (self._number(), self._number())
            self._number()  # the turn of an ellipse: a circle has none
            bulge_of = (radii, self._flag(), self._flag())
        x = base[0] + self._number() if kind != "V" else self._here[0]
        y = base[1] + self._number() if kind != "H" else self._here[1]
        if kind == "M":
            self._chains.append(Chain([(x, y, 0.0)]))
        else:
            self._line_to((x, y), 0.0 if bulge_of is None else _bulge(self._here, (x, y), *bulge_of))
        self._here = (x, y)

    def _line_to(self, point: tuple[float, float], bulge: float) -> None:
        chain = self._chains[-1]
        if chain.closed:
            # After Z a new chain begins where the last one did.
            chain = Chain([(*self._here, 0.0)])
            self._chains.append(chain)
        chain.corners[-1] = (*chain.corners[-1][:2], bulge)
        chain.corners.append((*point, 0.0))


def _bulge(
    start: tuple[float, float],
    end: tuple[float, float],
    radii: tuple[float, float],
    large: bool,
    positive: bool,
) -> float:
    """The bulge of an arc given by its ends, as F.6.5 and F.6.6 of the standard have it."""
    across, up = abs(radii[0]), abs(radii[1])
    half_chord = math.dist(start, end) / 2
    if across == 0 or up == 0 or half_chord == 0:
        return 0.0
    if abs(across - up) > SAME_POINT_MM:
        raise CurveError(f"an arc of an ellipse ({across:g} by {up:g}), where only circles are known")
    # A radius too small to reach is grown until it does.
    quarter = math.asin(min(1.0, half_chord / across)) / 2
    if large:
        quarter = math.pi / 2 - quarter
    return math.tan(quarter) if positive else -math.tan(quarter)
