"""The calibration sheet: register marks far apart, a 50 mm and a 1 in square, to be measured."""

from __future__ import annotations

from cutfiles.core.errors import JobError
from cutfiles.core.units import MM_PER_INCH
from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.geometry.outline import Point, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import MachineSpec, MatSpec, Register
from cutfiles.nest.cutting_rules.reach import MARK_ZONE_MM, Rect, reach_of
from cutfiles.pieces.lettering.letters import written
from cutfiles.toolpath.draw.register import register_marks

CALIBRATION_NAME = "calibration"
SQUARES = ((50.0, "50 mm"), (MM_PER_INCH, "1 in"))  # side, and what is written in it
_APART_MM = 5.0
_CAPITALS_MM = 4.0


def calibration_load(mat: MatSpec, machine: MachineSpec) -> LoadPlan:
    """Return the strokes of the sheet: the size of each square drawn, marks, the squares cut.

    Where the job has no register marks they are crosses.

    Raises:
        JobError: the mat has no room for it.
    """
    register = _register(machine)
    drawn: list[Stroke] = []
    cut: list[Stroke] = []
    for (side, text), (x, y) in zip(SQUARES, _corners(mat, register), strict=True):
        square = ring((x, y), (x + side, y), (x + side, y + side), (x, y + side))
        cut.append(Stroke(Tool.CUT, square, f"square-{text.replace(' ', '-')}"))
        if machine.draw:
            label = written(text, capitals_mm=_CAPITALS_MM)
            # Below the middle and read along x: so a square that was lifted off shows which way it lay.
            pose = Pose(x + (side - label.width_mm) / 2, y + side / 2 - label.height_mm)
            drawn += [Stroke(Tool.DRAW, placed(path, pose), "", Drawn.LABEL) for path in label.strokes]
    marks = register_marks(mat, register)
    return LoadPlan(CALIBRATION_NAME, mat.width_mm, mat.height_mm, (*drawn, *marks, *cut))


def mark_middles(mat: MatSpec, machine: MachineSpec) -> tuple[Point, ...]:
    """Return the middles of the sheet's marks: lower left, lower right, upper left."""
    return reach_of(mat, _register(machine)).marks


def _register(machine: MachineSpec) -> Register:
    return Register.CROSS if machine.register is Register.NONE else machine.register


def _corners(mat: MatSpec, register: Register) -> tuple[Point, Point]:
    """The lower left corners of the two squares: side by side, or one above the other."""
    large, small = (side for side, _ in SQUARES)
    both = large + _APART_MM + small
    width, height = mat.width_mm - 2 * mat.margin_mm, mat.height_mm - 2 * mat.margin_mm
    free = reach_of(mat, register).free if min(width, height) > 2 * MARK_ZONE_MM else ()
    for rect in free:
        if rect.holds(both, large):
            x, y = _middle(rect, both, large)
            return (x, y), (x + large + _APART_MM, y)
        if rect.holds(large, both):
            x, y = _middle(rect, large, both)
            return (x, y), (x, y + large + _APART_MM)
    raise JobError(
        "mat",
        f"the calibration sheet needs room for {both:g} by {large:g} mm between the marks, and the mat has "
        f"{max(width, 0.0):g} by {max(height, 0.0):g} mm inside its margin; leave --calibrate out, or use a "
        "larger mat",
    )


def _middle(rect: Rect, width_mm: float, height_mm: float) -> Point:
    """The lower left corner of something that lies in the middle of a rectangle."""
    return rect.x_mm + (rect.width_mm - width_mm) / 2, rect.y_mm + (rect.height_mm - height_mm) / 2
