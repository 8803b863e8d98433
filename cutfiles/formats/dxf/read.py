"""DXF, read independently of the writer: R12 to R2018, ASCII, with blocks.

Source: Autodesk, DXF reference: sections, header variables ($INSUNITS 4 is mm).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import (
    MOST_ITEMS,
    MOST_PARTS,
    check_corners,
    check_count,
    check_faults,
)
from cutfiles.findings.report import Fault
from cutfiles.formats.dxf.dialect import Dialect, Remark
from cutfiles.formats.dxf.read_appearance import LayerTable, flaws_of
from cutfiles.formats.dxf.read_blocks import BlockDefinition, Blocks, InsertedEntity
from cutfiles.formats.dxf.read_entities import path_of
from cutfiles.formats.dxf.read_lines import PlainLines, lines_in
from cutfiles.formats.dxf.read_pairs import Entity, Stretch, number_of, shown, stretches
from cutfiles.formats.model.drawing import (
    Capabilities,
    Drawing,
    Inks,
    Item,
    Layer,
    Names,
    Notch,
    Reading,
    layer_of,
)
from cutfiles.formats.model.strokes import StrokeCollector, measurable
from cutfiles.geometry.outline import Circle, Contour, Path

_BINARY = b"AutoCAD Binary DXF"
_MILLIMETRES = 4
_R12, _R2007 = "AC1009", "AC1021"  # from the latter on text is UTF-8
_HIGH = re.compile(rb"[\x80-\xff]")
_CAPABILITIES = Capabilities()


def read_dxf(content: bytes, *, layers: Names | None = None, dialects: Sequence[Dialect] = ()) -> Reading:
    """Return the drawing of a DXF.

    Args:
        content: the file.
        layers: what its layers are called, in capitals, if not as ours are.
        dialects: other uses of DXF that its blocks may show it to be in, the first that fits.

    Raises:
        UnreadableError: it is binary, or no DXF, or it ends in the middle.
        TooMuchError: it holds more than can be measured.
    """
    if content.startswith(_BINARY):
        raise UnreadableError("is a binary DXF; save it as ASCII")
    if b"\0" in content:
        raise UnreadableError("is no ASCII DXF: it holds zero bytes")
    reader = _DxfReader(layers or {}, dialects)
    for stretch in stretches(content):
        reader.take(stretch)
    return reader.result(content)


@dataclass(slots=True)
class _DxfReader:
    """Goes along the file once; keeps what is drawn, not what it was read from."""

    names: Names
    dialects: Sequence[Dialect]
    header: dict[str, dict[int, str]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    notches: list[Notch] = field(default_factory=list)
    collector: StrokeCollector = field(default_factory=StrokeCollector)
    blocks: Blocks = field(default_factory=Blocks)
    layer_table: LayerTable = field(default_factory=LayerTable)
    inks: Inks = field(default_factory=Inks)
    section: str = ""
    ended: bool = False
    dialect: Dialect | None = None  # known once the blocks are
    _parts: int = 0
    _block: BlockDefinition | Fault | None = None
    _polyline: Entity | None = None  # an old polyline whose vertices still come
    _inserts: list[Entity] = field(default_factory=list)
    _remarks: list[Remark] = field(default_factory=list)

    def take(self, stretch: Stretch) -> None:
        """Read some entities."""
        lines = lines_in(stretch, self._to_draw())
        starts = lines.starts.tolist()
        after = [*starts[1:], len(stretch.codes)]
        index = 0
        while index < len(starts) and not self.ended:
            run = lines.run_from(index)
            if run > index and self.section == "ENTITIES":
                self._close_polyline()
                self._take_lines(lines, index, run, stretch)
                index = run
                continue
            self._entity(stretch.entity(starts[index], after[index]))
            index += 1

    def _to_draw(self) -> frozenset[bytes]:
        names = [name for name, layer in self.names.items() if layer is Layer.DRAW]
        return frozenset(name.encode() for name in names or [Layer.DRAW.value.upper()])

    def _take_lines(self, lines: PlainLines, first: int, last: int, stretch: Stretch) -> None:
        order = stretch.line + 2 * lines.starts[first:last] + 1
        self.collector.add_lines(lines.ends_of(first, last), order)
        name = shown(stretch.value(int(lines.names[first])))
        self._layer(name)
        self.inks.add(Layer.DRAW, self.layer_table.layer_colour(name), f"line {int(order[0])}", last - first)
        check_corners(self.collector.corners)

    def _entity(self, entity: Entity) -> None:
        self._parts += 1
        check_count(self._parts, MOST_PARTS, "entities")
        if entity.kind in ("VERTEX", "SEQEND") and self._polyline is not None:
            self._polyline.vertices.append(entity)
            self._count(1)
            return
        self._close_polyline()
        if entity.kind in ("SECTION", "ENDSEC", "EOF"):
            self.section = entity.text(2) if entity.kind == "SECTION" else ""
            self.ended = entity.kind == "EOF"
            if self.section == "HEADER":
                self._header(entity)
            elif self.section == "ENTITIES":
                self.dialect = next(
                    (dialect for dialect in self.dialects if dialect.is_spoken(self.blocks)), None
                )
        elif self.section == "TABLES":
            self._table(entity)
        elif entity.kind == "BLOCK" and self.section == "BLOCKS":
            self._block = self.blocks.begin(entity)
            if isinstance(self._block, Fault):
                self._say(self._block)
        elif entity.kind == "ENDBLK":
            self._block = None
        elif entity.kind == "POLYLINE":
            self._polyline = entity
        elif self.section in ("ENTITIES", "BLOCKS"):
            self._keep(entity)

    def _table(self, entity: Entity) -> None:
        try:
            self.layer_table.table(entity)
        except ValueError as error:
            self._say(Fault(Code.NOT_A_NUMBER, f"line {entity.line}", f"{entity.kind[:40]} {error}"))

    def _close_polyline(self) -> None:
        if self._polyline is not None:
            whole, self._polyline = self._polyline, None
            self._keep(whole)

    def _keep(self, entity: Entity) -> None:
        self._count(len(entity.values) // 2)
        if self.section == "BLOCKS":
            if isinstance(self._block, BlockDefinition):
                self.blocks.hold(self._block, entity)
        elif entity.kind == "INSERT":
            # A block may come after what inserts it in files of other programs: looked up at the end.
            self._inserts.append(entity)
        else:
            self._draw(entity, path_of(entity), entity.text(8, "0"), None)

    def _draw(self, entity: Entity, path: Contour | Fault | None, name: str, block: str | None) -> None:
        if self.dialect is not None and block is None and name in self.dialect.remarks:
            self._remarks.append((entity, path))
            return
        if self.dialect is not None and name in self.dialect.repeats:
            return
        layer = self.dialect.layers.get(name) if self.dialect else None
        if layer is None:
            self._add(entity, path, name, layer_of(name, self.names), block)
        elif self.dialect is not None and entity.kind not in self.dialect.words:
            # Lines to draw that belong to no piece are marks for register.
            layer = Layer.REGISTER if block is None and layer is Layer.DRAW else layer
            self._add(entity, path, layer.value, layer, block)

    def _add(
        self, entity: Entity, path: Contour | Fault | None, name: str, layer: Layer | None, block: str | None
    ) -> None:
        place = block or f"line {entity.line}"
        if isinstance(path, (Path, Circle)):
            self._report_flaws(entity, name, layer, place)
        if isinstance(path, Fault):
            self._say(Fault(path.code, place, f"{entity.kind[:40]} {path.says}"))
        elif isinstance(path, Path) and layer is Layer.DRAW and not any(v.bulge for v in path.vertices):
            ring = (*path.vertices, path.vertices[0]) if path.closed else path.vertices
            self.collector.add([number for vertex in ring for number in vertex[:2]], entity.line)
        elif isinstance(path, (Path, Circle)):
            self.items.append(Item(layer, name, path, block, place, entity.line))
            check_count(len(self.items), MOST_ITEMS, "outlines and curves")

    def _report_flaws(self, entity: Entity, name: str, layer: Layer | None, place: str) -> None:
        """What of an entity isn't shown or run by every program as it is measured."""
        self._layer(entity.text(8, "0") if self.dialect else name)
        try:
            for flaw in flaws_of(entity):
                self._say(Fault(flaw.code, place, f"{entity.kind} {flaw.says}"))
        except ValueError as error:
            self._say(Fault(Code.NOT_A_NUMBER, place, str(error)))
        if self.dialect is None and entity.kind != "INSERT":
            self.inks.add(layer, self.layer_table.colour(entity, name), place)

    def _layer(self, name: str) -> None:
        for fault in self.layer_table.layer_faults(name):
            self._say(fault)

    def _say(self, fault: Fault) -> None:
        self.faults.append(fault)
        check_faults(len(self.faults))

    def _count(self, corners: int) -> None:
        self.collector.corners += corners
        check_corners(self.collector.corners)

    def _header(self, section: Entity) -> None:
        variable: dict[int, str] = {}
        for code, value in zip(section.codes, section.values, strict=True):
            if code == 9:
                variable = self.header.setdefault(shown(value), {})
            else:
                variable.setdefault(code, shown(value))

    def result(self, content: bytes) -> Reading:
        """Return the reading; what is wrong with the whole file comes first.

        Raises:
            UnreadableError: the file ended in the middle.
        """
        if not self.ended:
            raise UnreadableError("is no whole DXF: the end mark (0, EOF) is missing")
        self._insert_blocks()
        drawn, faults = measurable(self.collector.strokes(lambda line: f"line {line}"))
        units, notes = _units(self.header)
        width, height = _mat(self.header, units)
        high = None if self._is_unicode() or content.isascii() else _HIGH.search(content)
        if high is not None:
            words = "holds signs beyond ASCII, which before version 2007 every program reads in its own way"
            line = content.count(b"\n", 0, high.start()) + 1
            units.append(Fault(Code.NOT_ASCII, f"line {line}", words))
        kind = self.dialect.kind if self.dialect else _CAPABILITIES
        if self.dialect is not None:
            units += self.dialect.of_remarks(self._remarks)
        # Where layers are numbers with a meaning their colours have none.
        inks = () if self.dialect else self.inks.all()
        whole = Drawing(width, height, tuple(self.items), kind, drawn, inks, tuple(self.notches))
        return Reading(whole, (*units, *self.faults, *faults), tuple(notes))

    def _is_unicode(self) -> bool:
        return self.header.get("$ACADVER", {}).get(1, _R12) >= _R2007

    def _insert_blocks(self) -> None:
        names = self.dialect.piece_names(self.blocks) if self.dialect else {}
        quantities = self.dialect.quantities(self.blocks) if self.dialect else {}
        for insert in self._inserts:
            self._report_flaws(insert, insert.text(8, "0"), None, f"line {insert.line}")
            quantity = quantities.get(insert.text(2), 1)
            if isinstance(quantity, Fault):
                self._say(Fault(quantity.code, insert.text(2)[:200], quantity.says))
                quantity = 1
            first = len(self.items)
            for part in self.blocks.expand(insert):
                piece = names.get(part.block, part.block)[:200]
                if part.entity.kind == "POINT" and self.dialect and part.layer in self.dialect.notches:
                    self._notch(part, piece)
                else:
                    self._draw(part.entity, part.path, part.layer, piece)
            if quantity > 1:
                several = [replace(item, quantity=quantity) for item in self.items[first:]]
                self.items[first:] = several

    def _notch(self, part: InsertedEntity, piece: str) -> None:
        self._report_flaws(part.entity, part.layer, Layer.DRAW, piece)
        point = part.point()
        if isinstance(point, Fault):
            self._say(Fault(point.code, piece, f"POINT {point.says}"))
        else:
            self.notches.append(Notch(*point, piece))


