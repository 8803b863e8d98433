"""What both pictures are drawn with: paths in mm with y up, and text whose width can be relied on."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.formats.model.numbers import number
from cutfiles.geometry.outline import Circle, Contour, Path, arc_of
from cutfiles.sheet.markup.colours import INK
from cutfiles.sheet.markup.markup import Element, svg

FONT = "Helvetica, Arial, 'DejaVu Sans', sans-serif"
# Share of the font size that a character takes. Meant to be too wide rather than too narrow, as nobody
# knows what font a reader has: DejaVu Sans, the widest of the usual ones, stays below all of these.
_NARROW, _USUAL, _CAPITAL, _WIDE = 0.40, 0.66, 0.82, 1.0
_NARROW_SIGNS = frozenset("fijlt.,:;'|!() /-")
_WIDE_SIGNS = frozenset("mwMW@%—→×")


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle, in the picture's own units, y down."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Return whether the two overlap."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


def text_width(text: str, size: float) -> float:
    """Return a width that the text doesn't pass in any usual font without serifs."""
    return size * sum(_share(sign) for sign in text)


def _share(sign: str) -> float:
    if sign in _NARROW_SIGNS:
        return _NARROW
    if sign in _WIDE_SIGNS or ord(sign) > 0x2FF:
        return _WIDE
    return _CAPITAL if sign.isupper() else _USUAL


def words(text: str, x: float, y: float, *, size: float, anchor: str = "start", **attributes: str) -> Element:
    """Return a line of text; (x, y) is the start, middle or end of its base line."""
    place = {"x": number(x), "y": number(y), "font_size": number(size), "text_anchor": anchor}
    return svg("text", text, **place, **attributes)


def drawn(contour: Contour, **attributes: str) -> Element:
    """Return a path or circle in its own coordinates, y up: for a group that flips y."""
    if isinstance(contour, Circle):
        place = {"cx": number(contour.x), "cy": number(contour.y), "r": number(contour.radius)}
        return svg("circle", **place, **attributes)
    return svg("path", d=path_text(contour), **attributes)


def path_text(path: Path) -> str:
    """Return the path as SVG path commands, true arcs included, y up."""
    first = path.vertices[0]
    commands = [f"M{number(first.x)} {number(first.y)}"]
    for start, (x, y) in path.edges():
        if start.bulge:
            arc = arc_of(start, (x, y))
            large, positive = int(abs(arc.sweep_deg) > 180), int(arc.sweep_deg > 0)
            radius = number(arc.radius)
            commands.append(f"A{radius} {radius} 0 {large} {positive} {number(x)} {number(y)}")
        elif not (path.closed and (x, y) == (first.x, first.y)):  # Z draws the closing edge
            commands.append(f"L{number(x)} {number(y)}")
    return " ".join(commands) + ("Z" if path.closed else "")


def segment(x1: float, y1: float, x2: float, y2: float, **attributes: str) -> Element:
    """Return a straight line."""
    place = {"x1": number(x1), "y1": number(y1), "x2": number(x2), "y2": number(y2)}
    return svg("line", **place, **attributes)


def frame(box: Box, **attributes: str) -> Element:
    """Return a rectangle."""
    place = {"x": number(box.left), "y": number(box.top)}
    place |= {"width": number(box.right - box.left), "height": number(box.bottom - box.top)}
    return svg("rect", **place, **attributes)


def canvas(box: Box, title: str, *content: Element, **attributes: str) -> Element:
    """Return a whole picture of what lies in the box, with a title that is read out."""
    view = (
        f"{number(box.left)} {number(box.top)} {number(box.right - box.left)} {number(box.bottom - box.top)}"
    )
    style = {"viewBox": view, "role": "img", "font_family": FONT, "fill": INK, **attributes}
    return svg("svg", svg("title", title), *content, **style)
