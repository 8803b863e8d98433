"""SVG, read independently of the writer: groups, lines and arcs, at true size.

Nothing is fetched and no entity is expanded: a file that declares entities is refused where it does.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from xml.parsers import expat

from cutfiles.core.errors import UnreadableError
from cutfiles.core.tolerance import FILE_MM
from cutfiles.core.units import Unit
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import (
    DEEPEST,
    MOST_ITEMS,
    MOST_PARTS,
    TooMuchError,
    check_corners,
    check_count,
    check_faults,
)
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import (
    Capabilities,
    Drawing,
    Inks,
    Item,
    Layer,
    Names,
    Reading,
    chain,
    circle,
    layer_of,
)
from cutfiles.formats.model.strokes import StrokeCollector, measurable
from cutfiles.formats.svg.path_data import Chain, CurveError, PathDataError, chains_of, number_of
from cutfiles.formats.svg.read_paint import SHOWN_BY, USUAL_PAINT, Paint
from cutfiles.formats.svg.read_uses import Event, refuse_entity, target_of, used_parts
from cutfiles.geometry.outline import Contour

_CAPABILITIES = Capabilities(has_ids=True)
_SVG = "http://www.w3.org/2000/svg"
_DRAWN = {"path", "circle", "line", "polyline", "polygon"}
# Words for people, and what is drawn only where something refers to it.
_SILENT = {
    "title", "desc", "metadata", "defs", "clipPath", "mask", "marker", "pattern", "linearGradient",
    "radialGradient", "filter",
}  # fmt: skip
_GROUPS = {"g", "a"}
_Raw = Chain | tuple[float, float, float]  # a chain, or a circle's centre and radius; y down
_Attributes = dict[str, str]
_SIZE = re.compile(r"\s*([+]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(mm|cm|in)\s*")
_ENDS = ("x1", "y1", "x2", "y2")
_PLAIN = re.compile(r"[-+.,0-9eE\s]*")  # no word that Python would take for a number


def read_svg(content: bytes, *, layers: Names | None = None) -> Reading:
    """Return the drawing of an SVG, whose groups keep our names whatever a job calls its `layers`.

    Raises:
        UnreadableError: it is no well-formed SVG, or one that declares entities.
        TooMuchError: it holds more than can be measured.
    """
    try:
        reader = _TreeReader(used_parts(content))
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        parser.StartElementHandler = reader.enter
        parser.EndElementHandler = reader.leave
        parser.EntityDeclHandler = refuse_entity
        parser.ProcessingInstructionHandler = reader.instruct
        parser.Parse(content, True)
    except (expat.ExpatError, LookupError, ValueError) as error:
        # The message holds line and column.
        raise UnreadableError(f"is no well-formed SVG ({_one_line(error)})") from None
    return reader.result()


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())[:200]


@dataclass(frozen=True, slots=True)
class _Around:
    """What is known of the groups around an element."""

    group: str = ""  # id of the group that gives its lines their layer, or of the outermost
    layer: Layer | None = None
    paint: Paint = USUAL_PAINT
    depth: int = 0  # of the element that said so last


class _TreeReader:
    """Keeps what is known on the way down the tree."""

    def __init__(self, used: Mapping[str, Sequence[Event]]) -> None:
        self._used = used
        self._depth = 0
        self._parts = 0
        self._around = _Around()
        self._outer: list[_Around] = []  # the state before each element that changed it
        self._skip_from: int | None = None  # depth of an element whose inside is not read
        self._counts: Counter[str] = Counter()
        self._faults: list[Fault] = []
        self._flaws: set[tuple[str, str]] = (
            set()
        )  # reasons why lines aren't shown that were reported, and where
        self._inks = Inks()
        self._plain = 0  # lines shown as the group around says, not counted yet
        self._plain_place = ""
        self._found: list[tuple[str, str | None, str, _Raw, int]] = []
        self._collector = StrokeCollector()
        self._names: dict[int, str] = {}  # of packed strokes
        self._order = 0
        self._size: tuple[float | None, float | None] = (None, None)
        self._corner = (0.0, 0.0)

    def enter(self, tag: str, attributes: _Attributes) -> None:
        self._depth += 1
        self._parts += 1
        check_count(self._parts, MOST_PARTS, "elements")
        space, _, name = tag.rpartition(" ")
        if self._skip_from is not None:
            if name == "style":
                self._say(Fault(Code.STYLE_SHEET, self._around.group, "a style sheet"))
            return
        if self._depth == 1:
            if name != "svg":
                raise UnreadableError(f"its root is <{name[:40]}>, not <svg>")
            self._root(attributes)
        elif space not in ("", _SVG) or name in _SILENT:
            self._skip_from = self._depth
        elif name in _DRAWN:
            self._shape(attributes, name)
        elif name in _GROUPS:
            self._enter_group(attributes, name)
        elif name == "use":
            self._use(attributes)
        else:
            code = Code.STYLE_SHEET if name == "style" else Code.UNKNOWN_ELEMENT
            words = "a style sheet" if name == "style" else f"<{name[:40]}> is not drawn with lines and arcs"
            self._say(Fault(code, self._around.group, words))
            self._skip_from = self._depth

    def instruct(self, target: str, _text: str) -> None:
        """Meet an instruction to programs: some fetch a style sheet."""
        if target == "xml-stylesheet":
            self._say(Fault(Code.STYLE_SHEET, "", "a style sheet in another file"))

    def _enter_group(self, attributes: _Attributes, name: str) -> None:
        if self._depth > DEEPEST:
            raise TooMuchError(f"groups lie in groups, more than {DEEPEST} deep")
        around = self._around
        group, layer = around.group, around.layer
        own = "" if name == "a" else attributes.get("id") or ""
        if layer is None and own and (not group or layer_of(own) is not None):
            group, layer = own, layer_of(own)
            self._counts.clear()
        place = f"group {own or group or '(no id)'}"
        self._attributes(attributes, place)
        self._step_in(_Around(group, layer, self._painted(attributes, place), self._depth))

    def _count_plain(self) -> None:
        if self._plain:
            around = self._around
            self._inks.add(around.layer, around.paint.colour, self._plain_place, self._plain)
            self._plain = 0

    def _step_in(self, around: _Around) -> None:
        self._count_plain()
        self._outer.append(self._around)
        self._around = around

    def _painted(self, attributes: _Attributes, place: str) -> Paint:
        """How lines in an element are shown; told at once where nothing inside can change that."""
        paint = self._around.paint
        if SHOWN_BY.isdisjoint(attributes):
            return paint
        paint = paint.within(attributes, place)
        if paint.flaw is not None and paint.hides_all() and not paint.told:
            self._tell(paint)
            paint = paint.once_reported()
        return paint

    def _tell(self, paint: Paint) -> None:
        flaw = paint.flaw
        if flaw is not None and not paint.told and (flaw.place, flaw.says) not in self._flaws:
            self._flaws.add((flaw.place, flaw.says))
            self._say(flaw)

    def _use(self, attributes: _Attributes) -> None:
        """Draw what is used in the place of what uses it."""
        name = target_of(attributes)
        place = attributes.get("id") or name or "use"
        events = () if name is None else self._used.get(name, ())
        if not events:
            self._say(Fault(Code.UNKNOWN_ELEMENT, place, "uses what isn't there"))
            self._skip_from = self._depth
            return
        if self._depth > DEEPEST:
            raise TooMuchError(f"groups lie in groups, more than {DEEPEST} deep")
        self._attributes(attributes, place)
        moved = [key for key in ("x", "y") if attributes.get(key, "0").strip() not in ("0", "")]
        if moved:
            self._say(Fault(Code.TRANSFORM, place, f"{moved[0]} {_shown(attributes[moved[0]])} moves it"))
        around = replace(self._around, paint=self._painted(attributes, place), depth=self._depth)
        self._step_in(around)
        for event in events:
            if event.attributes is None:
                self.leave(event.tag)
            else:
                self.enter(event.tag, event.attributes)

    def leave(self, _tag: str) -> None:
        if self._skip_from == self._depth:
            self._skip_from = None
        if self._outer and self._around.depth == self._depth:
            self._count_plain()
            self._around = self._outer.pop()
        self._depth -= 1

    def result(self) -> Reading:
        self._count_plain()
        left, top = self._corner
        floor = top + (self._size[1] or 0.0)
        drawn, faults = measurable(self._collector.strokes(self._names.__getitem__, left=left, floor=floor))
        self._faults += faults
        items = tuple(self._upright(left, floor))
        whole = Drawing(*self._size, items, _CAPABILITIES, drawn, self._inks.all())
        return Reading(whole, tuple(self._faults), ())

    def _upright(self, left: float, floor: float) -> Iterator[Item]:
        """Turn the y axis up: once the size is known, at the very end."""
        for group, piece_id, place, raw, order in self._found:
            upright = _flipped(raw, left, floor)
            if isinstance(upright, Fault):
                self._faults.append(Fault(upright.code, place, upright.says))
            else:
                yield Item(layer_of(group), group, upright, piece_id, place, order)

    def _root(self, attributes: _Attributes) -> None:
        self._attributes(attributes, "svg")
        self._around = _Around(paint=self._painted(attributes, "svg"))
        width, height = _length_mm(attributes.get("width")), _length_mm(attributes.get("height"))
        words = f"width {_shown(attributes.get('width'))}, height {_shown(attributes.get('height'))}"
        try:
            box = [number_of(part) for part in re.split(r"[\s,]+", (attributes.get("viewBox") or "").strip())]
        except PathDataError:
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
            words += f", viewBox {_shown(attributes.get('viewBox'))}: not one size in mm"
            self._say(Fault(Code.TRUE_SIZE, "svg", words))

    def _attributes(self, attributes: _Attributes, place: str) -> None:
        if attributes.get("transform", "").strip():
            self._say(Fault(Code.TRANSFORM, place, f"transform {_shown(attributes['transform'])}"))
        style = attributes.get("style", "")
        # A style that hides lines, or the like, is reported as that.
        if style.strip() and USUAL_PAINT.within({"style": style}, place).flaw is None:
            self._say(Fault(Code.STYLE_SHEET, place, f"style {_shown(style)}"))

    def _say(self, fault: Fault) -> None:
        self._faults.append(fault)
        check_faults(len(self._faults))

    def _shape(self, attributes: _Attributes, name: str) -> None:
        self._counts[name] += 1
        self._order += 1
        piece_id = attributes.get("id") or None
        around = self._around
        place = piece_id or f"{around.group or 'svg'}/{name}[{self._counts[name]}]"
        if "transform" in attributes or "style" in attributes:
            self._attributes(attributes, place)
        if SHOWN_BY.isdisjoint(attributes) and around.paint.flaw is None:
            # Nearly all lines are shown as their group says: these are counted once the group ends.
            self._plain += 1
            if self._plain == 1:
                self._plain_place = place
        else:
            paint = self._painted(attributes, place)
            if paint.flaw is not None:
                self._tell(paint)
            else:
                self._inks.add(around.layer, paint.colour, place)
        if around.layer is Layer.DRAW:
            flat = _straight(attributes, name)
            if flat is not None:
                self._collector.add(flat, self._order)
                self._names[self._order] = place
                self._within_limits()
                return
        try:
            for raw in _raw(attributes, name):
                self._found.append((around.group, piece_id, place, raw, self._order))
                self._collector.corners += len(raw.corners) if isinstance(raw, Chain) else 1
        except PathDataError as error:
            self._say(Fault(Code.NOT_A_NUMBER, place, str(error)))
        except CurveError as error:
            self._say(Fault(Code.UNKNOWN_ELEMENT, place, str(error)))
        self._within_limits()

    def _within_limits(self) -> None:
        check_count(len(self._found), MOST_ITEMS, "outlines and curves")
        check_corners(self._collector.corners)


def _straight(attributes: _Attributes, name: str) -> list[float] | None:
    """The corners of a usual stroke, quickly; None for what must be looked at more closely."""
    try:
        if name == "line":
            texts = [attributes[key] for key in _ENDS]
            text = " ".join(texts)
        elif name in ("polyline", "polygon"):
            text = attributes["points"]
            texts = text.replace(",", " ").split()
        else:
            return None
        if _PLAIN.fullmatch(text) is None:
            return None
        flat = [float(word) for word in texts]
    except (KeyError, ValueError):
        return None
    if len(flat) < 4 or len(flat) % 2:
        return None
    return flat + flat[:2] if name == "polygon" else flat


def _shown(text: str | None) -> str:
    return "none" if text is None else repr(text[:60])


def _length_mm(text: str | None) -> float | None:
    match = _SIZE.fullmatch(text or "")
    if match is None:
        return None
    return float(match[1]) * Unit(match[2]).mm


def _raw(element: _Attributes, name: str) -> list[_Raw]:
    """The chains of one element, y still down."""
    if name == "circle":
        x, y, radius = (number_of(element.get(key) or "0") for key in ("cx", "cy", "r"))
        return [(x, y, radius)]
    if name == "line":
        ends = [number_of(element.get(key) or "0") for key in ("x1", "y1", "x2", "y2")]
        return [Chain([(ends[0], ends[1], 0.0), (ends[2], ends[3], 0.0)])]
    if name == "path":
        try:
            chains = chains_of(element.get("d") or "")
        except PathDataError as error:
            raise PathDataError(f"path data goes wrong at {error}") from None
        # "M 1 1 M 2 2 L 3 3": a moveto alone moves the pen and draws nothing.
        return [*(run for run in chains if len(run.corners) > 1)] or [Chain()]
    numbers = [number_of(part) for part in re.split(r"[\s,]+", (element.get("points") or "").strip()) if part]
    if len(numbers) % 2:
        raise PathDataError(f"{len(numbers)} numbers in points: one is missing")
    corners = [(x, y, 0.0) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
    return [Chain(corners, closed=name == "polygon")]


def _flipped(raw: _Raw, left: float, floor: float) -> Contour | Fault:
    if not isinstance(raw, Chain):
        return circle(raw[0] - left, floor - raw[1], raw[2])
    # Mirrored, what ran clockwise runs counter-clockwise.
    return chain([(x - left, floor - y, -bulge) for x, y, bulge in raw.corners], closed=raw.closed)
