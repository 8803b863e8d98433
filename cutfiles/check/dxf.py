"""DXF read as a stranger would: pairs of group code and value, R12 to R2018, ASCII. Own code.

Source: Autodesk, DXF reference: header variables ($INSUNITS 4 is mm), entities LINE, ARC, CIRCLE,
LWPOLYLINE, POLYLINE/VERTEX/SEQEND, and the arbitrary axis algorithm for extrusions (only ±z occurs in
flat drawings).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from cutfiles.check.codes import Code
from cutfiles.check.drawing import Drawing, Item, Reading, chain, circle, layer_of
from cutfiles.check.report import Fault
from cutfiles.core.errors import UnreadableError
from cutfiles.core.outline import Contour

_BINARY = b"AutoCAD Binary DXF"
_MILLIMETRES = 4
_R12 = "AC1009"
# What may stand in a file without being drawn.
_SILENT = {"ATTDEF", "SEQEND", "VIEWPORT"}
_MESH = 8 | 16 | 64  # polylines that aren't flat
_SPLINE_FRAME = 16


class _TiltedError(Exception):
    """An entity isn't flat."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A group code, its value, and the line on which it stands."""

    code: int
    value: str
    line: int


@dataclass(slots=True)
class Entity:
    """One entity: its kind, its pairs, and for an old polyline its vertices."""

    kind: str
    line: int
    pairs: list[Pair] = field(default_factory=list)
    vertices: list[Entity] = field(default_factory=list)

    def text(self, code: int, default: str = "") -> str:
        """Return the first value of a group code."""
        return next((pair.value for pair in self.pairs if pair.code == code), default)

    def number(self, code: int, default: float = 0.0) -> float:
        """Return the first value of a group code as a number; ValueError if it is none."""
        return _number(self.text(code, str(default)))

    def flags(self) -> int:
        """Return group 70, the flags."""
        return _whole(self.text(70, "0"))


def read_dxf(content: bytes) -> Reading:
    """Return the drawing of a DXF.

    Raises:
        UnreadableError: it is binary, or no DXF, or it ends in the middle.
    """
    if content.startswith(_BINARY):
        raise UnreadableError("is a binary DXF; save it as ASCII")
    if b"\0" in content:
        raise UnreadableError("is no ASCII DXF: it holds zero bytes")
    header, entities = _sections(_pairs(content))
    faults, notes = _units(header)
    items = []
    for entity in entities:
        place = f"line {entity.line}"
        layer = entity.text(8, "0")
        try:
            path = _path(entity)
        except ValueError as error:
            path = Fault(Code.NOT_A_NUMBER, "", str(error))
        if isinstance(path, Fault):
            faults.append(Fault(path.code, place, f"{entity.kind[:40]} {path.says}"))
        elif path is not None:
            items.append(Item(layer_of(layer), layer, path, None, place))
    width, height = _mat(header, faults)
    return Reading(Drawing(width, height, tuple(items), has_ids=False), tuple(faults), tuple(notes))


def _pairs(content: bytes) -> Iterator[Pair]:
    lines = content.decode("utf-8", errors="replace").split("\n")
    for index in range(0, len(lines) - 1, 2):
        code = lines[index].strip()
        try:
            number = _whole(code)
        except ValueError:
            raise UnreadableError(
                f"line {index + 1}: {code[:20]!r} stands where a DXF has a group code"
            ) from None
        yield Pair(number, lines[index + 1].strip(), index + 2)


def _sections(pairs: Iterator[Pair]) -> tuple[dict[str, dict[int, str]], list[Entity]]:
    """The header variables (each with its group codes) and the entities of the model."""
    header: dict[str, dict[int, str]] = {}
    entities: list[Entity] = []
    section, variable, naming, ended = "", "", False, False
    for pair in pairs:
        if pair.code == 0 and pair.value in ("SECTION", "ENDSEC", "EOF"):
            naming, section = pair.value == "SECTION", ""
            if pair.value == "EOF":
                ended = True
                break
        elif naming and pair.code == 2:
            section, naming = pair.value, False
        elif section == "HEADER":
            if pair.code == 9:
                variable = pair.value
                header[variable] = {}
            elif variable:
                header[variable].setdefault(pair.code, pair.value)
        elif section == "ENTITIES":
            _collect(entities, pair)
    if not ended:
        raise UnreadableError("is no whole DXF: the end mark (0, EOF) is missing")
    return header, entities


def _collect(entities: list[Entity], pair: Pair) -> None:
    if pair.code == 0:
        entity = Entity(pair.value, pair.line)
        polyline = bool(entities) and entities[-1].kind == "POLYLINE"
        if polyline and pair.value in ("VERTEX", "SEQEND"):
            entities[-1].vertices.append(entity)
            return
        entities.append(entity)
    elif entities:
        last = entities[-1]
        (last.vertices[-1] if last.vertices else last).pairs.append(pair)


