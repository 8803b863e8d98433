"""Strokes as the text of DXF entities: LINE, ARC, CIRCLE and closed polylines with bulges, nothing else.

Source: Autodesk, DXF reference, ENTITIES section: group codes of each entity; a bulge is the tangent of a
quarter of an arc's included angle, positive counter-clockwise; an ARC always runs counter-clockwise.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from cutfiles.formats.model.numbers import DECIMALS, rounded
from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex, arc_of, bends

_FINE = 9  # decimals of a bulge or an angle: over a long arc the sixth still moves it


def real(value: float, places: int = DECIMALS) -> str:
    """Return a number as DXF has it: plain, always with a point.

    Raises:
        GeometryError: NaN or infinite.

    >>> real(25.4), real(-0.00001), real(3), real(2e-9, 9)
    ('25.4', '0.0', '3.0', '0.000000002')
    """
    value = rounded(value, places)
    text = repr(value)
    return f"{value:.{places}f}" if "e" in text else text


@dataclass(slots=True)
class Entities:
    """Collects entities, each with a handle of its own.

    Args:
        owner: handle of the block record that they belong to; empty for R12, which knows neither owners
            nor subclass markers, and draws polylines vertex by vertex.
        next_handle: the first that nothing has.
    """

    owner: str
    next_handle: int
    parts: list[str] = field(default_factory=list)

    def written(self) -> str:
        """Return all entities, in order."""
        return "".join(self.parts)

    def add(self, layer: str, path: Contour) -> None:
        """Add a stroke; an open chain as its lines and arcs: not every machine takes an open polyline."""
        if isinstance(path, Circle):
            self.circle(layer, path)
        elif path.closed:
            self.outline(layer, path)
        else:
            self._chain(layer, path)

    def _chain(self, layer: str, path: Path) -> None:
        # Most of a file is lettering, whose corners end one LINE and begin the next: each is written once.
        texts = [(real(x), real(y)) for x, y, _ in path.vertices]
        for (start, end), (x, y), (end_x, end_y) in zip(path.edges(), texts, texts[1:], strict=False):
            if bends(start, end):
                self.arc(layer, start, end)
                continue
            opening = self._opening("LINE", layer, "AcDbLine")
            self.parts.append(
                f"{opening} 10\n{x}\n 20\n{y}\n 30\n0.0\n 11\n{end_x}\n 21\n{end_y}\n 31\n0.0\n"
            )

    def circle(self, layer: str, circle: Circle) -> None:
        """Add a CIRCLE."""
        opening = self._opening("CIRCLE", layer, "AcDbCircle")
        self.parts.append(f"{opening}{_round(circle.x, circle.y, circle.radius)}")

    def arc(self, layer: str, start: Vertex, end: Point) -> None:
        """Add an ARC."""
        arc = arc_of(start, end)
        first = arc.start_deg if arc.sweep_deg > 0 else arc.start_deg + arc.sweep_deg
        last = first + abs(arc.sweep_deg)
        opening, marker = self._opening("ARC", layer, "AcDbCircle"), "100\nAcDbArc\n" if self.owner else ""
        self.parts.append(
            f"{opening}{_round(*arc.centre, arc.radius)}{marker}"
            f" 50\n{real(first % 360.0, _FINE)}\n 51\n{real(last % 360.0, _FINE)}\n"
        )

    def outline(self, layer: str, path: Path) -> None:
        """Add a closed polyline."""
        if not self.owner:
            self._old_outline(layer, path)
            return
        opening = self._opening("LWPOLYLINE", layer, "AcDbPolyline")
        self.parts.append(f"{opening} 90\n{len(path.vertices)}\n 70\n1\n")
        for x, y, bulge in path.vertices:
            self.parts.append(f" 10\n{real(x)}\n 20\n{real(y)}\n")
            if bulge:
                self.parts.append(f" 42\n{real(bulge, _FINE)}\n")

    def point(self, layer: str, point: Point) -> None:
        """Add a POINT."""
        opening = self._opening("POINT", layer, "AcDbPoint")
        self.parts.append(f"{opening} 10\n{real(point[0])}\n 20\n{real(point[1])}\n 30\n0.0\n")

    def text(self, layer: str, point: Point, height: float, words: str) -> None:
        """Add a TEXT of ASCII words in R12."""
        self.parts.append(
            f"{self._opening('TEXT', layer, '')} 10\n{real(point[0])}\n 20\n{real(point[1])}\n 30\n0.0\n"
            f" 40\n{real(height)}\n  1\n{words}\n"
        )

    def begin_block(self, name: str) -> None:
        """Begin a block definition in R12, its origin the model's."""
        opening = self._opening("BLOCK", "0", "")
        self.parts.append(f"{opening}  2\n{name}\n 70\n0\n 10\n0.0\n 20\n0.0\n 30\n0.0\n  3\n{name}\n  1\n\n")

    def end_block(self) -> None:
        """End a block definition in R12."""
        self.parts.append(self._opening("ENDBLK", "0", ""))

    def insert(self, layer: str, name: str) -> None:
        """Add an INSERT of a block in R12, where it was drawn."""
        opening = self._opening("INSERT", layer, "")
        self.parts.append(f"{opening}  2\n{name}\n 10\n0.0\n 20\n0.0\n 30\n0.0\n")

    def _old_outline(self, layer: str, path: Path) -> None:
        self.parts.append(
            f"{self._opening('POLYLINE', layer, '')} 66\n1\n 10\n0.0\n 20\n0.0\n 30\n0.0\n 70\n1\n"
        )
        for x, y, bulge in path.vertices:
            opening = self._opening("VERTEX", layer, "")
            bent = f" 42\n{real(bulge, _FINE)}\n" if bulge else ""
            self.parts.append(f"{opening} 10\n{real(x)}\n 20\n{real(y)}\n 30\n0.0\n{bent}")
        self.parts.append(self._opening("SEQEND", layer, ""))

    def _opening(self, kind: str, layer: str, marker: str) -> str:
        handle = self.next_handle
        self.next_handle += 1
        if not self.owner:
            return f"  0\n{kind}\n  5\n{handle:X}\n  8\n{layer}\n"
        owner = self.owner
        return f"  0\n{kind}\n  5\n{handle:X}\n330\n{owner}\n100\nAcDbEntity\n  8\n{layer}\n100\n{marker}\n"


def _round(x: float, y: float, radius: float) -> str:
    return f" 10\n{real(x)}\n 20\n{real(y)}\n 30\n0.0\n 40\n{real(radius)}\n"
