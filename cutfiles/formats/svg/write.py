"""SVG 1.1 at true size: width, height and viewBox in mm, groups `place`, `draw`, `register` and `cut`.

Source: W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 2011; coordinates run down, so y is
flipped here and nowhere else. The document and its groups are svgwrite's; a group makes the XML of its
strokes itself, as an object of svgwrite for each of thousands would take twenty times as long.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement

import svgwrite
from svgwrite.base import Title
from svgwrite.container import Group

from cutfiles.formats.model.numbers import DECIMALS, number, rounded
from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.style import DEFAULT_STYLE, OutputStyle
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Circle, Path, Point, Vertex, bends

_TITLES = {
    Tool.PLACE: "draw on the mat or on paper: where fabric is laid",
    Tool.DRAW: "draw with the pen",
    Tool.REGISTER: "register marks",
    Tool.CUT: "cut",
}
# Thinner lines vanish when a renderer makes pixels of them at 96 dpi.
STROKE_MM = 0.2
# Decimals of a radius. An arc's centre follows from its ends and its radius, and near half a circle it
# follows wildly: a radius of four decimals moves it by 0.04 mm.
_RADIUS_PLACES = 9


def write_svg(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as SVG, UTF-8. The same plan gives the same bytes."""
    width, height = number(plan.width_mm), number(plan.height_mm)
    drawing = _Document(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    drawing.elements.remove(drawing.defs)  # nothing may stand outside the groups
    for tool in plan.tools:
        drawing.add(_ToolGroup(plan.strokes_of(tool), plan.height_mm, tool, style.layer(tool).colour))
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().encode()


class _Document(svgwrite.Drawing):  # type: ignore[misc]
    """A document without the prefix for events, which svgwrite declares and no SVG 1.1 DTD knows."""

    def get_xml(self) -> Element:
        xml: Element = super().get_xml()
        del xml.attrib["xmlns:ev"]
        return xml


class _ToolGroup(Group):  # type: ignore[misc]
    """The group of one tool: a title, then its strokes in order."""

    def __init__(self, strokes: Sequence[Stroke], height_mm: float, tool: Tool, colour: str) -> None:
        super().__init__(
            id=tool.value, fill="none", stroke=colour, stroke_width=number(STROKE_MM), debug=False
        )
        self.elements.append(Title(_TITLES[tool]))
        self._strokes = strokes
        self._height_mm = height_mm

    def get_xml(self) -> Element:
        xml: Element = super().get_xml()
        for stroke in self._strokes:
            _add(xml, stroke, self._height_mm)
        return xml


def _add(group: Element, stroke: Stroke, height_mm: float) -> None:
    named = {"id": stroke.name} if stroke.tool is Tool.CUT else {}
    path = stroke.path
    if isinstance(path, Circle):
        x, y = number(path.x), number(height_mm - path.y)
        SubElement(group, "circle", {"cx": x, "cy": y, **named, "r": number(path.radius)})
        return
    is_bulging = any(bulge for _, _, bulge in path.vertices)  # lettering, most of a file, never is
    if is_bulging and any(bends(start, end) for start, end in path.edges()):
        SubElement(group, "path", {"d": _path_text(path, height_mm), **named})
        return
    points = [(number(x), number(height_mm - y)) for x, y, _ in path.vertices]
    if len(points) == 2 and not path.closed:
        (x1, y1), (x2, y2) = points
        SubElement(group, "line", {**named, "x1": x1, "x2": x2, "y1": y1, "y2": y2})
        return
    kind = "polygon" if path.closed else "polyline"
    SubElement(group, kind, {**named, "points": " ".join([f"{x},{y}" for x, y in points])})


def _path_text(path: Path, height_mm: float) -> str:
    first = path.vertices[0]
    words = [f"M{number(first.x)} {number(height_mm - first.y)}"]
    for start, end in path.edges():
        x, y = number(end[0]), number(height_mm - end[1])
        if bends(start, end):
            radius = number(_radius(start, end, height_mm), _RADIUS_PLACES)
            large = int(abs(start.bulge) > 1)
            # Counter-clockwise with y up is SVG's negative direction with y down.
            positive = int(start.bulge < 0)
            words.append(f"A{radius} {radius} 0 {large} {positive} {x} {y}")
        elif not (path.closed and end == (first.x, first.y)):
            words.append(f"L{x} {y}")
    return " ".join(words) + ("Z" if path.closed else "")


def _radius(start: Vertex, end: Point, height_mm: float) -> float:
    """The radius that bends as much between the ends as they are written, rounded, as the arc does."""
    x1, y1 = rounded(start.x, DECIMALS), rounded(height_mm - start.y, DECIMALS)
    x2, y2 = rounded(end[0], DECIMALS), rounded(height_mm - end[1], DECIMALS)
    bulge = abs(start.bulge)
    return math.hypot(x2 - x1, y2 - y1) * (1 + bulge * bulge) / (4 * bulge)
