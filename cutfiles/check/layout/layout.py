"""`layout.json` as values: what the machine files are checked against. Own reader, tolerant of extra keys."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from cutfiles.check.layout.correction import Correction, correction_of
from cutfiles.check.layout.keys import Key, WrongError
from cutfiles.check.layout.shapes import Holes, Shapes, chain_of, shapes_of
from cutfiles.check.layout.tool import KnownTool, tool_of
from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Layer, Names
from cutfiles.geometry.outline import Bounds, Contour
from cutfiles.geometry.pose import Pose, placed

FORMAT = "cutfiles layout"
VERSION = 1
# How pieces lie along a strip: every other wedge turned, all alike, or rectangles.
LIES = END_FOR_END, ONE_WAY, SIDE_BY_SIDE = ("end for end", "one way", "side by side")
# Which side of a fabric is up on the mat.
FACES = WRONG_SIDE_UP, RIGHT_SIDE_UP = ("wrong side up", "right side up")


@dataclass(frozen=True, slots=True)
class KnownPiece:
    """A piece where the layout puts it."""

    piece_id: str
    shape: str
    pose: Pose
    cut: Contour | None  # placed on the mat; None where the layout doesn't give the shape
    key: str  # where it stands in layout.json
    line: Contour | None = None  # what is cut for it in the file: further out by half the kerf
    holes: tuple[Contour, ...] = ()  # what is cut for its holes
    inner: tuple[Contour, ...] = ()  # the holes as they are to come out
    label: str = ""
    plate: int = 0  # of a blade that is sewn into one, from 1
    place: int = 0


@dataclass(frozen=True, slots=True)
class KnownFabric:
    """A rectangle of fabric on the mat."""

    fabric: str
    box: Bounds
    margin_mm: float
    turns_deg: tuple[float, ...] | None  # None: any
    pieces: tuple[KnownPiece, ...]
    key: str
    outline: Contour | None = None  # its edge on the mat, where that isn't the box
    avoid: tuple[Contour, ...] = ()  # what no cut line may enter
    face: str = ""  # which side is up; empty where the layout doesn't say

    def room(self) -> Bounds:
        """Return what may be cut at most: the rectangle less its margin."""
        left, low, right, high = self.box
        margin = self.margin_mm
        return (left + margin, low + margin, right - margin, high - margin)


@dataclass(frozen=True, slots=True)
class KnownLoad:
    """A load of the mat."""

    name: str
    width_mm: float
    height_mm: float
    fabrics: tuple[KnownFabric, ...]
    key: str
    shares: bool = False  # cut lines may lie on each other, and are then cut once

    @property
    def piece_ids(self) -> frozenset[str]:
        """The ids of its pieces."""
        return frozenset(piece.piece_id for fabric in self.fabrics for piece in fabric.pieces)

    def without_tool(self) -> KnownLoad:
        """Return the load with lines that are the pieces' own outlines, each whole."""
        fabrics = tuple(
            replace(
                fabric,
                pieces=tuple(replace(piece, line=piece.cut, holes=piece.inner) for piece in fabric.pieces),
            )
            for fabric in self.fabrics
        )
        return replace(self, fabrics=fabrics, shares=False)


@dataclass(frozen=True, slots=True)
class KnownStrip:
    """A strip that is cut by hand; marks along its upper and lower edge are where cuts meet them."""

    fabric: str
    piece: int
    box: Bounds  # on the fabric piece
    shape: str
    count: int
    lie: str  # one of LIES
    is_lengthwise: bool
    marks: tuple[tuple[float, float], ...]
    key: str

    @property
    def height_mm(self) -> float:
        """Between its long edges."""
        axis = 0 if self.is_lengthwise else 1
        return self.box[axis + 2] - self.box[axis]


@dataclass(frozen=True, slots=True)
class KnownLayout:
    """A whole layout. `gap_mm` and `register` are None where it doesn't say."""

    loads: tuple[KnownLoad, ...]
    shapes: dict[str, Contour]
    margin_mm: float  # of the mat
    gap_mm: float | None
    register: str | None
    sums: dict[str, str] | None  # SHA-256 by file name
    counts: dict[tuple[str, str], int]  # fabric and shape
    by_hand: dict[tuple[str, str], int]
    correction: Correction  # of the machine files
    names: Names  # what the job calls the layers, in capitals
    tool: KnownTool
    lines: dict[str, Contour]  # what is cut for each shape, in its own frame
    holes: dict[str, Holes]  # of each shape that has any
    web_mm: float = 0.0  # least width of what stays between two cuts of one shape
    templates: KnownLayout | None = None  # sheets of stock
    # Of each plate of pieced blades the fabrics of its bands, innermost first, each in the order of sewing.
    bands: tuple[tuple[tuple[str, ...], ...], ...] = ()
    plates: tuple[tuple[str, ...], ...] = ()  # of each the fabrics of its blades, in the order of sewing
    strips: tuple[KnownStrip, ...] = ()
    has_placing: bool = False  # where fabric is laid is on a layer of its own

    def home(self, load: str) -> KnownLayout:
        """Return the layout that has a load: this one, or that of the templates."""
        templates = self.templates
        return self if templates is None or templates.load(load) is None else templates

    def without_tool(self) -> KnownLayout:
        """Return the layout for files that hold pieces as they are to come out."""
        loads = tuple(load.without_tool() for load in self.loads)
        return replace(self, loads=loads, tool=KnownTool(), lines=self.shapes)

    def load(self, name: str) -> KnownLoad | None:
        """Return the load of that name."""
        return next((load for load in self.loads if load.name == name), None)


