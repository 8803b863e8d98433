"""Where each piece of fabric is laid: its outline, to be drawn on the bare mat or on paper."""

from __future__ import annotations

from cutfiles.formats.model.plan import Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import ring
from cutfiles.nest.base.layout import Load, PlacedFabric


def placing(load: Load) -> tuple[Stroke, ...]:
    """Return the strokes, a closed outline for every piece of fabric, in the order of the load."""
    return tuple(Stroke(Tool.PLACE, ring(*_corners(laid)), "") for laid in load.fabrics)


def _corners(laid: PlacedFabric) -> tuple[tuple[float, float], ...]:
    if laid.outline:
        return laid.outline
    right, high = laid.x_mm + laid.across_mm, laid.y_mm + laid.up_mm
    return ((laid.x_mm, laid.y_mm), (right, laid.y_mm), (right, high), (laid.x_mm, high))
