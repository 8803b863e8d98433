"""The outlines of a file against each other, and against the pieces of their load: place, shape and scale."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutfiles.check.context.context import Context
from cutfiles.check.context.matching import match_names
from cutfiles.core.tolerance import SCALE_SHARE
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.geometry.outline import area, length


def close_outlines(context: Context) -> tuple[Fault, ...]:
    """Return what is wrong between two outlines: doubled, crossing, one in the other, too near."""
    return context.pairs.faults


def wrong_pieces(context: Context) -> tuple[Fault, ...]:
    """Return pieces that are missing, too many, or not as the layout has them."""
    if context.known is None:
        return ()
    if not context.known.layout.shapes:
        return match_names(context.pieces, context.known.load, has_ids=context.kind.has_ids)
    return context.matched.faults


# The usual slips: px as 1/96, 1/72 or 1/90 in for one another or for mm (CSS 2.1, 4.3.2, fixes 96 to the
# inch; 72 and 90 are habits of older programs).
_SLIPS = {
    25.4: "mm taken for inches",
    1 / 25.4: "inches taken for mm",
    10.0: "mm taken for cm",
    0.1: "cm taken for mm",
    96 / 72: "96 px to the inch taken for 72",
    72 / 96: "72 px to the inch taken for 96",
    96 / 90: "96 px to the inch taken for 90",
    90 / 96: "90 px to the inch taken for 96",
    90 / 72: "90 px to the inch taken for 72",
    72 / 90: "72 px to the inch taken for 90",
    96 / 25.4: "mm written as px of 1/96 in",
    25.4 / 96: "mm taken for px of 1/96 in",
    25.4 / 72: "mm taken for px of 1/72 in",
    25.4 / 90: "mm taken for px of 1/90 in",
    72 / 25.4: "mm written as px of 1/72 in",
    90 / 25.4: "mm written as px of 1/90 in",
    40.0: "plotter units taken for mm",
    1 / 40: "mm taken for plotter units",
    25.4 * 40 / 1000: "1016 units to the inch taken for 1000",
    1000 / 1016: "1000 units to the inch taken for 1016",
}


def wrong_scale(context: Context) -> Iterator[Fault]:
    """Yield a fault where every outline is larger or smaller than its piece by one and the same factor.

    Lengths and roots of areas are compared in order of size, so it needs no places and no names.
    """
    if context.known is None:
        return
    load, within_mm = context.known.load, context.kind.within_mm
    outlines = (*context.outlines.items, *context.outlines.almost)
    pieces = [piece for fabric in load.fabrics for piece in fabric.pieces if piece.line is not None]
    cuts = [cut for piece in pieces for cut in (piece.line, *piece.holes) if cut is not None]
    if not outlines or len(cuts) != sum(item.quantity for item in outlines):
        return
    outlines = tuple(item for item in outlines for _ in range(item.quantity))
    factors = []
    for size in (length, lambda path: math.sqrt(abs(area(path)))):
        mine, theirs = sorted(size(item.path) for item in outlines), sorted(size(cut) for cut in cuts)
        if theirs[0] <= 0:
            return
        factors += [a / b for a, b in zip(mine, theirs, strict=True)]
    # How far sizes may be off by rounding, as a share of the smallest piece.
    share = SCALE_SHARE + 8 * within_mm / min(length(item.path) for item in outlines)
    least, most = min(factors), max(factors)
    if least <= 0 or most / least > 1 + share or (least <= 1 + share and most >= 1 - share):
        return
    factor = (least + most) / 2
    slip = min(_SLIPS, key=lambda ratio: abs(math.log(ratio / factor)))
    words = f": {_SLIPS[slip]}?" if abs(slip / factor - 1) <= share else ""
    yield Fault(Code.WRONG_SCALE, "", f"everything is {factor:.5g} times as large as in layout.json{words}")