def read_layout(content: bytes) -> tuple[KnownLayout | None, tuple[Fault, ...]]:
    """Return the layout, or None with the fault that stopped the reading.

    Raises:
        UnreadableError: it is no JSON.
    """
    try:
        whole = json.loads(content)
    except (ValueError, RecursionError) as error:
        words = " ".join(str(error).split())[:200]
        raise UnreadableError(f"is no JSON ({words})") from None
    faults: list[Fault] = []
    try:
        root = Key(whole, "")
        if root.find("format", "").value != FORMAT:
            raise WrongError(Code.BAD_LAYOUT, "format", f'is not "{FORMAT}": the layout is left aside')
        if root.find("version", 0).value != VERSION:
            words = f"is not {VERSION}, the only version known: the layout is left aside"
            raise WrongError(Code.BAD_LAYOUT, "version", words)
        layout = _layout(root)
        templates = root.find("templates", None)
        if templates.value is not None:
            web = templates.find("stock", {}).find("web_mm", 0.0).length()
            sheets = replace(_layout(templates), web_mm=web, names=layout.names)
            layout = replace(layout, templates=sheets)
    except WrongError as error:
        return None, (error.fault,)
    faults += _seal(whole)
    return layout, tuple(faults)


def _seal(whole: dict[str, Any]) -> Iterator[Fault]:
    """The last key is the sum of everything else, written with an indent of one."""
    seal = whole.get("seal")
    if seal is None:
        return
    rest = {key: value for key, value in whole.items() if key != "seal"}
    try:
        text = (json.dumps(rest, indent=1, ensure_ascii=False) + "\n").encode()
    except UnicodeEncodeError:
        text = b""  # half a surrogate pair: never written so
    if seal != hashlib.sha256(text).hexdigest():
        yield Fault(Code.CHANGED_FILE, "seal", "layout.json was changed after it was written")


def _layout(whole: Key) -> KnownLayout:
    known = shapes_of(whole)
    machine, mat = whole.find("machine", {}), whole.find("mat", {})
    gap, register = machine.find("gap_mm", None), machine.find("register", None)
    files, tool = whole.find("files", None), tool_of(machine)
    gap_mm = None if gap.value is None else gap.length()
    shares = tool.spacing_mm(gap_mm) == 0.0
    loads = (_load(entry, known) for entry in whole.find("loads").each())
    return KnownLayout(
        tuple(replace(load, shares=shares) for load in loads),
        known.shapes,
        mat.find("margin_mm", 0.0).length(),
        gap_mm,
        None if register.value is None else register.text(),
        None if files.value is None else _sums(files),
        _tally(
            (entry.find("fabric"), count.find("shape"), count.find("count"))
            for entry in whole.find("fabrics", []).each()
            for count in entry.find("counts", []).each()
        ),
        _tally(
            (entry.find("fabric"), entry.find("shape"), entry.find("count"))
            for entry in whole.find("hand_cuts", []).each()
        ),
        correction_of(machine),
        _names(whole.find("layers", {})),
        tool,
        known.lines,
        known.holes,
        bands=tuple(
            tuple(tuple(name.text() for name in band.each()) for band in plate.find("bands", []).each())
            for plate in whole.find("plates", []).each()
        ),
        plates=tuple(
            tuple(name.text() for name in plate.find("order").each())
            for plate in whole.find("plates", []).each()
        ),
        has_placing=machine.find("place", False).value is True,
        strips=tuple(_strip(entry, known) for entry in whole.find("strips", []).each()),
    )


