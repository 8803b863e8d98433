"""The content stream of a PDF page, interpreted: what is drawn, on which layer, in mm.

Source: ISO 32000-1:2008, 7.8.2 (content streams), 8.3.4 (matrices), 8.5 (paths), 8.11.3.2 (optional content).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import CHORD_MM, PDF_MM, SAME_POINT_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import (
    DEEPEST,
    MOST_PARTS,
    TooMuchError,
    check_corners,
    check_count,
    check_faults,
)
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Layer
from cutfiles.geometry.outline import Arc, Path, Point, Vertex, arc_of
from cutfiles.geometry.points import points_on

Matrix = tuple[float, float, float, float, float, float]
Corner = tuple[float, float, float]  # x, y, bulge of the edge that leaves
_TOKEN = re.compile(
    rb"(?P<number>[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))(?=[\s\[\]/<>()%]|$)|(?P<name>/[^\s\[\]/<>(){}%]*)"
    rb"|(?P<word>[A-Za-z'\"][A-Za-z0-9*'\"]*)|(?P<dull>\((?:[^\\()]|\\.)*\)|<[0-9A-Fa-f\s]*>|<<|>>|[\[\]{}]|%[^\r\n]*)"
    rb"|(?P<other>\S)",
    re.DOTALL,
)
_STROKED = {"S", "s", "B", "B*", "b", "b*"}
_CLOSING = {"s", "b", "b*"}
_FILLED = {"f", "F", "f*"}
_PAINTS_AREA = _FILLED | {"B", "B*", "b", "b*"}
_DEVICES = {"DeviceGray", "DeviceRGB", "DeviceCMYK"}
_INKS = 4  # cyan, magenta, yellow, black
# Widths, colours of areas, words: no line of their own.
_SILENT = {
    "w", "J", "j", "M", "ri", "i", "BT", "ET", "Tc", "Tw", "Tz", "TL", "Tf", "Tr", "Ts",
    "Td", "TD", "Tm", "T*", "Tj", "TJ", "'", '"', "d0", "d1", "cs", "sc", "scn", "g", "rg", "k", "MP", "DP",
    "BX", "EX",
}  # fmt: skip
_SETS = {"d", "gs", "W", "W*", "CS", "SC", "SCN", "G", "RG", "K"}
_PICTURES = {"Do", "sh", "BI", "EI"}
_TAKES = {"m": 2, "l": 2, "c": 6, "v": 4, "y": 4, "re": 4, "cm": 6}


@dataclass(frozen=True, slots=True)
class NamedState:
    """What a page's name for a way to draw says; None where it says nothing."""

    dashed: bool | None
    faint: bool | None


@dataclass(frozen=True, slots=True)
class PageLine:
    """A line that is drawn: its corners, and the name of the layer it is on."""

    layer: str
    corners: tuple[Corner, ...]
    closed: bool
    place: str
    clip: BaseGeometry  # what of the page is shown, mm
    flaw: Fault | None  # why it isn't seen as it was measured; without a place it is the line's own
    fills: int = 0  # how many areas were filled before it


@dataclass(frozen=True, slots=True)
class GraphicsState:
    """How a page is drawn on at a moment.

    Args:
        matrix: from units to mm.
        clip: what of the page is shown, mm.
        dashed: lines are.
        white: lines are.
        knows_white: the numbers of a colour say whether it is white.
        faint: lines are of no opacity.
    """

    matrix: Matrix
    clip: BaseGeometry
    dashed: bool = False
    white: bool = False
    knows_white: bool = True  # numbers of a colour are of light or of the four inks
    faint: bool = False


@dataclass(slots=True)
class _Subpath:
    corners: list[Corner]
    closed: bool = False


