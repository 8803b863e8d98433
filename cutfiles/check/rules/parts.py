"""Loads in two files, one for the pen and one for the knife: what each may hold."""

from __future__ import annotations

from collections.abc import Iterator

from cutfiles.check.layout.layout import KnownLayout, KnownLoad
from cutfiles.check.rules.alone import off_mat, too_much, unknown_layers
from cutfiles.check.rules.layout_faults import reach_of
from cutfiles.check.rules.marks import marks_on_fabric, stray_marks
from cutfiles.check.rules.measure import NO_SIZE, Measured, mat_size, missing_register
from cutfiles.check.rules.pens import marks_apart
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Drawing, Item, Layer, Marks, Reading

_DRAWN = "is to be drawn, in a file that is for the knife only"


def astray(drawing: Drawing, part: Layer | None) -> Iterator[Fault]:
    """Yield a fault for each line in a part of a load that belongs into the other."""
    if part is Layer.DRAW:
        for item in drawing.on(Layer.CUT):
            yield Fault(Code.EXTRA_PIECE, item.place, "is to be cut, in a file that is for the pen only")
    elif part is Layer.CUT:
        for item in drawing.on(Layer.DRAW):
            yield Fault(Code.STRAY_MARK, item.place, _DRAWN)
        for index in range(len(drawing.drawn)):
            yield Fault(Code.STRAY_MARK, drawing.drawn.place(index), _DRAWN)


def measure_drawn(reading: Reading, layout: KnownLayout | None, load: KnownLoad | None) -> Measured:
    """Return everything that is wrong with a file for the pen only; its pieces are those of the layout."""
    notes = list(reading.notes)
    drawing = reading.drawing
    if drawing.kind.marks is Marks.DRAWN:
        drawing = marks_apart(drawing, (), layout, load)
    heap = too_much(drawing)
    if heap is not None:
        return Measured((*reading.faults, heap), tuple(notes), 0, None)
    faults = [*reading.faults, *unknown_layers(drawing)]
    if layout is None or load is None:
        notes.append("no layout.json knows this file: whether the pen stays on the pieces wasn't checked")
        return Measured(tuple(faults), tuple(notes), 0, drawing)
    faults += [*mat_size(drawing, load), *missing_register(drawing, layout)]
    if not any(fault.code in NO_SIZE for fault in faults):
        marks = drawing.on(Layer.REGISTER)
        faults += [
            fault for _, fault in off_mat(marks, reach_of(load, layout), slack_mm=drawing.kind.within_mm)
        ]
        faults += marks_on_fabric(marks, load)
        if layout.shapes:
            drawn, slack_mm = drawing.on(Layer.DRAW), drawing.kind.pair_mm
            faults += stray_marks(drawn, drawing.drawn, _pieces(load), slack_mm=slack_mm)
    return Measured(tuple(faults), tuple(notes), 0, drawing)


def _pieces(load: KnownLoad) -> tuple[Item, ...]:
    return tuple(
        Item(Layer.CUT, Layer.CUT.value, piece.cut, piece.piece_id, piece.piece_id)
        for fabric in load.fabrics
        for piece in fabric.pieces
        if piece.cut is not None
    )
