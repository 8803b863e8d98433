"""Files for a machine that is not quite true, taken back to what they mean on the mat."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from cutfiles.check.codes import Code
from cutfiles.check.drawing import Drawing, Layer
from cutfiles.check.layout_key import Key, WrongError
from cutfiles.check.strokes import Floats
from cutfiles.check.tool_path import joined_in_order
from cutfiles.core.outline import Circle, Contour, Path, Point, Vertex, chords

# How far chords may stray from an arc that becomes part of an ellipse.
_HAIR_MM = 5e-4


@dataclass(frozen=True, slots=True)
class Correction:
    """What the files were made for: u and v in the file lie at `u / scale_x`, `v / scale_y` along the axes.

    The y axis leans to the right by the skew.
    """

    scale_x: float = 1.0
    scale_y: float = 1.0
    skew_deg: float = 0.0

    @property
    def is_none(self) -> bool:
        """Whether files are as things lie."""
        return self == Correction()

    @property
    def keeps_circles(self) -> bool:
        """Whether an arc of the file is an arc on the mat."""
        return self.scale_x == self.scale_y and not self.skew_deg

    def landing(self, point: Point) -> Point:
        """Return where on the mat the machine puts a point of the file."""
        along_x, along_y = point[0] / self.scale_x, point[1] / self.scale_y
        skew = math.radians(self.skew_deg)
        return (along_x + math.sin(skew) * along_y, math.cos(skew) * along_y)

    def landings(self, points: Floats) -> Floats:
        """Return where it puts many points, a row each."""
        along_x, along_y = points[:, 0] / self.scale_x, points[:, 1] / self.scale_y
        skew = math.radians(self.skew_deg)
        return np.column_stack([along_x + math.sin(skew) * along_y, math.cos(skew) * along_y])


def correction_of(machine: Key) -> Correction:
    """Return the correction that a layout's machine has; none where it doesn't say."""
    found = Correction(
        machine.find("scale_x", 1.0).size(),
        machine.find("scale_y", 1.0).size(),
        machine.find("skew_deg", 0.0).number(),
    )
    if abs(found.skew_deg) >= 45.0:
        path = machine.find("skew_deg").path
        raise WrongError(Code.BAD_LAYOUT, path, f"is {found.skew_deg:g}, no machine leans so far")
    return found


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
        corners = (Vertex(*correction.landing(one[:2]), one.bulge) for one in path.vertices)
        return Path(tuple(corners), path.closed)
    points = chords(path, stray_mm=_HAIR_MM)
    closed = isinstance(path, Circle) or path.closed
    landed = correction.landings(np.array(points))
    return Path(tuple(Vertex(x, y) for x, y in landed.tolist()), closed)
