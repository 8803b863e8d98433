"""The calibration sheet: is each square the size that it is said to be."""

from __future__ import annotations

import math

from cutfiles.check.rules.alone import self_crossing, too_much, unknown_layers, wrong_order
from cutfiles.check.rules.measure import Measured
from cutfiles.check.tool.outlines import outlines_of
from cutfiles.core.units import MM_PER_INCH
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, Layer, Marks, Reading
from cutfiles.geometry.outline import Path

SIDES_MM = (50.0, MM_PER_INCH)


def measure_calibration(reading: Reading) -> Measured:
    """Return what is wrong with a calibration sheet, its drawing taken back to what it means on the mat."""
    drawing = reading.drawing
    heap = too_much(drawing)
    if heap is not None:
        return Measured((*reading.faults, heap), reading.notes, 0, None)
    faults = [*reading.faults, *unknown_layers(drawing), *wrong_order(drawing)]
    found = outlines_of(drawing)
    faults += [*found.faults, *self_crossing(found.items)]
    sides = list(SIDES_MM)
    for item in found.items:
        side = next((side for side in sides if _is_square(item, side, drawing.kind.pair_mm)), None)
        if side is None:
            faults.append(Fault(Code.TRUE_SIZE, item.place, f"is no square of {_listed(sides)}"))
        else:
            sides.remove(side)
    if sides and len(found.items) < len(SIDES_MM):
        faults.append(Fault(Code.MISSING_PIECE, "", f"lacks the square of {_listed(sides)}"))
    # Where the pen that draws also marks, marks can't be told from letters.
    if drawing.kind.marks is Marks.APART and not drawing.on(Layer.REGISTER):
        faults.append(Fault(Code.MISSING_REGISTER, "", "no register mark to measure between"))
    return Measured(tuple(faults), reading.notes, 0, drawing)


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
