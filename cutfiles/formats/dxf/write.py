"""DXF 2000 (AC1015) in mm: a layer a tool; lines, arcs, circles and closed polylines only.

Source: Autodesk, DXF reference (AutoCAD 2000 group codes): $INSUNITS 4 is mm.
"""

from __future__ import annotations

from functools import lru_cache

from ezdxf.colors import DXF_DEFAULT_COLORS, int2rgb

from cutfiles.formats.dxf.write_entities import Entities
from cutfiles.formats.dxf.write_skeleton import DxfLayer, skeleton
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.style import DEFAULT_STYLE, OutputStyle

_BLACK_OR_WHITE = 7  # whichever the reader's paper isn't


def write_dxf(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as DXF 2000. The same plan gives the same bytes."""
    return _written("R2000", plan, style)


def write_dxf_r12(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as DXF R12 (AC1009), which has no variable for the unit: it is mm all the same."""
    return _written("R12", plan, style)


def _written(version: str, plan: LoadPlan, style: OutputStyle) -> bytes:
    """Return one load as DXF of a version: R2000 or R12."""
    names = {tool: style.layer(tool).name for tool in plan.tools}
    colours = _colour_indices(tuple(style.layer(tool).colour for tool in names))
    layers = tuple(DxfLayer(names[tool], colour) for tool, colour in zip(names, colours, strict=True))
    empty = skeleton(version, width_mm=plan.width_mm, height_mm=plan.height_mm, layers=layers)
    entities = Entities(empty.model, empty.free_handle)
    for stroke in plan.strokes:
        entities.add(names[stroke.tool], stroke.path)
    return empty.filled(entities.written(), next_handle=entities.next_handle)


@lru_cache(maxsize=8)
def _colour_indices(colours: tuple[str, ...]) -> tuple[int, ...]:
    """Return an AutoCAD colour index (ACI) for each colour such as `#0072B2`: the nearest not yet taken.

    DXF 2000 and R12 have no other: true colours (group 420) came with DXF 2004.

    Source: Autodesk, DXF reference, revision history.
    """
    taken: list[int] = []
    for colour in colours:
        red, green, blue = (int(colour[place : place + 2], 16) for place in (1, 3, 5))

        def far(index: int, wanted: tuple[int, int, int] = (red, green, blue)) -> tuple[int, int]:
            shown = int2rgb(DXF_DEFAULT_COLORS[index])
            apart = sum((a - b) ** 2 for a, b in zip(wanted, shown, strict=True))
            if index == _BLACK_OR_WHITE:
                apart = min(apart, sum(part**2 for part in wanted))
            return apart, index

        taken.append(min((index for index in range(1, 256) if index not in taken), key=far))
    return tuple(taken)