def _units(header: dict[str, dict[int, str]]) -> tuple[list[Fault], list[str]]:
    units = header.get("$INSUNITS", {}).get(70)
    version = header.get("$ACADVER", {}).get(1, _R12)
    if units is None and version <= _R12:
        return [], ["R12 has no way to say its unit; it was read as mm"]
    if units is None or units.strip() != str(_MILLIMETRES):
        problem = "is missing" if units is None else f"is {units[:20]}"
        return [Fault(Code.TRUE_SIZE, "$INSUNITS", f"{problem}, not 4 (mm)")], []
    return [], []


def _mat(header: dict[str, dict[int, str]], faults: list[Fault]) -> tuple[float | None, float | None]:
    """The mat's size as the drawing's limits give it; None where they give none."""
    low, high = header.get("$LIMMIN", {}), header.get("$LIMMAX", {})
    try:
        left, floor = number_of(low.get(10, "0")), number_of(low.get(20, "0"))
        width, height = number_of(high.get(10, "0")) - left, number_of(high.get(20, "0")) - floor
    except ValueError as error:
        faults.append(Fault(Code.NOT_A_NUMBER, "$LIMMAX", str(error)))
        return None, None
    # Drawing programs write limits of their own (an A3 sheet, zero); only ours begin at 0 and mean the mat.
    known = left == 0 and floor == 0 and width > 0 and height > 0
    return (width, height) if known else (None, None)
