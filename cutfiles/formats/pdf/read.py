"""PDF, read independently of the writer: pages placed where each says that it lies, squares measured.

The structure (objects, compression) is read by pypdf, what is drawn by code of our own. Source: ISO
32000-1:2008, 12.9 (viewports that say how large things are), table 150 (PrintScaling).
"""

from __future__ import annotations

import io
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import shapely

from cutfiles.core.errors import UnreadableError
from cutfiles.core.silence import silent
from cutfiles.core.tolerance import FILE_MM, PDF_MM
from cutfiles.core.units import MM_PER_INCH
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import MOST_ITEMS, MOST_PAGES, check_count
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Capabilities, Drawing, Item, Layer, Names, Reading, chain, layer_of
from cutfiles.formats.model.strokes import StrokeCollector, measurable
from cutfiles.formats.pdf.read_content import PAGE_LAYER, Canvas, GraphicsState, PageLine
from cutfiles.formats.pdf.read_page import inks_of, layers_of, off_layers, page_faults, spaces_of
from cutfiles.formats.pdf.read_sight import LineKey, Sight

if TYPE_CHECKING:
    from pypdf import PageObject, PdfReader

_CAPABILITIES = Capabilities(
    within_mm=PDF_MM, pair_mm=2 * PDF_MM, has_size=False, has_order=False, has_arcs=False,
    for_machine=False,
)  # fmt: skip
_SIDES_MM = (50.0, MM_PER_INCH)
_MM_A_UNIT = MM_PER_INCH / 72
# Of a mm: one line on two pages is one if its corners are the same to this.
_PLACES = 4


def read_pdf(content: bytes, *, layers: Names | None = None) -> Reading:
    """Return the drawing of a PDF; of one whose pages don't say where they lie, that of its first page.

    Its layers keep our names whatever a job calls its `layers`.

    Raises:
        UnreadableError: it is no whole PDF, or needs a password.
        TooMuchError: it holds more than can be measured.
    """
    if content.lstrip()[:5] != b"%PDF-":
        raise UnreadableError("is no PDF: it doesn't begin like one")
    if b"%%EOF" not in content[-1024:]:
        raise UnreadableError("is cut short: a PDF ends with %%EOF")
    # The library logs what it mends; whether a file is whole is reported here.
    try:
        with silent("pypdf"):
            return _reading(content)
    except UnreadableError:
        raise
    except Exception as error:
        # What pypdf raises over a broken file has no common root: KeyError, AttributeError and its own.
        raise UnreadableError(f"is no whole PDF ({type(error).__name__})") from None


def _reading(content: bytes) -> Reading:
    from pypdf import PdfReader  # noqa: PLC0415  (0.2 s that others don't need)

    reader = PdfReader(io.BytesIO(content))
    if reader.is_encrypted:
        raise UnreadableError("needs a password")
    check_count(len(reader.pages), MOST_PAGES, "pages")
    whole, words, corners = _AllPages(), 0, 0
    frames = [_frame(page) for page in reader.pages]
    tiled = any(frame is not None for frame in frames)
    same: dict[tuple[object, bytes], int] = {}
    for number, (page, frame) in enumerate(zip(reader.pages, frames, strict=True), start=1):
        contents = page.get_contents()
        content = b"" if contents is None else contents.get_data()
        first = same.setdefault((frame, content), number)
        if first != number and content.strip():
            whole.faults.append(Fault(Code.PAGE_TWICE, f"page {number}", f"is the same as page {first}"))
        if tiled or number == 1:
            whole.faults += page_faults(page, number)
            state = _begun(page, frame)
            off, inks, spaces = off_layers(reader, page), inks_of(page), spaces_of(page)
            canvas = Canvas(number, state, layers_of(page), off, inks, spaces, words, corners)
            canvas.interpret(content)
            words, corners = canvas.words, canvas.corners
            whole.page(canvas, lies=frame is not None or not tiled)
    if tiled:
        whole.faults += _print_faults(reader, whole.loose)
    elif len(reader.pages) > 1:
        whole.notes.append("its pages don't say where they lie: only the first was read")
    return whole.result()


def _begun(page: PageObject, frame: tuple[float, float] | None) -> GraphicsState:
    """How a page begins to be drawn: in mm from where the drawing's origin lies, within its sheet."""
    unit = float(page.get("/UserUnit", 1.0)) * _MM_A_UNIT
    box = page.mediabox
    left, low, right, high = float(box.left), float(box.bottom), float(box.right), float(box.top)
    x, y = frame or (left, low)
    sheet = shapely.box((left - x) * unit, (low - y) * unit, (right - x) * unit, (high - y) * unit)
    return GraphicsState((unit, 0.0, 0.0, unit, -x * unit, -y * unit), sheet)


