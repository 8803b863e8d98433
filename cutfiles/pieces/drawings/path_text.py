"""The path data of SVG (W3C SVG 1.1, chapter 8) as strokes, in the file's own units, y down."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

from cutfiles.core.errors import GeometryError
from cutfiles.geometry.outline import Point
from cutfiles.pieces.drawings.strokes import MOST_STROKES, Cubic, Oval, Straight

Drawn = Straight | Oval | Cubic
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_GAP = re.compile(r"[\s,]*")
_NEXT = re.compile(_NUMBER)
_FLAG = re.compile(r"[01]")
_COUNTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}


@dataclass(slots=True)
class Subpath:
    """What one moveto begins."""

    strokes: list[Drawn] = field(default_factory=list)
    closed: bool = False


def numbers_of(text: str, what: str) -> list[float]:
    """Return numbers that stand apart by spaces or commas.

    Raises:
        GeometryError: anything else in between.
    """
    numbers = []
    place = _GAP.match(text, 0).end()  # type: ignore[union-attr]  # matches nothing at all, too
    while place < len(text):
        match = _NEXT.match(text, place)
        if match is None:
            raise GeometryError(f"has {what} that can't be read at {_near(text, place)}; export it anew")
        numbers.append(float(match[0]))
        place = _GAP.match(text, match.end()).end()  # type: ignore[union-attr]
    return numbers


def _near(text: str, place: int) -> str:
    found = text[place : place + 12]
    return f'"{found}"' if found.isprintable() else repr(found)


def subpaths(text: str) -> list[Subpath]:
    """Return the strokes of path data.

    Raises:
        GeometryError: it breaks the grammar, or is of more strokes than an outline has.
    """
    return _PathParser(text).draw()


class _PathParser:
    def __init__(self, text: str) -> None:
        self._text = text
        self._place = 0
        self._at: Point = (0.0, 0.0)
        self._began: Point = (0.0, 0.0)
        self._cubic_handle: Point | None = None  # the second handle of a cubic just drawn
        self._quadratic_handle: Point | None = None
        self._subpaths: list[Subpath] = []
        self._strokes = 0

    def draw(self) -> list[Subpath]:
        self._skip()
        letter = ""
        while self._place < len(self._text):
            found = self._text[self._place]
            if found.upper() in _COUNTS and found.isascii():
                letter = found
                self._place += 1
            elif letter in ("", "Z", "z"):
                raise self._unreadable()
            if not self._subpaths and letter not in ("M", "m"):
                raise self._unreadable()
            self._one(letter, self._arguments(letter.upper()))
            letter = {"M": "L", "m": "l"}.get(letter, letter)  # further pairs of a moveto are linetos
            self._skip()
        return [subpath for subpath in self._subpaths if subpath.strokes]

    def _skip(self) -> None:
        self._place = _GAP.match(self._text, self._place).end()  # type: ignore[union-attr]

    def _unreadable(self) -> GeometryError:
        where = _near(self._text, self._place) if self._place < len(self._text) else "its end"
        return GeometryError(f"has path data that can't be read at {where}; export it anew")

    def _arguments(self, letter: str) -> list[float]:
        numbers = []
        for number in range(_COUNTS[letter]):
            self._skip()
            # The two flags of an arc may stand close to what follows: "a1 1 0 0150 0".
            pattern = _FLAG if letter == "A" and number in (3, 4) else _NEXT
            match = pattern.match(self._text, self._place)
            if match is None:
                raise self._unreadable()
            self._place = match.end()
            numbers.append(float(match[0]))
        return numbers

    def _one(self, letter: str, numbers: list[float]) -> None:
        kind, relative = letter.upper(), letter.islower()
        x, y = self._at if relative else (0.0, 0.0)
        cubic, quadratic = self._cubic_handle, self._quadratic_handle
        self._cubic_handle = self._quadratic_handle = None
        if kind == "M":
            self._at = self._began = (numbers[0] + x, numbers[1] + y)
            self._subpaths.append(Subpath())
        elif kind == "Z":
            if self._at != self._began:
                self._add(Straight(self._at, self._began))
            self._subpaths[-1].closed = True
            self._at = self._began
        elif kind in "HV":
            to = (numbers[0] + x, self._at[1]) if kind == "H" else (self._at[0], numbers[0] + y)
            self._add(Straight(self._at, to))
        elif kind == "A":
            self._arc(numbers, (numbers[5] + x, numbers[6] + y))
        else:
            points = [(numbers[i] + x, numbers[i + 1] + y) for i in range(0, len(numbers), 2)]
            self._curve(kind, points, cubic, quadratic)

    def _curve(self, kind: str, points: list[Point], cubic: Point | None, quadratic: Point | None) -> None:
        start, end = self._at, points[-1]
        if kind == "L":
            self._add(Straight(start, end))
        elif kind in "CS":
            first = points[0] if kind == "C" else _mirrored(cubic, start)
            self._cubic_handle = points[-2]
            self._add(Cubic(start, first, points[-2], end))
        else:
            handle = points[0] if kind == "Q" else _mirrored(quadratic, start)
            self._quadratic_handle = handle
            self._add(Cubic(start, _two_thirds(start, handle), _two_thirds(end, handle), end))

    def _arc(self, numbers: list[float], end: Point) -> None:
        if end != self._at:
            self._add(_arc(self._at, end, numbers), end)

    def _add(self, stroke: Drawn, end: Point | None = None) -> None:
        self._strokes += 1
        if self._strokes > MOST_STROKES:
            raise GeometryError(f"is of more than {MOST_STROKES} lines and curves; simplify it")
        if self._subpaths[-1].closed:
            # Drawn on after a closepath without a moveto: a new subpath from the same start.
            self._subpaths.append(Subpath())
        self._subpaths[-1].strokes.append(stroke)
        if isinstance(stroke, Straight):
            self._at = stroke.end
        elif isinstance(stroke, Cubic):
            self._at = stroke.d
        elif end is not None:
            self._at = end


def _mirrored(handle: Point | None, about: Point) -> Point:
    return about if handle is None else (2 * about[0] - handle[0], 2 * about[1] - handle[1])


def _two_thirds(start: Point, handle: Point) -> Point:
    return (start[0] + 2 / 3 * (handle[0] - start[0]), start[1] + 2 / 3 * (handle[1] - start[1]))


def _arc(start: Point, end: Point, numbers: list[float]) -> Straight | Oval:
    """Source: W3C SVG 1.1, appendix F.6.5 and F.6.6, from two ends to centre and angles."""
    across, up = abs(numbers[0]), abs(numbers[1])
    if across == 0 or up == 0:
        return Straight(start, end)
    turn = math.radians(numbers[2] % 360)
    large, sweep = numbers[3] == 1, numbers[4] == 1
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
