"""DXF 2000 (AC1015) in mm: a layer a tool; lines, arcs, circles and closed polylines only.

Source: Autodesk, DXF reference (AutoCAD 2000 group codes): $INSUNITS 4 is mm.
"""

from __future__ import annotations

from cutfiles.formats.dxf.write_colours import colour_indices
from cutfiles.formats.dxf.write_entities import Entities
from cutfiles.formats.dxf.write_skeleton import DxfLayer, skeleton
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.style import DEFAULT_STYLE, OutputStyle
from cutfiles.formats.model.tool import Tool


def write_dxf(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as DXF 2000. The same plan gives the same bytes."""
    return _written("R2000", plan, style)


def write_dxf_r12(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as DXF R12 (AC1009), which has no variable for the unit: it is mm all the same."""
    return _written("R12", plan, style)


def _written(version: str, plan: LoadPlan, style: OutputStyle) -> bytes:
    """Return one load as DXF of a version: R2000 or R12."""
    names = {tool: style.layer(tool).name for tool in Tool}
    colours = colour_indices(tuple(style.layer(tool).colour for tool in Tool))
    layers = tuple(DxfLayer(names[tool], colour) for tool, colour in zip(Tool, colours, strict=True))
    empty = skeleton(version, width_mm=plan.width_mm, height_mm=plan.height_mm, layers=layers)
    entities = Entities(empty.model, empty.free_handle)
    for stroke in plan.strokes:
        entities.add(names[stroke.tool], stroke.path)
    return empty.filled(entities.written(), next_handle=entities.next_handle)
