"""SVG read as a stranger would: groups, lines and arcs, true size. Own code, nothing of the writer's.

Nothing is fetched and no entity is expanded: lxml is told so, and a file that declares entities is refused.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator

from lxml import etree

from cutfiles.check.codes import Code
from cutfiles.check.drawing import Drawing, Item, Reading, chain, circle, layer_of
from cutfiles.check.path_text import Chain, CurveError, PathTextError, chains_of, number_of
from cutfiles.check.report import Fault
from cutfiles.core.errors import UnreadableError
from cutfiles.core.outline import Contour
from cutfiles.core.tolerance import FILE_MM
from cutfiles.core.units import Unit

_SVG = "http://www.w3.org/2000/svg"
_DRAWN = {"path", "circle", "line", "polyline", "polygon"}
_SILENT = {"title", "desc", "metadata"}  # words for people, never drawn
_Raw = Chain | tuple[float, float, float]  # a chain, or a circle's centre and radius; y down
_SIZE = re.compile(r"\s*([+]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(mm|cm|in)\s*")


def read_svg(content: bytes) -> Reading:
    """Return the drawing of an SVG.

    Raises:
        UnreadableError: it is no well-formed SVG, or one that declares entities.
    """
    if re.search(rb"<!ENTITY", content):
        raise UnreadableError("declares entities, which machine files never need; not read")
    reader = _Reader()
    try:
        steps = etree.iterparse(
            io.BytesIO(content),
            events=("start", "end"),
            resolve_entities=False,
            no_network=True,
            huge_tree=False,
            load_dtd=False,
            remove_comments=True,
            remove_pis=True,
        )
        for event, element in steps:
            if event == "start":
                reader.enter(element)
            else:
                reader.leave(element)
                element.clear()
    except (etree.XMLSyntaxError, LookupError, ValueError) as error:
        # lxml's message holds line and column.
        raise UnreadableError(f"is no well-formed SVG ({_one_line(error)})") from None
    return reader.result()


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())[:200]


class _Reader:
    """Keeps what is known on the way down the tree."""

    def __init__(self) -> None:
        self._depth = 0
        self._group = ""  # id of the outermost group we are in
        self._skip_from: int | None = None  # depth of an element whose inside is not read
        self._counts: Counter[str] = Counter()
        self._faults: list[Fault] = []
        self._found: list[tuple[str, str | None, str, _Raw]] = []
        self._size: tuple[float | None, float | None] = (None, None)
        self._corner = (0.0, 0.0)

    def enter(self, element: etree._Element) -> None:
        self._depth += 1
        if self._skip_from is not None:
            return
        space, name = _name(element)
        if self._depth == 1:
            if name != "svg":
                raise UnreadableError(f"its root is <{name[:40]}>, not <svg>")
            self._root(element)
        elif space not in ("", _SVG) or name in _SILENT:
            self._skip_from = self._depth
        elif name == "g":
            if self._depth == 2:
                self._group = element.get("id") or ""
                self._counts.clear()
            self._attributes(element, f"group {self._group or '(no id)'}")
        elif name in _DRAWN:
            self._counts[name] += 1
            self._shape(element, name)
        else:
            code = Code.STYLE_SHEET if name == "style" else Code.UNKNOWN_ELEMENT
            words = "a style sheet" if name == "style" else f"<{name[:40]}> is not drawn with lines and arcs"
            self._faults.append(Fault(code, self._group, words))
            self._skip_from = self._depth

    def leave(self, element: etree._Element) -> None:
        if self._skip_from == self._depth:
            self._skip_from = None
        if self._depth == 2 and _name(element)[1] == "g":
            self._group = ""
        self._depth -= 1

    def result(self) -> Reading:
        height = self._size[1]
        items = tuple(
            Item(layer_of(group), group, path, piece_id, place)
            for group, piece_id, place, path in self._upright(height)
        )
        return Reading(Drawing(*self._size, items, has_ids=True), tuple(self._faults), ())

    def _upright(self, height: float | None) -> Iterator[tuple[str, str | None, str, Contour]]:
        """Turn the y axis up: once the size is known, at the very end."""
        left, top = self._corner
        floor = top + (height or 0.0)
        for group, piece_id, place, raw in self._found:
            upright = _flipped(raw, left, floor)
            if isinstance(upright, Fault):
                self._faults.append(Fault(upright.code, place, upright.says))
            else:
                yield group, piece_id, place, upright

    def _root(self, element: etree._Element) -> None:
        self._attributes(element, "svg")
        width, height = _length_mm(element.get("width")), _length_mm(element.get("height"))
        words = f"width {_shown(element.get('width'))}, height {_shown(element.get('height'))}"
        try:
            box = [number_of(part) for part in re.split(r"[\s,]+", (element.get("viewBox") or "").strip())]
        except PathTextError:
            box = []
        if len(box) == 4 and box[2] > 0 and box[3] > 0:
            self._corner, self._size = (box[0], box[1]), (box[2], box[3])
        else:
            self._size = (width, height)
            box = []
        same = (
            width is not None
            and height is not None
            and bool(box)
            and abs(width - box[2]) <= FILE_MM
            and abs(height - box[3]) <= FILE_MM
        )
        if not same:
            words += f", viewBox {_shown(element.get('viewBox'))}: not one size in mm"
            self._faults.append(Fault(Code.TRUE_SIZE, "svg", words))

    def _attributes(self, element: etree._Element, place: str) -> None:
        if (element.get("transform") or "").strip():
            self._faults.append(Fault(Code.TRANSFORM, place, f"transform {_shown(element.get('transform'))}"))
        if (element.get("style") or "").strip():
            self._faults.append(Fault(Code.STYLE_SHEET, place, f"style {_shown(element.get('style'))}"))

    def _shape(self, element: etree._Element, name: str) -> None:
        piece_id = element.get("id") or None
        place = piece_id or f"{self._group or 'svg'}/{name}[{self._counts[name]}]"
        self._attributes(element, place)
        try:
            self._found += [(self._group, piece_id, place, raw) for raw in _raw(element, name)]
        except PathTextError as error:
            self._faults.append(Fault(Code.NOT_A_NUMBER, place, str(error)))
        except CurveError as error:
            self._faults.append(Fault(Code.UNKNOWN_ELEMENT, place, str(error)))


def _name(element: etree._Element) -> tuple[str, str]:
    tag = element.tag
    if not isinstance(tag, str):
        return "", "?"  # an entity that was left as it is
    space, _, name = tag.rpartition("}")
    return space.lstrip("{"), name


def _shown(text: str | None) -> str:
    return "none" if text is None else repr(text[:60])


def _length_mm(text: str | None) -> float | None:
    match = _SIZE.fullmatch(text or "")
    if match is None:
        return None
    return float(match[1]) * Unit(match[2]).mm


def _raw(element: etree._Element, name: str) -> list[_Raw]:
    """The chains of one element, y still down."""
    if name == "circle":
        x, y, radius = (number_of(element.get(key) or "0") for key in ("cx", "cy", "r"))
        return [(x, y, radius)]
    if name == "line":
        ends = [number_of(element.get(key) or "0") for key in ("x1", "y1", "x2", "y2")]
        return [Chain([(ends[0], ends[1], 0.0), (ends[2], ends[3], 0.0)])]
    if name == "path":
        chains = chains_of(element.get("d") or "")
        # "M 1 1 M 2 2 L 3 3": a moveto alone moves the pen and draws nothing.
        return [*(one for one in chains if len(one.corners) > 1)] or [Chain()]
    numbers = [number_of(part) for part in re.split(r"[\s,]+", (element.get("points") or "").strip()) if part]
    if len(numbers) % 2:
        raise PathTextError(f"{len(numbers)} numbers in points: one is missing")
    corners = [(x, y, 0.0) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
    return [Chain(corners, closed=name == "polygon")]


def _flipped(raw: _Raw, left: float, floor: float) -> Contour | Fault:
    if not isinstance(raw, Chain):
        return circle(raw[0] - left, floor - raw[1], raw[2])
    # Mirrored, what ran clockwise runs counter-clockwise.
    return chain([(x - left, floor - y, -bulge) for x, y, bulge in raw.corners], closed=raw.closed)