def _units(header: dict[str, dict[int, str]]) -> tuple[list[Fault], list[str]]:
    units = header.get("$INSUNITS", {}).get(70)
    version = header.get("$ACADVER", {}).get(1, _R12)
    if units is None and version <= _R12:
        return [], ["R12 has no way to say its unit; it was read as mm"]
    if units is None or units.strip() != str(_MILLIMETRES):
        found = "is missing" if units is None else f"is {units[:20]}"
        return [Fault(Code.TRUE_SIZE, "$INSUNITS", f"{found}, not 4 (mm)")], []
    return [], []


def _mat(header: dict[str, dict[int, str]], faults: list[Fault]) -> tuple[float | None, float | None]:
    """The mat's size as the drawing's limits give it; None where they give none."""
    low, high = header.get("$LIMMIN", {}), header.get("$LIMMAX", {})
    try:
        left, floor = _number(low.get(10, "0")), _number(low.get(20, "0"))
        width, height = _number(high.get(10, "0")) - left, _number(high.get(20, "0")) - floor
    except ValueError as error:
        faults.append(Fault(Code.NOT_A_NUMBER, "$LIMMAX", str(error)))
        return None, None
    # Drawing programs write limits of their own (an A3 sheet, zero); only ours begin at 0 and mean the mat.
    known = left == 0 and floor == 0 and width > 0 and height > 0
    return (width, height) if known else (None, None)


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{text[:40]!r} is no number") from None
    if not math.isfinite(value):
        raise ValueError(f"{text[:40]!r} is no finite number")
    return value


def _whole(text: str) -> int:
    if len(text) > 11:
        raise ValueError(f"{text[:20]!r} is no whole number")
    try:
        return int(text)
    except ValueError:
        raise ValueError(f"{text[:20]!r} is no whole number") from None


def _path(entity: Entity) -> Contour | Fault | None:
    """The line that an entity stands for; None if nothing is drawn."""
    if entity.kind in _SILENT:
        return None
    if entity.text(67, "0") == "1":
        return Fault(Code.UNKNOWN_ELEMENT, "", "lies in paper space, not in the drawing")
    read = _READ.get(entity.kind)
    if read is None:
        return Fault(Code.UNKNOWN_ELEMENT, "", "is neither line, arc, circle nor polyline")
    try:
        return read(entity)
    except _TiltedError:
        return Fault(Code.UNKNOWN_ELEMENT, "", "lies in a tilted plane")


def _side(entity: Entity) -> float:
    """+1, or −1 where the entity is seen from behind: its x axis then runs the other way."""
    if entity.number(210) or entity.number(220):
        raise _TiltedError
    return -1.0 if entity.number(230, 1.0) < 0 else 1.0


def _line(entity: Entity) -> Contour | Fault:
    start = (entity.number(10), entity.number(20), 0.0)
    return chain([start, (entity.number(11), entity.number(21), 0.0)], closed=False)


def _circle(entity: Entity) -> Contour | Fault:
    return circle(_side(entity) * entity.number(10), entity.number(20), entity.number(40))


def _arc(entity: Entity) -> Contour | Fault:
    side, x, y, radius = _side(entity), entity.number(10), entity.number(20), entity.number(40)
    first, last = entity.number(50), entity.number(51)
    sweep = (last - first) % 360.0
    if sweep == 0:
        return circle(side * x, y, radius)
    if not radius > 0:
        return Fault(Code.ZERO_LENGTH, "", f"has radius {radius:g} mm")

    def at(angle_deg: float, bulge: float) -> tuple[float, float, float]:
        angle = math.radians(angle_deg)
        return (side * (x + radius * math.cos(angle)), y + radius * math.sin(angle), side * bulge)

    bulge = math.tan(math.radians(sweep) / 4)
    return chain([at(first, bulge), at(first + sweep, 0.0)], closed=False)


def _lwpolyline(entity: Entity) -> Contour | Fault:
    side = _side(entity)
    corners: list[tuple[float, float, float]] = []
    for pair in entity.pairs:
        if pair.code == 10:
            corners.append((side * _number(pair.value), 0.0, 0.0))
        elif pair.code == 20 and corners:
            corners[-1] = (corners[-1][0], _number(pair.value), corners[-1][2])
        elif pair.code == 42 and corners:
            corners[-1] = (*corners[-1][:2], side * _number(pair.value))
    return chain(corners, closed=bool(entity.flags() & 1))


def _polyline(entity: Entity) -> Contour | Fault:
    flags = entity.flags()
    if flags & _MESH:
        return Fault(Code.UNKNOWN_ELEMENT, "", "is a polyline in space or a mesh, not flat")
    if not any(vertex.kind == "SEQEND" for vertex in entity.vertices):
        return Fault(Code.UNKNOWN_ELEMENT, "", "has no SEQEND after its vertices")
    side = _side(entity)
    corners = [
        (side * vertex.number(10), vertex.number(20), side * vertex.number(42))
        for vertex in entity.vertices
        if vertex.kind == "VERTEX" and not vertex.flags() & _SPLINE_FRAME
    ]
    return chain(corners, closed=bool(flags & 1))


_READ = {"LINE": _line, "CIRCLE": _circle, "ARC": _arc, "LWPOLYLINE": _lwpolyline, "POLYLINE": _polyline}
