"""The part of the mat that may be used: what the machine reaches, less the register marks' corners."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.core.units import Unit, in_both
from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import MatSpec, Register

# A register mark is drawn this large, in a square of the mat that no fabric enters.
MARK_ARM_MM = 3.0
MARK_ZONE_MM = 8.0
ODD_MARK = 1  # which of the marks looks unlike the others: the lower right


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle on the mat or on a fabric, mm."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    def holds(self, width_mm: float, height_mm: float) -> bool:
        """Return whether a rectangle of that size fits as it lies; an exact fit does."""
        return width_mm <= self.width_mm + TOUCH_MM and height_mm <= self.height_mm + TOUCH_MM


@dataclass(frozen=True, slots=True)
class Reach:
    """Where fabric may lie: `free` are all the largest rectangles that keep clear of the marks."""

    free: tuple[Rect, ...]
    marks: tuple[Point, ...]  # middles of the register marks: lower left, lower right, upper left

    def holds(self, width_mm: float, height_mm: float) -> bool:
        """Return whether a rectangle fits on the empty mat, turned by a quarter or not."""
        return any(rect.holds(width_mm, height_mm) or rect.holds(height_mm, width_mm) for rect in self.free)


def reach_of(mat: MatSpec, register: Register, *, unit: Unit = Unit.MM) -> Reach:
    """Return what can be used of a mat.

    Marks stand in three corners, the upper right stays empty, and one looks unlike the others: so a sheet
    laid down turned or flipped is seen at once, on a square mat too. The unit is for messages.

    Raises:
        JobError: margins and marks leave nothing.
    """
    width, height = mat.width_mm - 2 * mat.margin_mm, mat.height_mm - 2 * mat.margin_mm
    left = low = mat.margin_mm
    if not (width > 0 and height > 0):
        raise JobError(
            "mat.margin", f"{in_both(mat.margin_mm, unit)} all round leaves nothing of the mat; lower it"
        )
    if register is Register.NONE:
        return Reach((Rect(left, low, width, height),), ())
    zone = MARK_ZONE_MM
    if min(width, height) <= 2 * zone:
        raise JobError(
            "machine.register",
            f"the marks need more than {in_both(2 * zone, unit)} each way and the mat has "
            f'{in_both(min(width, height), unit)} inside its margin; write register = "none" '
            "or use a larger mat",
        )
    free = (
        Rect(left + zone, low, width - 2 * zone, height),  # between the marks, full height
        Rect(left, low + zone, width, height - 2 * zone),  # between the marks, full width
        Rect(left + zone, low + zone, width - zone, height - zone),  # into the corner without a mark
    )
    half = zone / 2
    marks = ((left + half, low + half), (left + width - half, low + half), (left + half, low + height - half))
    return Reach(free, marks)