@dataclass(slots=True)
class Canvas:
    """Interprets the content stream of one page.

    Args:
        page: its number, for a person.
        state: what a page begins with.
        layers: names of the layers by what the page calls them.
        off: names of layers that aren't shown, with the reason.
        inks: dashes and opacity that the page has names for.
        spaces: names of colour spaces whose numbers are of light or of the four inks.
        words: how many numbers, names and operators the pages before it had.
        corners: how many corners of lines.
    """

    page: int
    state: GraphicsState
    layers: Mapping[str, str]
    off: Mapping[str, str] = field(default_factory=dict)
    inks: Mapping[str, NamedState] = field(default_factory=dict)
    spaces: frozenset[str] = frozenset()
    words: int = 0  # of all pages so far
    corners: int = 0
    chains: list[PageLine] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    fills: list[BaseGeometry] = field(default_factory=list)  # filled areas, mm
    _stack: list[GraphicsState] = field(default_factory=list)
    _marked: list[str | None] = field(default_factory=list)  # the layer that each piece of content begins
    _runs: list[_Subpath] = field(default_factory=list)
    _lines: int = 0
    _clips: bool = False  # the path at hand becomes an edge of what is shown

    def interpret(self, content: bytes) -> None:
        """Draw all that a page's content draws."""
        given: list[float] = []
        names: list[str] = []
        for kind, text in _tokens(content):
            self.words += 1
            check_count(self.words, MOST_PARTS, "words of content")
            if kind == "number":
                given.append(float(text))
            elif kind == "name":
                names.append(text[1:].decode("latin-1"))
            elif kind != "dull":
                self._act(text.decode("latin-1"), given, names)
                given, names = [], []
        if self._stack or self._marked:
            self._say(Code.UNREADABLE, "ends inside what it began: it is cut short")

    def _act(self, word: str, given: list[float], names: list[str]) -> None:
        takes = _TAKES.get(word)
        if takes is not None and (len(given) != takes or not all(map(math.isfinite, given))):
            self._say(Code.NOT_A_NUMBER, f"{word} takes {takes} numbers and is given {len(given)}")
        elif takes is not None:
            self._move(word, given)
        elif word in _STROKED or word in _FILLED or word == "n":
            self._paint(word)
        elif word == "h":
            if self._runs:
                self._runs[-1].closed = True
        elif word in ("q", "Q", "BDC", "BMC", "EMC"):
            self._nest(word, names)
        elif word in _PICTURES:
            if self._layer() != PAGE_LAYER:
                self._say(Code.UNKNOWN_ELEMENT, "draws a form or a picture, which was not measured")
        elif word in _SETS:
            self._set(word, given, names)
        elif word not in _SILENT:
            self._say(Code.NOT_A_NUMBER, f"{word[:20]!r} is no number and no operator")

    def _nest(self, word: str, names: list[str]) -> None:
        if word == "q":
            self._stack.append(self.state)
        elif word == "Q":
            self.state = self._stack.pop() if self._stack else self.state
        elif word == "EMC":
            del self._marked[-1:]
        else:
            is_layer = len(names) == 2 and names[0] == "OC"
            self._marked.append(self.layers.get(names[1], names[1]) if is_layer else None)
        if max(len(self._stack), len(self._marked)) > DEEPEST:
            raise TooMuchError(f"layers or matrices lie in each other, more than {DEEPEST} deep")

    def _set(self, word: str, given: list[float], names: list[str]) -> None:
        """What is drawn next is dashed, in another colour, or shown within an edge."""
        if word in ("W", "W*"):
            self._clips = True
        elif word == "d":
            self.state = replace(self.state, dashed=any(given[:-1]))
        elif word == "gs":
            ink = self.inks.get(names[0]) if names else None
            if ink is not None:
                dashed = self.state.dashed if ink.dashed is None else ink.dashed
                faint = self.state.faint if ink.faint is None else ink.faint
                self.state = replace(self.state, dashed=dashed, faint=faint)
        elif word == "CS":
            device = bool(names) and (names[0] in _DEVICES or names[0] in self.spaces)
            self.state = replace(self.state, white=False, knows_white=device)
        elif not names and (self.state.knows_white or word in ("G", "RG", "K")):
            nothing = 0.0 if len(given) == _INKS else 1.0  # ink laid on, or light
            white = bool(given) and all(component == nothing for component in given)
            self.state = replace(self.state, white=white, knows_white=True)

    def _move(self, word: str, given: list[float]) -> None:
        if word == "cm":
            matrix = _product(tuple(given), self.state.matrix)  # type: ignore[arg-type]
            self.state = replace(self.state, matrix=matrix)
            return
        points = [self._at(x, y) for x, y in zip(given[::2], given[1::2], strict=True)]
        self.corners += 1
        check_corners(self.corners)
        if word == "re":
            x, y, width, height = given
            ends = [
                self._at(*end) for end in ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
            ]
            self._runs.append(_Subpath([(*end, 0.0) for end in ends], closed=True))
        elif word == "m":
            self._runs.append(_Subpath([(*points[0], 0.0)]))
        elif not self._runs:
            self._say(Code.NOT_A_NUMBER, f"{word} begins nowhere")
        else:
            self._draw(word, points)

    def _draw(self, word: str, points: list[Point]) -> None:
        run = self._runs[-1]
        if run.closed:  # what follows a closed line begins where that began
            run = _Subpath([(*run.corners[0][:2], 0.0)])
            self._runs.append(run)
        bulge = 0.0
        if word != "l":
            here = run.corners[-1][:2]
            inner = {"c": points[:2], "v": [here, points[0]], "y": points}[word]
            arc_bulge = _bulge_of((here, *inner, points[-1]))
            if arc_bulge is None:
                self._say(Code.UNKNOWN_ELEMENT, "a curve that is no arc was measured as its chord")
            bulge = arc_bulge or 0.0
        run.corners[-1] = (*run.corners[-1][:2], bulge)
        run.corners.append((*points[-1], 0.0))

    def _paint(self, word: str) -> None:
        runs, self._runs = self._runs, []
        layer = self._layer()
        if self._clips:
            self._clips = False
            self.state = replace(self.state, clip=self.state.clip.intersection(_area(runs)))
        if word in _PAINTS_AREA and runs:
            self.fills.append(_area(runs).intersection(self.state.clip))
        if word in _FILLED and layer not in (None, PAGE_LAYER):
            self._say(Code.UNKNOWN_ELEMENT, "a filled area is no line")
        if word not in _STROKED:
            return
        if word in _CLOSING and runs:
            runs[-1].closed = True
        for run in runs:
            if len(run.corners) > 1:
                self._lines += 1
                place = f"page {self.page}, line {self._lines}"
                flaw = self._flaw(layer)
                line = PageLine(
                    layer or "", tuple(run.corners), run.closed, place, self.state.clip, flaw, len(self.fills)
                )
                self.chains.append(line)

    def _flaw(self, layer: str | None) -> Fault | None:
        for name in self._marked:
            if name is not None and name in self.off:
                return Fault(Code.HIDDEN, f"layer {name[:60]}", self.off[name])
        if self.state.white:
            return Fault(Code.HIDDEN, "", "is white on white")
        if self.state.faint:
            return Fault(Code.HIDDEN, "", "its opacity is 0")
        # What is drawn, as seams and folds are, may be dashed; what is cut may not.
        if self.state.dashed and layer not in (Layer.PLACE.value, Layer.DRAW.value, PAGE_LAYER):
            return Fault(Code.DASHED, "", "is dashed")
        return None

    def _layer(self) -> str | None:
        return next((name for name in reversed(self._marked) if name is not None), None)

    def _at(self, x: float, y: float) -> Point:
        a, b, c, d, e, f = self.state.matrix
        return (a * x + c * y + e, b * x + d * y + f)

    def _say(self, code: Code, says: str) -> None:
        self.faults.append(Fault(code, f"page {self.page}, line {self._lines + 1}", says))
        check_faults(len(self.faults))


