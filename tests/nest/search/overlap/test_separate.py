"""Overlapping pieces pushed apart until none is too near another."""

from __future__ import annotations

import numpy as np
import pytest

from cutfiles.nest.base.orientations import Orientations
from cutfiles.nest.search.nofit.half_planes import HalfPlanes
from cutfiles.nest.search.overlap.separate import InnerFit, Positions, separated
from tests.nest.shapes import square, strip_of


@pytest.mark.parametrize("slack_mm", [0.0, 0.2])
def test_many_pieces_in_a_row_share_out_what_room_there_is(slack_mm: float) -> None:
    """Forty squares in a corridor as long as they are, all but the first a little too far down.

    The push reaches the last of them only through all the others: it shrinks by a fifth in a hundred rounds,
    and would take far more rounds than are made.
    """
    side, count, asked = 50.0, 40, 0
    items = Orientations((square(side),)).on(strip_of(2 * side), "square")
    room = InnerFit.in_rectangle(items, (side, count * side + slack_mm))
    y = np.arange(count) * side
    y[1:] -= 1.4

    def stop() -> bool:
        nonlocal asked
        asked += 1
        return False

    squeezed = Positions(np.zeros(count, dtype=np.intp), np.zeros(count), y)
    apart = separated(HalfPlanes(items, gap_mm=0.0), room, squeezed, stop)
    assert apart is not None
    assert (np.diff(np.sort(apart.y)) >= side - 1e-6).all()
    assert (apart.y >= 0).all()
    assert (apart.y <= (count - 1) * side + slack_mm + 1e-9).all()
    assert asked < 25  # once in a hundred rounds
