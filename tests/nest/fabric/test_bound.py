"""Bounds: no fabric is said to hold less than it gives, however it is cut up."""

from __future__ import annotations

import math

from cutfiles.geometry.outline import ring
from cutfiles.job.model.job import Register, Share
from cutfiles.pieces.shape import Shape
from tests.nest.jobs import background_square, bed_of, cut_list_of, fabric_of, nested, usual_shapes
from tests.nest.measured import faults

TILE = Shape("tile", ring((0, 0), (152.4, 0), (152.4, 152.4), (0, 152.4)), (), symmetric=False)


def test_a_wide_gap_does_not_bound_pieces_on_both_sides_of_a_rough_cut() -> None:
    """Four parts with four tiles of 6 in each: sixteen, more than one sheet could hold with its gaps."""
    bed = bed_of(mat=(12.5, 12.5), margin=0, gap=0.5, register=Register.NONE)
    job = cut_list_of((TILE,), {}, fabric_of(size=(25, 25), pieces=1, cuts={"tile": Share.FILL}))
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    tally = layout.tallies[0]
    assert tally.counts == (("tile", 16),)
    assert tally.at_most[0][1] >= 16


def test_the_bound_of_hand_cuts_is_rows_and_columns() -> None:
    """Two backgrounds of 14 in come from 28 in, whatever the area beside them."""
    shapes = (*usual_shapes(), background_square(14))
    sail = fabric_of("sail", size=(28.0625, 20), pieces=2, cuts={"background": Share.FILL})
    tally = nested(cut_list_of(shapes, {"background": 1}, sail)).tallies[0]
    assert tally.counts == (("background", 4),)
    assert tally.at_most == (("background", 4),)
    assert math.isclose(tally.used_share, 4 * 14 * 14 / (2 * 28.0625 * 20))
    assert tally.pieces_used == 2


def test_the_bound_of_a_square_is_met_by_its_blades() -> None:
    """Nothing that is laid on a square passes what is said to be the most."""
    for length in (4.0, 4.75, 5.0):
        fabric = fabric_of(size=(length, 5), pieces=2, cuts={"blade": Share.FILL})
        tally = nested(cut_list_of(usual_shapes(), {}, fabric)).tallies[0]
        assert all(count <= most for (_, count), (_, most) in zip(tally.counts, tally.at_most, strict=True))
