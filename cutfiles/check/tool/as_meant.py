"""A drawing as the machine puts it on the mat: files for one that is not quite true, taken back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cutfiles.check.layout.correction import Correction
from cutfiles.check.tool.lines import joined_in_order
from cutfiles.formats.model.drawing import Drawing, Layer
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, chords

# How far chords may stray from an arc that becomes part of an ellipse.
_HAIR_MM = 5e-4


def as_meant(drawing: Drawing, correction: Correction) -> Drawing:
    """Return a drawing as the machine puts it on the mat.

    Arcs stay arcs where both scales are one and there is no skew; else they are taken as fine chords.
    """
    if correction.is_none or not drawing.kind.for_machine:
        return drawing
    items = drawing.items
    if not correction.keeps_circles:
        # As chords they couldn't be told any more from lines that are several edges in the file, too.
        cuts = [item for item in items if item.layer is Layer.CUT and _is_open(item.path)]
        rest = [item for item in items if item.layer is not Layer.CUT or not _is_open(item.path)]
        items = tuple(sorted((*rest, *joined_in_order(cuts)), key=lambda item: item.order))
    items = tuple(replace(item, path=_landed(item.path, correction)) for item in items)
    drawn = replace(drawing.drawn, points=correction.landings(drawing.drawn.points))
    chopped = correction.scale_x != correction.scale_y or bool(correction.skew_deg)
    return replace(drawing, items=items, drawn=drawn, kind=replace(drawing.kind, as_written=not chopped))


def _is_open(path: Contour) -> bool:
    return isinstance(path, Path) and not path.closed


def _landed(path: Contour, correction: Correction) -> Contour:
    if correction.keeps_circles:
        if isinstance(path, Circle):
            return Circle(*correction.landing((path.x, path.y)), path.radius / correction.scale_x)
        corners = (Vertex(*correction.landing(vertex[:2]), vertex.bulge) for vertex in path.vertices)
        return Path(tuple(corners), path.closed)
    points = chords(path, stray_mm=_HAIR_MM)
    closed = isinstance(path, Circle) or path.closed
    landed = correction.landings(np.array(points))
    return Path(tuple(Vertex(x, y) for x, y in landed.tolist()), closed)
