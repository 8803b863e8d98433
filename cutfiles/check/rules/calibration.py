"""The calibration sheet: is each square the size that it is said to be."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutfiles.check.context.context import Context
from cutfiles.core.units import MM_PER_INCH
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, Layer, Marks
from cutfiles.geometry.outline import Path

SIDES_MM = (50.0, MM_PER_INCH)


def wrong_squares(context: Context) -> Iterator[Fault]:
    """Yield a fault for each square that doesn't measure right, and for those that are missing."""
    sides = list(SIDES_MM)
    items = context.outlines.items
    for item in items:
        side = next((side for side in sides if _is_square(item, side, context.kind.pair_mm)), None)
        if side is None:
            yield Fault(Code.TRUE_SIZE, item.place, f"is no square of {_listed(sides)}")
        else:
            sides.remove(side)
    if sides and len(items) < len(SIDES_MM):
        yield Fault(Code.MISSING_PIECE, "", f"lacks the square of {_listed(sides)}")


def missing_marks(context: Context) -> Iterator[Fault]:
    """Yield a fault where there is nothing to measure between.

    Where the pen that draws also marks, marks can't be told from letters.
    """
    if context.kind.marks is Marks.APART and not context.drawing.on(Layer.REGISTER):
        yield Fault(Code.MISSING_REGISTER, "", "no register mark to measure between")


def _listed(sides: list[float]) -> str:
    return " or ".join(f"{side:g} mm" for side in sides) or "any size that is still missing"


def _is_square(item: Item, side_mm: float, slack_mm: float) -> bool:
    """Whether four straight sides and both diagonals measure right."""
    if not isinstance(item.path, Path) or len(item.path.vertices) != 4:
        return False
    if any(vertex.bulge for vertex in item.path.vertices):
        return False
    corners = [vertex[:2] for vertex in item.path.vertices]
    off = [abs(math.dist(corners[i], corners[i - 1]) - side_mm) for i in range(4)]
    off += [abs(math.dist(corners[i], corners[i + 2]) - side_mm * math.sqrt(2)) for i in range(2)]
    return max(off) <= slack_mm
