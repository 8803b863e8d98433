"""SVG 1.1 at true size: width, height and viewBox in mm, groups `draw`, `register` and `cut`.

Source: W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 2011; coordinates run down, so y is
flipped here and nowhere else. The document and its groups are svgwrite's; what stands in them, thousands of
elements of five plain kinds, is text of ours, as an object for each would take twenty times as long.
"""

from __future__ import annotations

import io
import math
from xml.sax.saxutils import quoteattr

import svgwrite
from svgwrite.base import Title

from cutfiles.formats.model.numbers import DECIMALS, number, rounded
from cutfiles.formats.model.plan import LoadPlan, Stroke, Tool
from cutfiles.formats.model.style import DEFAULT_STYLE, OutputStyle
from cutfiles.geometry.outline import Circle, Path, Point, Vertex, bends

_TITLES = {Tool.DRAW: "draw with the pen", Tool.REGISTER: "register marks", Tool.CUT: "cut"}
# Thinner lines vanish when a renderer makes pixels of them at 96 dpi.
STROKE_MM = 0.2
# Decimals of a radius. An arc's centre follows from its ends and its radius, and near half a circle it
# follows wildly: a radius of four decimals moves it by 0.04 mm.
_RADIUS_PLACES = 9
_UNUSED_PREFIX = ' xmlns:ev="http://www.w3.org/2001/xml-events"'
_CLOSED = "</g>"


def write_svg(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as SVG, UTF-8. The same plan gives the same bytes."""
    parts = []
    for tool, opened in zip(Tool, groups := _document(plan, style), strict=False):
        parts.append(opened)
        parts.extend(_element(stroke, plan.height_mm) for stroke in plan.of(tool))
        parts.append(_CLOSED)
    return "".join([*parts, groups[-1]]).encode()


def _document(plan: LoadPlan, style: OutputStyle) -> list[str]:
    """The document with its groups still empty, taken apart where each group ends."""
    width, height = number(plan.width_mm), number(plan.height_mm)
    drawing = svgwrite.Drawing(
        size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False
    )
    drawing.elements.remove(drawing.defs)  # nothing may stand outside the groups
    for tool in Tool:
        group = drawing.g(
            id=tool.value,
            fill="none",
            stroke=style.layer(tool).colour,
            stroke_width=number(STROKE_MM),
            debug=False,
        )
        group.elements.append(Title(_TITLES[tool]))
        drawing.add(group)
    text = io.StringIO()
    drawing.write(text)
    # svgwrite declares a prefix that it never uses here and that no SVG 1.1 DTD knows.
    return text.getvalue().replace(_UNUSED_PREFIX, "", 1).split(_CLOSED)


def _element(stroke: Stroke, height_mm: float) -> str:
    named = f"id={quoteattr(stroke.name)} " if stroke.tool is Tool.CUT else ""
    path = stroke.path
    if isinstance(path, Circle):
        x, y = number(path.x), number(height_mm - path.y)
        return f'<circle cx="{x}" cy="{y}" {named}r="{number(path.radius)}" />'
    if any(bends(start, end) for start, end in path.edges()):
        return f'<path d="{_path_text(path, height_mm)}" {named}/>'
    points = [(number(vertex.x), number(height_mm - vertex.y)) for vertex in path.vertices]
    if len(points) == 2 and not path.closed:
        (x1, y1), (x2, y2) = points
        return f'<line {named}x1="{x1}" x2="{x2}" y1="{y1}" y2="{y2}" />'
    kind = "polygon" if path.closed else "polyline"
    return f'<{kind} {named}points="{" ".join(f"{x},{y}" for x, y in points)}" />'


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
