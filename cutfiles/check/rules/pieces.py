"""The outlines of a file against each other, and against the pieces of their load."""

from __future__ import annotations

from cutfiles.check.context.context import Context
from cutfiles.check.context.matching import match_names
from cutfiles.findings.report import Fault


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
