"""Colours: lines in the colour of their layer, and no two layers alike where colours tell layers apart."""

from __future__ import annotations

from collections.abc import Iterator

from cutfiles.check.context.context import Context
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Ink, Layer


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
                yield _fault(ink, f"but the rest of the layer is {_shown(usual[layer])}")
    colours = {ink.colour for ink in usual.values() if ink.colour}
    cut = usual.get(Layer.CUT)
    if cut is None or not cut.colour or (context.known is None and len(colours) < 2):
        return
    for layer in (Layer.DRAW, Layer.REGISTER):
        if layer in usual and usual[layer].colour == cut.colour:
            yield _fault(cut, f"and so is what is on the layer {layer.value}")


def _fault(ink: Ink, words: str) -> Fault:
    lines = "1 line" if ink.count == 1 else f"{ink.count} lines"
    says = f"{lines} of the layer {ink.layer.value} in {_shown(ink)}, {words}"
    return Fault(Code.WRONG_COLOUR, ink.place, says)


def _shown(ink: Ink) -> str:
    return ink.colour[:40] or "no colour"
