"""Blocks of a DXF where they are inserted: moved, turned, mirrored, scaled alike both ways. Own code.

Source: Autodesk, DXF reference: BLOCK (name 2, base point 10/20), INSERT (name 2, point 10/20, scales
41/42, rotation 50, columns and rows 70/71 at 44/45); layer 0 in a block is the layer of the INSERT.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from cutfiles.findings.codes import Code
from cutfiles.findings.limits import DEEPEST_BLOCK, MOST_INSERTED, MOST_ITEMS, TooMuchError, check_count
from cutfiles.findings.report import Fault
from cutfiles.formats.dxf.read_entities import path_of, point_of, side_of
from cutfiles.formats.dxf.read_pairs import Entity
from cutfiles.formats.model.drawing import chain, circle
from cutfiles.geometry.outline import Circle, Contour, Path, Point

_ALIKE = 1e-9  # relative; scales that differ by less are rounding


@dataclass(slots=True)
class BlockDefinition:
    """A named group of entities with its base point."""

    base: complex
    entities: list[Entity] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Place:
    """Takes z to factor·z + at, or factor·conj(z) + at where it mirrors."""

    factor: complex
    at: complex
    mirrors: bool

    def after(self, first: _Place) -> _Place:
        inner = first.factor.conjugate() if self.mirrors else first.factor
        shift = first.at.conjugate() if self.mirrors else first.at
        return _Place(self.factor * inner, self.factor * shift + self.at, self.mirrors != first.mirrors)

    def point(self, x: float, y: float) -> complex:
        return self.factor * complex(x, -y if self.mirrors else y) + self.at


@dataclass(frozen=True, slots=True)
class InsertedEntity:
    """One entity of a block where it was inserted: its layer, its line (or fault), and whose block it is."""

    layer: str
    entity: Entity
    path: Contour | Fault | None
    block: str  # the outermost
    place: _Place | None = None  # where its own block went; None where it couldn't go anywhere

    def point(self) -> Point | Fault:
        """Return where a POINT came to lie, mm, or the fault in it."""
        point = point_of(self.entity)
        if isinstance(point, Fault) or self.place is None:
            return point
        moved = self.place.point(*point)
        return (moved.real, moved.imag)


@dataclass(slots=True)
class Blocks:
    """All blocks of a file, and how much of them was inserted so far."""

    by_name: dict[str, BlockDefinition] = field(default_factory=dict)
    held: int = 0
    inserted: int = 0

    def begin(self, entity: Entity) -> BlockDefinition | Fault:
        """Open a block, to which entities are added."""
        try:
            block = BlockDefinition(complex(entity.number(10), entity.number(20)))
        except ValueError as error:
            return Fault(Code.NOT_A_NUMBER, f"line {entity.line}", f"BLOCK {error}")
        self.by_name[entity.text(2)] = block
        return block

    def hold(self, block: BlockDefinition, entity: Entity) -> None:
        """Add an entity to a block."""
        block.entities.append(entity)
        self.held += 1
        check_count(self.held, MOST_ITEMS, "entities in blocks")

    def expand(self, insert: Entity) -> Iterator[InsertedEntity]:
        """Yield all that an INSERT draws.

        Raises:
            TooMuchError: blocks lie in blocks without end, or are inserted without measure.
        """
        yield from self._expand(insert, insert.text(8, "0"), _Place(1 + 0j, 0j, False), insert.text(2), 0)

    def _expand(
        self, insert: Entity, layer: str, outer: _Place, name: str, depth: int
    ) -> Iterator[InsertedEntity]:
        if depth > DEEPEST_BLOCK:
            raise TooMuchError(f"blocks lie in blocks, more than {DEEPEST_BLOCK} deep")
        block = self.by_name.get(insert.text(2))
        if block is None:
            words = f"inserts the block {insert.text(2)[:40]!r}, which isn't there"
            yield InsertedEntity(layer, insert, Fault(Code.UNKNOWN_ELEMENT, "", words), name)
            return
        places = _places(insert, block.base)
        if isinstance(places, Fault):
            yield InsertedEntity(layer, insert, places, name)
            return
        for inner in places:
            place = outer.after(inner)
            self._count()
            for entity in block.entities:
                self._count()
                own = entity.text(8, "0")
                on = layer if own == "0" else own
                if entity.kind == "INSERT":
                    yield from self._expand(entity, on, place, name, depth + 1)
                else:
                    path = path_of(entity)
                    moved = _moved(path, place) if isinstance(path, (Path, Circle)) else path
                    yield InsertedEntity(on, entity, moved, name, place)

    def _count(self) -> None:
        self.inserted += 1
        if self.inserted > MOST_INSERTED:
            raise TooMuchError(f"blocks insert more than {MOST_INSERTED} lines")


def _places(insert: Entity, base: complex) -> Iterator[_Place] | Fault:
    """Where the block goes, once or in columns and rows."""
    try:
        across, up = insert.number(41, 1.0), insert.number(42, 1.0)
        turn = cmath.rect(1.0, math.radians(insert.number(50)))
        at = complex(insert.number(10), insert.number(20))
        columns, rows = (max(1, int(insert.number(code, 1.0))) for code in (70, 71))
        step, rise = insert.number(44), insert.number(45)
        leans = bool(insert.number(210) or insert.number(220))
        behind = not leans and side_of(insert) < 0
    except ValueError as error:
        return Fault(Code.NOT_A_NUMBER, "", str(error))
    if leans:
        return Fault(Code.UNKNOWN_ELEMENT, "", "lies in a tilted plane")
    if not across or abs(abs(across) - abs(up)) > _ALIKE * abs(across):
        return Fault(Code.UNKNOWN_ELEMENT, "", f"is stretched, {across:g} by {up:g}")
    mirrors = across * up < 0
    # Mirrored in x is mirrored in y and turned by half.
    inner = _Place(turn * across, 0j, mirrors)
    shifted = _Place(1 + 0j, -base, False)
    seen = _Place(-1 + 0j, 0j, True) if behind else _Place(1 + 0j, 0j, False)
    return (
        seen.after(_Place(1 + 0j, at + turn * complex(column * step, row * rise), False))
        .after(inner)
        .after(shifted)
        for row in range(rows)
        for column in range(columns)
    )


def _moved(path: Contour, place: _Place) -> Contour | Fault:
    size = abs(place.factor)
    if isinstance(path, Circle):
        middle = place.point(path.x, path.y)
        return circle(middle.real, middle.imag, path.radius * size)
    sign = -1.0 if place.mirrors else 1.0
    points = [place.point(vertex.x, vertex.y) for vertex in path.vertices]
    corners = [
        (point.real, point.imag, sign * vertex.bulge)
        for point, vertex in zip(points, path.vertices, strict=True)
    ]
    # Looked at once more: what was sound in the block may be anything where it went.
    return chain(corners, closed=path.closed)
