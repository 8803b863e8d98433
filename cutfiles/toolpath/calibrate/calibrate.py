"""Strokes as a machine must be told them, so that what it makes is true to size and square.

The machine's x axis is taken for true, its y axis leans from square by the skew. What was measured along
each axis gives the scales: docs/registration.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from cutfiles.core.tolerance import CALIBRATED_MM, FILE_MM
from cutfiles.core.units import Unit, in_both, rounded_up_mm
from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.geometry.arc_fit import Curve, fitted
from cutfiles.geometry.outline import Arc, Circle, Contour, Path, Point, Vertex, arc_of, bounds
from cutfiles.job.model.job import Calibration

_SQUARE = Calibration()
# A skew within the allowed five degrees leaves far less than a quarter turn between chord and tangent.
_QUARTERS = 4


def calibrated(plan: CutPlan, calibration: Calibration, *, unit: Unit = Unit.MM) -> CutPlan:
    """Return the plan for a machine that is not quite true; the very same plan where it is.

    With one scale for both axes and no skew arcs stay arcs and circles circles. Otherwise they become
    parts of ellipses, written as arcs within `CALIBRATED_MM` of them.
    """
    if calibration == _SQUARE:
        return plan
    loads = tuple(calibrated_load(load, calibration) for load in plan.loads)
    return CutPlan(loads, (*plan.notes, *(note for load in loads for note in _off_frame(load, unit))))


def calibrated_load(load: LoadPlan, calibration: Calibration) -> LoadPlan:
    """Return one load for such a machine; its mat keeps its size."""
    strain = _strain(calibration)
    return replace(
        load, strokes=tuple(replace(stroke, path=strain.path(stroke.path)) for stroke in load.strokes)
    )


@dataclass(frozen=True, slots=True)
class _Strain:
    """x' = xx·x + xy·y and y' = yy·y: the mat's lower left corner and its lower edge stay where they are."""

    xx: float
    xy: float
    yy: float

    @property
    def keeps_circles(self) -> bool:
        return self.xy == 0.0 and self.xx == self.yy

    def at(self, point: Point) -> Point:
        x, y = point
        return (self.xx * x + self.xy * y, self.yy * y)

    def path(self, path: Contour) -> Contour:
        if isinstance(path, Circle):
            return self._circle(path)
        vertices: list[Vertex] = []
        for start, end in path.edges():
            if not start.bulge or self.keeps_circles:
                vertices.append(Vertex(*self.at((start.x, start.y)), start.bulge))
            else:
                vertices += self._arc(arc_of(start, end))
        if not path.closed:
            vertices.append(Vertex(*self.at((path.vertices[-1].x, path.vertices[-1].y))))
        return Path(tuple(vertices), path.closed)

    def _circle(self, circle: Circle) -> Contour:
        longest, shortest = self._axes()
        middle = self.at((circle.x, circle.y))
        if (longest - shortest) * circle.radius <= FILE_MM:
            # So nearly round that a reader may well take the arcs for a circle again.
            return Circle(*middle, (longest + shortest) / 2 * circle.radius)
        vertices: list[Vertex] = []
        for quarter in range(_QUARTERS):
            vertices += self._arc(Arc((circle.x, circle.y), circle.radius, 90.0 * quarter, 90.0))
        return Path(tuple(vertices), closed=True)

    def _axes(self) -> tuple[float, float]:
        """Half the axes of the ellipse that a circle of radius 1 becomes: the singular values."""
        if self.keeps_circles:
            return self.xx, self.xx
        total = self.xx**2 + self.xy**2 + self.yy**2
        apart = math.sqrt(max(total**2 - 4 * (self.xx * self.yy) ** 2, 0.0))
        return math.sqrt((total + apart) / 2), math.sqrt((total - apart) / 2)

    def _arc(self, arc: Arc) -> list[Vertex]:
        """The arc's image without its end."""
        sweep = math.radians(arc.sweep_deg)

        def slope(share: float) -> Point:
            angle = math.radians(arc.start_deg) + share * sweep
            # The strain is linear, so it takes tangents to tangents.
            return self.at((-arc.radius * sweep * math.sin(angle), arc.radius * sweep * math.cos(angle)))

        curve = Curve(lambda share: self.at(arc.at(share)), slope)
        return fitted(curve, within_mm=CALIBRATED_MM)[:-1]


def _strain(calibration: Calibration) -> _Strain:
    """Return what undoes the machine's own strain.

    The machine puts what it is told as (u, v) at u/scale_x along its x axis and v/scale_y along its y axis,
    which leans by the skew k: x = u/scale_x + sin k·v/scale_y, y = cos k·v/scale_y. Solved for u and v.
    """
    skew = math.radians(calibration.skew_deg)
    return _Strain(
        calibration.scale_x, -calibration.scale_x * math.tan(skew), calibration.scale_y / math.cos(skew)
    )


def _off_frame(load: LoadPlan, unit: Unit) -> list[str]:
    """A note where the file's strokes leave its own mat: programs may cut them off there."""
    boxes = [bounds(stroke.path) for stroke in load.strokes]
    over = max(
        (max(-box[0], -box[1], box[2] - load.width_mm, box[3] - load.height_mm) for box in boxes), default=0.0
    )
    if over <= FILE_MM:
        return []
    # What is said to do must do.
    beyond = in_both(rounded_up_mm(over, 0.1), unit)
    return [
        f"{load.name}: the machine's scale and skew take strokes {beyond} beyond the mat of the file; "
        f"raise mat.margin by that much"
    ]
