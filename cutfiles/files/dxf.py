"""DXF 2000 (AC1015) in mm: layers DRAW, REGISTER, CUT; lines, arcs, circles and closed polylines only.

Source: Autodesk, DXF reference (AutoCAD 2000 group codes): $INSUNITS 4 is mm; a bulge is the tangent of
a quarter of an arc's included angle.
"""

from __future__ import annotations

import io
from typing import Any

import ezdxf
from ezdxf.document import Drawing

from cutfiles.core.outline import Circle, Path, arc_of
from cutfiles.files.numbers import DECIMALS, rounded
from cutfiles.passes.plan import LoadPlan, Stroke, Tool

# AutoCAD colour index: the hues nearest to those of the SVG that every reader knows.
_COLOURS = {Tool.DRAW: 5, Tool.REGISTER: 3, Tool.CUT: 6}
_MILLIMETRES = 4
_METRIC = 1


def write_dxf(plan: LoadPlan) -> bytes:
    """Return one load as DXF 2000. The same plan gives the same bytes."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    # Without it every file differs by its dates and GUIDs.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2000")
        _set_header(document, plan)
        for tool in Tool:
            document.layers.add(_layer(tool), color=_COLOURS[tool])
        space = document.modelspace()
        for stroke in plan.strokes:
            _add(space, stroke)
        text = io.StringIO()
        document.write(text)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
    return text.getvalue().encode(document.output_encoding)


def _set_header(document: Drawing, plan: LoadPlan) -> None:
    width, height = _mm(plan.width_mm), _mm(plan.height_mm)
    document.header["$INSUNITS"] = _MILLIMETRES
    document.header["$MEASUREMENT"] = _METRIC
    # On writing, ezdxf sets the header's limits and extents to those of the modelspace; but to extents
    # that begin at zero it doesn't, so the header needs them as well.
    space = document.modelspace()
    space.reset_limits((0.0, 0.0), (width, height))
    space.reset_extents((0.0, 0.0, 0.0), (width, height, 0.0))
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (0.0, 0.0, 0.0), (width, height, 0.0)


def _layer(tool: Tool) -> str:
    return tool.value.upper()


def _mm(value: float) -> float:
    return rounded(value, DECIMALS)


def _add(space: Any, stroke: Stroke) -> None:
    layer = {"layer": _layer(stroke.tool)}
    path = stroke.path
    if isinstance(path, Circle):
        space.add_circle((_mm(path.x), _mm(path.y)), _mm(path.radius), dxfattribs=layer)
    elif path.closed:
        points = [(_mm(vertex.x), _mm(vertex.y), rounded(vertex.bulge, 9)) for vertex in path.vertices]
        space.add_lwpolyline(points, format="xyb", close=True, dxfattribs=layer)
    else:
        _add_edges(space, path, layer)


def _add_edges(space: Any, path: Path, layer: dict[str, str]) -> None:
    """An open chain as its lines and arcs: not every machine takes an open polyline."""
    for start, end in path.edges():
        if not start.bulge:
            space.add_line((_mm(start.x), _mm(start.y)), (_mm(end[0]), _mm(end[1])), dxfattribs=layer)
            continue
        arc = arc_of(start, end)
        # An ARC always runs counter-clockwise.
        first = arc.start_deg if arc.sweep_deg > 0 else arc.start_deg + arc.sweep_deg
        last = first + abs(arc.sweep_deg)
        space.add_arc(
            (_mm(arc.centre[0]), _mm(arc.centre[1])),
            _mm(arc.radius),
            rounded(first % 360.0, 9),
            rounded(last % 360.0, 9),
            dxfattribs=layer,
        )
