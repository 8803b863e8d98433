"""Lines whose layer isn't what they are: register marks drawn with the pen, outlines that aren't cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from cutfiles.check.layout.layout import KnownLayout, KnownLoad
from cutfiles.check.shapes.contours import as_area, as_line
from cutfiles.core.tolerance import CHORD_MM
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Drawing, Item, Layer, chain
from cutfiles.formats.model.strokes import Strokes
from cutfiles.geometry.outline import Circle

_MOST_MARKS = 1_000
_MOST_CLOSED = 20_000  # packed strokes that are taken for outlines which should have been cut


def marks_apart(
    drawing: Drawing, outlines: Sequence[Item], layout: KnownLayout | None, load: KnownLoad | None
) -> Drawing:
    """Return the drawing with register marks on a layer of their own, where one pen draws both.

    With a layout, what the pen draws off every fabric is for register (if the layout has any such marks).
    Without one it is what lies outside every outline: nobody can know better.
    """
    grounds: list[shapely.geometry.base.BaseGeometry]
    if layout is not None and load is not None:
        if layout.register not in ("cross", "ring"):
            return drawing
        grounds = [shapely.box(*fabric.box) for fabric in load.fabrics]
    else:
        grounds = [as_area(item.path, stray_mm=CHORD_MM).convex_hull for item in outlines]
    tree = shapely.STRtree(grounds)
    items = [
        replace(item, layer=Layer.REGISTER, layer_name=Layer.REGISTER.value)
        if item.layer is Layer.DRAW
        and not len(tree.query(as_line(item.path, stray_mm=CHORD_MM), predicate="intersects"))
        else item
        for item in drawing.items
    ]
    strokes = drawing.drawn
    on = np.zeros(len(strokes), dtype=bool)
    for first in range(0, len(strokes), 4096):
        last = min(first + 4096, len(strokes))
        on[first + tree.query(strokes.lines(first, last), predicate="intersects")[0]] = True
    outside = np.flatnonzero(~on)
    # No mat has so many marks: they stay what they are, lines beside the pieces.
    on[outside[_MOST_MARKS:]] = True
    for index in outside[:_MOST_MARKS].tolist():
        order, place = int(strokes.order[index]), strokes.place(index)
        items.append(Item(Layer.REGISTER, Layer.REGISTER.value, strokes.path(index), None, place, order))
    items.sort(key=lambda item: item.order)
    return replace(drawing, items=tuple(items), drawn=strokes.kept(on))


def closed_elsewhere(drawing: Drawing) -> tuple[Item, ...]:
    """Return the closed lines that aren't on the layer to cut."""
    items = [
        item
        for item in drawing.items
        if item.layer is not Layer.CUT and (isinstance(item.path, Circle) or item.path.closed)
    ]
    return (*items, *_closed(drawing.drawn))


def _closed(strokes: Strokes) -> list[Item]:
    first, last = strokes.points[strokes.starts[:-1]], strokes.points[strokes.starts[1:] - 1]
    long = np.diff(strokes.starts) > 3
    items = []
    for index in np.flatnonzero(long & (first == last).all(axis=1))[:_MOST_CLOSED].tolist():
        path = chain(((vertex.x, vertex.y, 0.0) for vertex in strokes.path(index).vertices), closed=False)
        if not isinstance(path, Fault):
            name = Layer.DRAW.value
            items.append(Item(Layer.DRAW, name, path, None, strokes.place(index), int(strokes.order[index])))
    return items