def _frame(page: PageObject) -> tuple[float, float] | None:
    """Where on a page the drawing's origin lies, in the page's units; None if it doesn't say."""
    for viewport in page.get("/VP", ()):
        measure: Any = viewport.get_object().get("/Measure")
        if measure is not None and measure.get_object().get("/Subtype") == "/RL":
            x, y = measure.get_object()["/O"]
            return float(x), float(y)
    return None


def _print_faults(reader: PdfReader, loose: Sequence[PageLine]) -> list[Fault]:
    """What would let a print in tiles come out at another size unseen."""
    faults = []
    root: Any = reader.trailer["/Root"]
    preferences = root.get("/ViewerPreferences")
    scaling = None if preferences is None else preferences.get_object().get("/PrintScaling")
    if scaling != "/None":
        words = f"PrintScaling is {str(scaling or 'missing').lstrip('/')[:20]}, not None"
        faults.append(Fault(Code.TRUE_SIZE, "", f"{words}: viewers may scale the print"))
    for side in _SIDES_MM:
        if not any(_is_square(line, side) for line in loose):
            words = f"no square of {side:g} mm to measure the print by"
            faults.append(Fault(Code.TRUE_SIZE, "page 1", words))
    return faults


def _is_square(line: PageLine, side_mm: float) -> bool:
    points = [corner[:2] for corner in line.corners]
    if not line.closed or len(points) != 4 or any(corner[2] for corner in line.corners):
        return False
    off = [abs(math.dist(points[index], points[index - 1]) - side_mm) for index in range(4)]
    off += [abs(math.dist(points[index], points[index + 2]) - side_mm * math.sqrt(2)) for index in (0, 1)]
    return max(off) <= FILE_MM


@dataclass(slots=True)
class _AllPages:
    """All pages put together: a line that runs over several is one."""

    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    loose: list[PageLine] = field(default_factory=list)  # of pages that lie nowhere
    _items: list[Item] = field(default_factory=list)
    _seen: Counter[LineKey] = field(default_factory=Counter)
    _collector: StrokeCollector = field(default_factory=StrokeCollector)
    _places: list[str] = field(default_factory=list)
    _sight: Sight = field(default_factory=Sight)
    _told: set[tuple[str, str]] = field(default_factory=set)

    def page(self, canvas: Canvas, *, lies: bool) -> None:
        """Add what one page shows."""
        self.faults += canvas.faults
        if not lies:
            self.loose += canvas.chains
            return
        here: Counter[LineKey] = Counter()
        for line in canvas.chains:
            if line.layer == PAGE_LAYER:
                continue
            self._tell(line)
            key = _key(line)
            if line.flaw is None:
                self._sight.follow(key, line, canvas.fills)
            here[key] += 1
            # Twice on one page is twice; once on two pages is once.
            if here[key] > self._seen[key]:
                self._seen[key] += 1
                self._add(line)

    def _tell(self, line: PageLine) -> None:
        """What is wrong with how a line is shown; of a layer only once."""
        if line.flaw is None:
            return
        place = line.flaw.place or line.place
        if (place, line.flaw.says) not in self._told:
            self._told.add((place, line.flaw.says))
            self.faults.append(Fault(line.flaw.code, place, line.flaw.says))

    def _add(self, line: PageLine) -> None:
        order = len(self._places)
        self._places.append(line.place)
        layer = layer_of(line.layer)
        if layer is Layer.DRAW and not any(bulge for _, _, bulge in line.corners):
            corners = line.corners + line.corners[:1] if line.closed else line.corners
            self._collector.add([number for corner in corners for number in corner[:2]], order)
            return
        path = chain(line.corners, closed=line.closed)
        if isinstance(path, Fault):
            self.faults.append(Fault(path.code, line.place, path.says))
            return
        self._items.append(Item(layer, line.layer, path, None, line.place, order))
        check_count(len(self._items), MOST_ITEMS, "outlines and curves")

    def result(self) -> Reading:
        drawn, faults = measurable(self._collector.strokes(self._places.__getitem__))
        drawing = Drawing(None, None, tuple(self._items), _CAPABILITIES, drawn)
        return Reading(drawing, (*self.faults, *self._sight.faults(), *faults), tuple(self.notes))


def _key(line: PageLine) -> LineKey:
    corners = ((round(x, _PLACES), round(y, _PLACES), bulge > 0) for x, y, bulge in line.corners)
    return line.layer, line.closed, tuple(corners)
