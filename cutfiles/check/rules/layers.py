"""What each line is for: layers known, in order and in colours of their own, in the file that is theirs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import numpy as np

from cutfiles.check.context.context import Context, Role
from cutfiles.core.words import counted
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Ink, Layer

_DRAWN = "is to be drawn, in a file that is for the knife only"


def unknown_layers(context: Context) -> Iterator[Fault]:
    """Yield a fault for each layer whose name isn't ours."""
    strays = Counter(item.layer_name for item in context.drawing.items if item.layer is None)
    for name, count in strays.items():
        shown = name[:60] or "outside every group"
        yield Fault(Code.UNKNOWN_LAYER, shown, f"{count} lines are on neither place, draw, register nor cut")


def wrong_order(context: Context) -> Iterator[Fault]:
    """Yield a fault at the first line that comes after a later tool's."""
    drawing, layers = context.drawing, list(Layer)
    if not context.kind.has_order and context.role is not Role.CALIBRATION:
        return
    latest = layers[0]
    late: tuple[int, str, Layer, Layer] | None = None
    begun: int | None = None  # where anything but drawing begins
    for item in sorted(drawing.items, key=lambda item: item.order):
        if item.layer is None:
            continue
        if begun is None and layers.index(item.layer) > layers.index(Layer.DRAW):
            begun = item.order
        # The pen's straight strokes are packed, not items: outlines to lay fabric by come before all of them.
        first = int(drawing.drawn.order.min()) if len(drawing.drawn) else item.order
        if item.layer is Layer.PLACE and first < item.order:
            latest = max(latest, Layer.DRAW, key=layers.index)
        if layers.index(item.layer) < layers.index(latest):
            late = (item.order, item.place, item.layer, latest)
            break
        latest = item.layer
    after = np.flatnonzero(drawing.drawn.order > begun) if begun is not None else np.empty(0, dtype=int)
    if len(after) and (late is None or drawing.drawn.order[after[0]] < late[0]):
        order = int(drawing.drawn.order[after[0]])
        before = [i.layer for i in drawing.items if i.layer is not None and i.order < order]
        late = (order, drawing.drawn.place(int(after[0])), Layer.DRAW, max(before, key=layers.index))
    if late is not None:
        yield Fault(
            Code.WRONG_ORDER, late[1], f"a line to {late[2].value} comes after one to {late[3].value}"
        )


def nothing_to_cut(context: Context) -> Iterator[Fault]:
    """Yield a fault where no line is to be cut."""
    if not context.drawing.on(Layer.CUT):
        yield Fault(Code.NOTHING_TO_CUT, "", "no line on the layer cut")


def misplaced(context: Context) -> Iterator[Fault]:
    """Yield a fault for each line in a part of a load that belongs into the other."""
    drawing = context.drawing
    if context.role is Role.PEN:
        for item in drawing.on(Layer.CUT):
            yield Fault(Code.EXTRA_PIECE, item.place, "is to be cut, in a file that is for the pen only")
    elif context.role is Role.KNIFE:
        for item in (*drawing.on(Layer.PLACE), *drawing.on(Layer.DRAW)):
            yield Fault(Code.STRAY_MARK, item.place, _DRAWN)
        for index in range(len(drawing.drawn)):
            yield Fault(Code.STRAY_MARK, drawing.drawn.place(index), _DRAWN)


def wrong_colour(context: Context) -> Iterator[Fault]:
    """Yield a fault for the lines of a layer in a colour that isn't its own.

    A layer's own colour is the one that most of its lines have. In a drawing all of one colour nobody goes by
    colours, unless it is a file of ours, whose layers have one each.
    """
    usual: dict[Layer, Ink] = {}
    for layer in Layer:
        inks = [ink for ink in context.source.inks if ink.layer is layer]
        if not inks:
            continue
        usual[layer] = max(inks, key=lambda ink: ink.count)
        for ink in inks:
            if ink is not usual[layer]:
                yield _colour_fault(ink, f"but the rest of the layer is {_shown_colour(usual[layer])}")
    colours = {ink.colour for ink in usual.values() if ink.colour}
    cut = usual.get(Layer.CUT)
    if cut is None or not cut.colour or (context.known is None and len(colours) < 2):
        return
    for layer in (Layer.PLACE, Layer.DRAW, Layer.REGISTER):
        if layer in usual and usual[layer].colour == cut.colour:
            yield _colour_fault(cut, f"and so is what is on the layer {layer.value}")


def _colour_fault(ink: Ink, words: str) -> Fault:
    lines = counted(ink.count, "line")
    says = f"{lines} of the layer {ink.layer.value} in {_shown_colour(ink)}, {words}"
    return Fault(Code.WRONG_COLOUR, ink.place, says)


def _shown_colour(ink: Ink) -> str:
    return ink.colour[:40] or "no colour"
