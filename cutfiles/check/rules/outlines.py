"""Each outline by itself: closed, not crossing itself, and without needless points."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from cutfiles.check.context.context import Context, Role
from cutfiles.check.shapes.contours import as_line
from cutfiles.check.shapes.needless import needless, needless_points
from cutfiles.check.tool.lines import joined_in_order
from cutfiles.core.tolerance import CHORD_MM, FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.geometry.outline import Circle, Contour, area, bounds, length

_AREALESS_MM2 = 1e-6


def broken_outlines(context: Context) -> tuple[Fault, ...]:
    """Return lines that don't close, have no length, or are too tangled to be measured."""
    return context.outlines.faults


def self_crossing(context: Context) -> Iterator[Fault]:
    """Yield a fault for each outline that meets itself; loops of the format's rounding aren't meant."""
    return crossing_themselves(context.outlines.items, loop_mm=context.kind.pair_mm)


def crossing_themselves(outlines: Sequence[Item], *, loop_mm: float = 0.0) -> Iterator[Fault]:
    """Yield a fault for each outline that meets itself.

    Args:
        outlines: what is cut.
        loop_mm: how large a loop may be that the format's rounding makes at a corner.
    """
    for item in outlines:
        if isinstance(item.path, Circle):
            continue
        line = as_line(item.path, stray_mm=CHORD_MM)
        if abs(area(item.path)) < _AREALESS_MM2 or not (line.is_simple or _mere_loops(line, loop_mm)):
            yield Fault(Code.SELF_CROSSING, item.place, f"meets itself{_about(item.path)}")


def _mere_loops(line: shapely.LineString, loop_mm: float) -> bool:
    """Whether a line meets itself only where it strays by no more than a loop may be large."""
    return loop_mm > FILE_MM and bool(line.simplify(loop_mm, preserve_topology=False).is_simple)


def _about(path: Contour) -> str:
    left, low, right, high = bounds(path)
    return f" (it lies about {(left + right) / 2:.2f}, {(low + high) / 2:.2f} mm, {length(path):.1f} mm long)"


def broken_curves(context: Context) -> Iterator[Fault]:
    """Yield a fault for each piece that has needless points, unless its shape has as many."""
    has_arcs = context.kind.has_arcs
    if context.tool.swivel_mm and context.known is not None:
        # The outlines were walked by a knife's tip, while the file has the points of its axis. Nothing tells
        # which of these lines cuts which piece: if one shape needs as many points, no line is a fault.
        lines = context.known.layout.lines.values()
        if context.role is not Role.PEN and not any(needless(line, has_arcs=has_arcs) for line in lines):
            # A DXF may hold each edge as an entity of its own.
            cuts = joined_in_order(context.source.on(Layer.CUT))
            yield from (fault for _, fault in needless_points(cuts, context.kind))
        return
    meant = {id(item): cut for item, _, cut in context.matched.pairs}
    for item, fault in needless_points(context.pieces, context.kind):
        if id(item) not in meant or not needless(meant[id(item)], has_arcs=has_arcs):
            yield fault
