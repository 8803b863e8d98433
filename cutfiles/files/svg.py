"""SVG 1.1 at true size: width, height and viewBox in mm, groups `draw`, `register` and `cut`.

Source: W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 2011; coordinates run down, so y is
flipped here and nowhere else.
"""

from __future__ import annotations

import io
from typing import Any

import svgwrite
from svgwrite.base import Title

from cutfiles.core.outline import Circle, Path, arc_of
from cutfiles.files.numbers import number
from cutfiles.passes.plan import LoadPlan, Stroke, Tool

# Colours of the Okabe-Ito palette (Wong 2011, doi 10.1038/nmeth.1618), above 3:1 on white.
_COLOURS = {Tool.DRAW: "#0072B2", Tool.REGISTER: "#009E73", Tool.CUT: "#CC79A7"}
_TITLES = {Tool.DRAW: "draw with the pen", Tool.REGISTER: "register marks", Tool.CUT: "cut"}
# Thinner lines vanish when a renderer makes pixels of them at 96 dpi.
STROKE_MM = 0.2
_UNUSED_PREFIX = ' xmlns:ev="http://www.w3.org/2001/xml-events"'


def write_svg(plan: LoadPlan) -> bytes:
    """Return one load as SVG, UTF-8. The same plan gives the same bytes."""
    size = (f"{number(plan.width_mm)}mm", f"{number(plan.height_mm)}mm")
    view = f"0 0 {number(plan.width_mm)} {number(plan.height_mm)}"
    drawing = svgwrite.Drawing(size=size, viewBox=view, debug=False)
    drawing.elements.remove(drawing.defs)  # nothing may stand outside the groups
    for tool in Tool:
        group = drawing.g(
            id=tool.value, fill="none", stroke=_COLOURS[tool], stroke_width=number(STROKE_MM), debug=False
        )
        group.elements.append(Title(_TITLES[tool]))
        for stroke in plan.of(tool):
            group.add(_element(drawing, stroke, plan.height_mm))
        drawing.add(group)
    text = io.StringIO()
    drawing.write(text)
    # svgwrite declares a prefix that it never uses here and that no SVG 1.1 DTD knows.
    return text.getvalue().replace(_UNUSED_PREFIX, "", 1).encode()


def _element(drawing: Any, stroke: Stroke, height_mm: float) -> Any:
    named = {"id": stroke.piece_id} if stroke.tool is Tool.CUT else {}
    path = stroke.path
    if isinstance(path, Circle):
        element = drawing.circle(debug=False, **named)
        element["cx"], element["cy"] = number(path.x), number(height_mm - path.y)
        element["r"] = number(path.radius)
        return element
    if any(vertex.bulge for vertex in path.vertices):
        return drawing.path(d=_path_text(path, height_mm), debug=False, **named)
    if len(path.vertices) == 2 and not path.closed:
        element = drawing.line(debug=False, **named)
        for vertex, end in zip(path.vertices, "12", strict=True):
            element[f"x{end}"], element[f"y{end}"] = number(vertex.x), number(height_mm - vertex.y)
        return element
    points = [(number(vertex.x), number(height_mm - vertex.y)) for vertex in path.vertices]
    make = drawing.polygon if path.closed else drawing.polyline
    return make(points=points, debug=False, **named)


def _path_text(path: Path, height_mm: float) -> str:
    first = path.vertices[0]
    words = [f"M{number(first.x)} {number(height_mm - first.y)}"]
    for start, end in path.edges():
        x, y = number(end[0]), number(height_mm - end[1])
        if start.bulge:
            arc = arc_of(start, end)
            radius = number(arc.radius)
            large = int(abs(arc.sweep_deg) > 180)
            # Counter-clockwise with y up is SVG's negative direction with y down.
            positive = int(arc.sweep_deg < 0)
            words.append(f"A{radius} {radius} 0 {large} {positive} {x} {y}")
        elif not (path.closed and end == (first.x, first.y)):
            words.append(f"L{x} {y}")
    return " ".join(words) + ("Z" if path.closed else "")
