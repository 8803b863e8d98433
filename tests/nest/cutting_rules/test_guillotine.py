"""Cuts that go through: done one after the other, they free every part and part none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.geometry.outline import Bounds
from cutfiles.nest.cutting_rules.guillotine import ThroughCut, through_cuts

WHOLE: Bounds = (0.0, 0.0, 1000.0, 600.0)


def _done(whole: Bounds, cuts: tuple[ThroughCut, ...]) -> list[Bounds]:
    """What lies on the table after the cuts; each must run right through one piece."""
    pieces = [whole]
    for cut in cuts:
        axis = 1 if cut.is_across else 0
        hit = [
            piece
            for piece in pieces
            if piece[axis] < cut.at_mm < piece[axis + 2]
            and (piece[1 - axis], piece[3 - axis]) == (cut.begin_mm, cut.end_mm)
        ]
        assert len(hit) == 1
        piece = hit[0]
        assert cut.off_mm == pytest.approx(cut.at_mm - piece[axis])
        pieces.remove(piece)
        low, high = list(piece), list(piece)
        low[axis + 2] = high[axis] = cut.at_mm
        pieces += [(low[0], low[1], low[2], low[3]), (high[0], high[1], high[2], high[3])]
    return pieces


@st.composite
def _divided(draw: st.DrawFn) -> list[Bounds]:
    """Some of the rectangles that a piece is divided into by cuts right through."""
    pieces = [WHOLE]
    for _ in range(draw(st.integers(0, 7))):
        piece = pieces.pop(draw(st.integers(0, len(pieces) - 1)))
        axis = draw(st.integers(0, 1))
        at = round(piece[axis] + draw(st.floats(0.2, 0.8)) * (piece[axis + 2] - piece[axis]), 3)
        low, high = list(piece), list(piece)
        low[axis + 2] = high[axis] = at
        pieces += [(low[0], low[1], low[2], low[3]), (high[0], high[1], high[2], high[3])]
    keep = draw(st.lists(st.booleans(), min_size=len(pieces), max_size=len(pieces)))
    return [piece for piece, kept in zip(pieces, keep, strict=True) if kept]


@given(parts=_divided())
def test_the_cuts_free_every_part(parts: list[Bounds]) -> None:
    """Whatever was divided by such cuts comes out by such cuts, and each goes through one piece alone."""
    cuts = through_cuts(WHOLE, parts)
    assert cuts is not None
    left = _done(WHOLE, cuts)
    assert set(parts) <= set(left)


def test_a_pinwheel_has_no_such_cut() -> None:
    """Four rectangles round a fifth: the first cut would part one of them."""
    pinwheel = [(0.0, 0.0, 2.0, 1.0), (2.0, 0.0, 3.0, 2.0), (1.0, 2.0, 3.0, 3.0), (0.0, 1.0, 1.0, 3.0)]
    assert through_cuts((0.0, 0.0, 3.0, 3.0), pinwheel) is None