def _strip(key: Key, known: Shapes) -> KnownStrip:
    x, y = key.find("x_mm").number(), key.find("y_mm").number()
    width, length = key.find("width_mm").size(), key.find("length_mm").size()
    shape, turn, lie = key.find("shape"), key.find("turn_deg"), key.find("lie")
    if shape.text() not in known.shapes:
        raise WrongError(Code.BAD_LAYOUT, shape.path, f"{shape.text()[:40]!r} is not among the shapes")
    if turn.number() not in (0, 90, 270):
        raise WrongError(Code.BAD_LAYOUT, turn.path, f"is {turn.number():g}, none of 0, 90 and 270")
    if lie.text() not in LIES:
        raise WrongError(Code.BAD_LAYOUT, lie.path, f"is none of {', '.join(LIES)}")
    top, bottom = (key.find(edge) for edge in ("top_mm", "bottom_mm"))
    if len(top.each()) != len(bottom.each()):
        raise WrongError(Code.BAD_LAYOUT, bottom.path, f"{len(bottom.each())} marks, {len(top.each())} above")
    return KnownStrip(
        key.find("fabric").text(),
        key.find("piece").count(),
        (x, y, x + width, y + length),
        shape.text(),
        key.find("count").count(),
        lie=lie.text(),
        is_lengthwise=turn.number() != 0,
        marks=tuple(
            (above.number(), below.number()) for above, below in zip(top.each(), bottom.each(), strict=True)
        ),
        key=key.path,
    )


def _names(layers: Key) -> dict[str, Layer]:
    """What the job calls its layers, in capitals."""
    layer_names = ((layer, layers.find(layer.value, {}).find("name", layer.value)) for layer in Layer)
    return {name.text().upper(): layer for layer, name in layer_names}


def _tally(entries: Iterator[tuple[Key, Key, Key]]) -> dict[tuple[str, str], int]:
    counts: dict[tuple[str, str], int] = {}
    for fabric, shape, count in entries:
        key = (fabric.text(), shape.text())
        counts[key] = counts.get(key, 0) + count.count()
    return counts


def _sums(files: Key) -> dict[str, str]:
    sums = {}
    for entry in files.each():
        name = entry.find("name")
        text = name.text()
        # Never look outside the folder, whatever a layout says.
        if not text or text in (".", "..") or any(sign in text for sign in "/\\:\0"):
            raise WrongError(Code.BAD_LAYOUT, name.path, "is no plain file name")
        sums[text] = entry.find("sha256").text()
    return sums


def _load(key: Key, known: Shapes) -> KnownLoad:
    return KnownLoad(
        key.find("name").text(),
        key.find("width_mm").size(),
        key.find("height_mm").size(),
        tuple(_fabric(entry, known) for entry in key.find("fabrics").each()),
        key.path,
    )


def _fabric(key: Key, known: Shapes) -> KnownFabric:
    x, y = key.find("x_mm").number(), key.find("y_mm").number()
    width, length = key.find("width_mm").size(), key.find("length_mm").size()
    turn = key.find("turn_deg", 0)
    if turn.number() not in (0, 90):
        raise WrongError(Code.BAD_LAYOUT, turn.path, f"is {turn.number():g}, neither 0 nor 90")
    if turn.number() == 90:
        width, length = length, width
    turns, outline = key.find("turns_deg", None), key.find("outline", None)
    face = key.find("face", "")
    if face.value not in ("", *FACES):
        raise WrongError(Code.BAD_LAYOUT, face.path, f"is none of {', '.join(FACES)}")
    return KnownFabric(
        key.find("fabric").text(),
        (x, y, x + width, y + length),
        key.find("margin_mm", 0.0).length(),
        None if turns.value is None else tuple(entry.number() % 360.0 for entry in turns.each()),
        tuple(_piece(entry, known) for entry in key.find("pieces").each()),
        key.path,
        None if outline.value is None else chain_of(outline, outline.path),
        tuple(chain_of(entry, entry.path) for entry in key.find("avoid", []).each()),
        face.text(),
    )


def _piece(key: Key, known: Shapes) -> KnownPiece:
    shape = key.find("shape").text()
    mirrored = key.find("mirrored", False)
    if not isinstance(mirrored.value, bool):
        raise WrongError(Code.BAD_LAYOUT, mirrored.path, "is neither true nor false")
    pose = Pose(
        key.find("x_mm").number(), key.find("y_mm").number(), key.find("turn_deg").number(), mirrored.value
    )
    if known.shapes and shape not in known.shapes:
        raise WrongError(Code.BAD_LAYOUT, key.find("shape").path, f"{shape[:40]!r} is not among the shapes")
    cut, line = (
        placed(by_shape[shape], pose) if shape in by_shape else None
        for by_shape in (known.shapes, known.lines)
    )
    holes = known.holes.get(shape, Holes((), ()))
    lines, inner = (tuple(placed(hole, pose) for hole in contours) for contours in (holes.lines, holes.inner))
    return KnownPiece(
        key.find("id").text(),
        shape,
        pose,
        cut,
        key.path,
        line,
        lines,
        inner,
        key.find("label", "").text(),
        key.find("plate", 0).count(),
        key.find("place", 0).count(),
    )


# Six decimals of a degree, twice rounded.
LAYOUT_TURN_DEG = 1e-5


def turn_words(turn_deg: float, fabric: KnownFabric) -> str:
    """Return what is wrong with a turn."""
    allowed = " or ".join(f"{turn:g}" for turn in fabric.turns_deg or ()) or "none"
    return f"is turned by {turn_deg:.4f} degrees, allowed on {fabric.fabric}: {allowed}"
