"""How a DXF shows its entities: layers that are off, colours, line types, widths, heights. Own code.

Source: Autodesk, DXF reference: LAYER (flags 70: 1 frozen, 4 locked; colour 62, below 0 where it is off; line
type 6; 290 is 0 where it isn't plotted); common group codes (6 line type, 39 thickness, 60 invisible, 62 and
420 colour); LWPOLYLINE (90 number of vertices; 38 elevation; 40, 41, 43 widths); POLYLINE (flags 70: 2 curve
fit, 4 spline fit; 75 smooth surface); 210, 220, 230 extrusion.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.dxf.read_pairs import Entity, number_of

_FROZEN, _LOCKED = 1, 4
_BY_BLOCK, _BY_LAYER = 0, 256
_SMOOTH = 2 | 4
_WHOLE_LINES = ("", "BYLAYER", "BYBLOCK", "CONTINUOUS")
_SHOWN = ("LINE", "POINT", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "INSERT")
# Points of a polyline carry no height of their own; elsewhere 30 and 31 are the heights of points.
_HEIGHTS = (30, 31, 38)
_WIDTHS = (40, 41, 43)


@dataclass(frozen=True, slots=True)
class LayerEntry:
    """A layer as the table of layers has it."""

    colour: int
    hidden: str  # why it isn't shown; empty if it is
    line_type: str


@dataclass(slots=True)
class LayerTable:
    """The table of layers, and which layers were looked at."""

    has_table: bool = False
    layers: dict[str, LayerEntry] = field(default_factory=dict)  # by name, in capitals
    _seen: set[str] = field(default_factory=set)

    def table(self, entity: Entity) -> None:
        """Take an entity of the section TABLES; ValueError if it holds a word where a number should be."""
        if entity.kind == "TABLE":
            self.has_table = self.has_table or entity.text(2).upper() == "LAYER"
        elif entity.kind == "LAYER":
            colour, flags = int(entity.number(62, 7)), entity.flags()
            states = (
                (colour < 0, "is off"),
                (flags & _FROZEN, "is frozen"),
                (flags & _LOCKED, "is locked"),
                (entity.text(290, "1") == "0", "is not to be plotted"),
            )
            hidden = next((says for holds, says in states if holds), "")
            line_type = entity.text(6).upper()
            self.layers[entity.text(2).upper()] = LayerEntry(abs(colour), hidden, line_type)

    def layer_faults(self, name: str) -> Iterator[Fault]:
        """Yield what is wrong with a layer that something lies on, the first time that it is asked for."""
        key = name.upper()
        if key in self._seen:
            return
        self._seen.add(key)
        place, layer = f"layer {name[:60]}", self.layers.get(key)
        if layer is None:
            if self.has_table and key != "0":
                yield Fault(Code.MISSING_LAYER, place, "is not in the file's table of layers")
            return
        if layer.hidden:
            yield Fault(Code.HIDDEN, place, f"{layer.hidden}: programs leave out what is on it")
        if layer.line_type not in _WHOLE_LINES:
            yield Fault(Code.DASHED, place, f"its line type is {layer.line_type[:40]}, not whole lines")

    def colour(self, entity: Entity, name: str) -> str:
        """Return the colour of an entity: its own, or that of its layer; empty where none is known."""
        own, true = entity.text(62, str(_BY_LAYER)), entity.text(420)
        if true:
            return f"true colour {true[:20]}"
        if own not in (str(_BY_LAYER), str(_BY_BLOCK)):
            return f"colour {own[:20]}"
        return self.layer_colour(name)

    def layer_colour(self, name: str) -> str:
        """Return the colour of a layer; empty where none is known."""
        layer = self.layers.get(name.upper())
        return "" if layer is None else f"colour {layer.colour}"


def flaws_of(entity: Entity) -> Iterator[Fault]:
    """Yield, without a place, why an entity isn't run or shown by every program as it was measured.

    Raises:
        ValueError: a word stands where a number should.
    """
    if entity.kind not in _SHOWN:
        return
    if entity.number(60):
        yield Fault(Code.HIDDEN, "", "is invisible")
    if entity.kind != "POINT" and entity.text(6).upper() not in _WHOLE_LINES:
        yield Fault(Code.DASHED, "", f"its line type is {entity.text(6)[:40]}, not a whole line")
    flat = _height(entity)
    if flat:
        yield Fault(Code.NOT_FLAT, "", flat)
    if entity.kind in ("LWPOLYLINE", "POLYLINE"):
        yield from _polyline_flaws(entity)


def _height(entity: Entity) -> str:
    """Why an entity isn't flat, if it isn't."""
    if entity.number(39):
        return f"has a thickness of {entity.number(39):g}"
    if entity.number(230, 1.0) < 0:
        return "is seen from behind: a program that passes over its extrusion mirrors it"
    points = (entity, *entity.vertices) if entity.kind == "POLYLINE" else (entity,)
    heights = [height for point in points for height in _numbers(point, _HEIGHTS)]
    highest = max(heights, key=abs, default=0.0)
    return f"lies {highest:g} above the mat" if highest else ""


def _polyline_flaws(entity: Entity) -> Iterator[Fault]:
    vertices = [vertex for vertex in entity.vertices if vertex.kind == "VERTEX"]
    widths = [width for part in (entity, *vertices) for width in _numbers(part, _WIDTHS)]
    if any(widths):
        yield Fault(Code.WIDE_LINE, "", f"is {max(widths, key=abs):g} wide")
    if entity.kind == "LWPOLYLINE":
        said, counted = entity.text(90), entity.codes.count(10)
        if said != str(counted):
            yield Fault(
                Code.VERTEX_COUNT, "", f"says that it has {said[:20] or 'no'} corners, and has {counted}"
            )
    elif entity.flags() & _SMOOTH or entity.number(75):
        yield Fault(Code.SMOOTHED, "", "is to be smoothed by a curve")


def _numbers(entity: Entity, codes: tuple[int, ...]) -> Iterator[float]:
    if entity.kind in ("CIRCLE", "ARC", "INSERT"):
        codes = (30,)  # 40 and 41 are a radius and scales there
    for code, value in zip(entity.codes, entity.values, strict=True):
        if code in codes:
            yield number_of(value)
