"""The register marks of a load: alike in every file of a job, and unlike themselves turned or flipped."""

from __future__ import annotations

from cutfiles.formats.model.plan import Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Circle, Contour, Point, line
from cutfiles.job.model.job import MatSpec, Register
from cutfiles.nest.cutting_rules.reach import MARK_ARM_MM, ODD_MARK, reach_of

_DOT = 1 / 6  # of a ring's radius


def register_marks(mat: MatSpec, register: Register) -> tuple[Stroke, ...]:
    """Return the strokes of the marks: three crosses or rings in corners of the reach; none for NONE.

    Three alike would do on an oblong mat. On a square one they lie on themselves again when the sheet is
    flipped about its diagonal, so the mark in the lower right corner is a cross in a ring.
    """
    paths: list[Contour] = []
    for index, middle in enumerate(reach_of(mat, register).marks):
        odd = index == ODD_MARK
        if register is Register.RING or odd:
            paths.append(Circle(*middle, MARK_ARM_MM))
        if register is Register.RING and not odd:
            paths.append(Circle(*middle, MARK_ARM_MM * _DOT))
        if register is Register.CROSS or odd:
            paths += cross(middle)
    return tuple(Stroke(Tool.REGISTER, path, "") for path in paths)


def cross(middle: Point) -> list[Contour]:
    """Return the two lines of a cross, the level one first."""
    x, y = middle
    arm = MARK_ARM_MM
    return [line((x - arm, y), (x + arm, y)), line((x, y - arm), (x, y + arm))]
