"""Which ways round a piece may lie, written out by hand and compared."""

from __future__ import annotations

import pytest

from cutfiles.geometry.outline import ring
from cutfiles.job.model.job import Face, Grain, Print
from cutfiles.nest.cutting_rules.turns import allowed_turns, sizes_at, tried, turned_with
from tests.nest.jobs import cut_list_of, fabric_of, nested, usual_shapes

UP, DOWN = Face.RIGHT_SIDE_UP, Face.WRONG_SIDE_UP
HALF, CROSS, QUARTER = (0, 180), (90, 270), (0, 90, 180, 270)
# print, grain, then the turns on the mat: right side up, wrong side up, each with the fabric as it is
# and turned by a quarter. Only one way crosswise differs by the side: its one turn is a quarter.
TABLE = [
    (Print.PLAIN, Grain.LENGTHWISE, HALF, CROSS, HALF, CROSS),
    (Print.PLAIN, Grain.CROSSWISE, CROSS, HALF, CROSS, HALF),
    (Print.PLAIN, Grain.STRAIGHT, QUARTER, QUARTER, QUARTER, QUARTER),
    (Print.PLAIN, Grain.ANY, None, None, None, None),
    (Print.TWO_WAY, Grain.LENGTHWISE, HALF, CROSS, HALF, CROSS),
    (Print.TWO_WAY, Grain.CROSSWISE, CROSS, HALF, CROSS, HALF),
    (Print.TWO_WAY, Grain.STRAIGHT, HALF, CROSS, HALF, CROSS),
    (Print.TWO_WAY, Grain.ANY, HALF, CROSS, HALF, CROSS),
    (Print.ONE_WAY, Grain.LENGTHWISE, (0,), (90,), (0,), (90,)),
    (Print.ONE_WAY, Grain.CROSSWISE, (90,), (180,), (270,), (0,)),
    (Print.ONE_WAY, Grain.STRAIGHT, (0,), (90,), (0,), (90,)),
    (Print.ONE_WAY, Grain.ANY, (0,), (90,), (0,), (90,)),
    (Print.FOUR_WAY, Grain.LENGTHWISE, HALF, CROSS, HALF, CROSS),
    (Print.FOUR_WAY, Grain.CROSSWISE, CROSS, HALF, CROSS, HALF),
    (Print.FOUR_WAY, Grain.STRAIGHT, QUARTER, QUARTER, QUARTER, QUARTER),
    (Print.FOUR_WAY, Grain.ANY, QUARTER, QUARTER, QUARTER, QUARTER),
]


Allowed = tuple[int, ...] | None


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0].value} {row[1].value}")
def test_turns_follow_the_table_of_print_grain_and_face(
    row: tuple[Print, Grain, Allowed, Allowed, Allowed, Allowed],
) -> None:
    """Every print on every grain, either side up, the fabric as it is and turned."""
    print_, grain, up, up_turned, down, down_turned = row
    for face, as_it_is, turned in ((UP, up, up_turned), (DOWN, down, down_turned)):
        turns = allowed_turns(print_, grain, face)
        assert turned_with(turns, 0.0) == as_it_is
        assert turned_with(turns, 90.0) == turned


def test_the_table_has_every_print_on_every_grain() -> None:
    """No case is left out of the table."""
    assert {row[:2] for row in TABLE} == {(print_, grain) for print_ in Print for grain in Grain}


def test_any_turn_is_searched_by_quarters() -> None:
    """Where any turn is allowed four are tried; where not, just those that are."""
    assert tried(None) == (0.0, 90.0, 180.0, 270.0)
    assert tried((90.0,)) == (90.0,)


def test_a_shape_is_as_wide_turned_as_it_was_long() -> None:
    """Measured at each turn that is tried, and at no other."""
    outline = ring((10, 10), (40, 10), (40, 80), (10, 80))
    assert sizes_at((90.0,), outline) == [pytest.approx((70, 30))]
    assert sizes_at((0.0, 180.0), outline) == [pytest.approx((30, 70))] * 2


@pytest.mark.parametrize("face", Face)
@pytest.mark.parametrize("print_", Print)
def test_a_layout_carries_the_turns_of_the_mat(print_: Print, face: Face) -> None:
    """The turns that stand in the layout are those of the fabric as it lies."""
    fabric = fabric_of(size=(10, 5), pieces=2, print_=print_, face=face, grain=Grain.CROSSWISE)
    layout = nested(cut_list_of(usual_shapes(), {"blade": 2}, fabric))
    row = next(row for row in TABLE if row[:2] == (print_, Grain.CROSSWISE))
    for load in layout.loads:
        for laid in load.fabrics:
            assert laid.turns_deg == row[(4 if face is DOWN else 2) + (laid.turn_deg == 90)]
            assert {placement.pose.turn_deg for placement in laid.placements} <= set(laid.turns_deg or ())