PAGE_LAYER = "page"  # marks, maps and words about the load


def _area(runs: Sequence[_Subpath]) -> BaseGeometry:
    """What lines enclose together, mm; each is closed by a straight edge if it isn't."""
    rings = [
        points_on(Path(tuple(Vertex(*corner) for corner in run.corners), closed=True), stray_mm=CHORD_MM)
        for run in runs
        if len(run.corners) > 2
    ]
    return shapely.union_all([shapely.make_valid(shapely.Polygon(ring)) for ring in rings])


def _tokens(content: bytes) -> Iterator[tuple[str, bytes]]:
    at = 0
    while (match := _TOKEN.search(content, at)) is not None:
        at = match.end()
        kind = match.lastgroup or "other"
        if kind == "other" and match[0] == b"(":  # a text with brackets in brackets
            at = _text_end(content, at)
            kind = "dull"
        yield kind, match[0]


def _text_end(content: bytes, at: int) -> int:
    depth = 1
    for sign in re.compile(rb"\\.|[()]", re.DOTALL).finditer(content, at):
        depth += {b"(": 1, b")": -1}.get(sign[0], 0)
        if depth == 0:
            return sign.end()
    return len(content)


def _product(first: Matrix, then: Matrix) -> Matrix:
    a, b, c, d, e, f = first
    g, h, i, j, k, m = then
    return (
        a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m
    )  # fmt: skip


def _bulge_of(curve: tuple[Point, ...]) -> float | None:
    """The bulge of the arc that a cubic curve stands for, 0 for a straight one, None if it is neither."""
    start, end = curve[0], curve[-1]
    points = [_on(curve, share / 8) for share in range(1, 8)]
    chord = math.dist(start, end)
    if chord <= SAME_POINT_MM:
        return None if max(math.dist(start, point) for point in points) > PDF_MM else 0.0
    across, up = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    # How far to the right of the chord: an arc that runs counter-clockwise bulges there.
    rights = [(x - start[0]) * up - (y - start[1]) * across for x, y in points]
    if max(map(abs, rights)) <= SAME_POINT_MM:
        return 0.0
    bulge = 2 * rights[3] / chord
    if abs(bulge) * chord < 4 * PDF_MM:  # so flat that its centre is lost
        return bulge if max(abs(right) for right in rights) <= 4 * PDF_MM else None
    arc: Arc = arc_of(Vertex(*start, bulge), end)
    off = max(abs(math.dist(point, arc.centre) - arc.radius) for point in points)
    return bulge if off <= PDF_MM else None


def _on(curve: tuple[Point, ...], share: float) -> Point:
    rest = 1 - share
    weights = (rest**3, 3 * share * rest**2, 3 * share**2 * rest, share**3)
    x, y = (sum(w * p[axis] for w, p in zip(weights, curve, strict=True)) for axis in (0, 1))
    return x, y
