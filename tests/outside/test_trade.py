"""What quilters know of plates. All of it is common practice; none of it has a published source."""

from __future__ import annotations

import pytest

from cutfiles.geometry.outline import bounds
from cutfiles.geometry.pose import placed
from cutfiles.job.model.job import Print
from cutfiles.nest.base.layout import PlacedFabric
from cutfiles.plate.measure import plate_of
from cutfiles.tips.registry import Tip
from tests.outside.made import IN, made, plate_job, squares

# 5 in long and 2.53 in at its wide end: two such ends don't fit side by side into 5 in. (With an inner
# radius of 1 1/4 in the wide end is 2.486 in and they do, so there the rule of thumb is too careful.)
LONG = {"inner_in": 1.4, "length_in": 5.0}


def test_two_blades_turned_end_for_end_come_from_a_five_inch_square() -> None:
    """Plain fabric: ten squares give the twenty blades of a plate, two each, one turned half round."""
    found = made(plate_job(fabric=squares(side_in=5, pieces=10), **LONG)).layout
    laid = [one for load in found.loads for one in load.fabrics]
    assert [len(one.placements) for one in laid] == [2] * 10
    for one in laid:
        turns = sorted(placement.pose.turn_deg for placement in one.placements)
        assert (turns[1] - turns[0]) % 360 == pytest.approx(180)


def test_a_five_inch_square_gives_no_third_blade() -> None:
    """Nor can it: three blades are larger than the square."""
    tally = made(plate_job(fabric=squares(side_in=5, pieces=10), **LONG)).layout.tallies[0]
    assert dict(tally.at_most)["blade"] // tally.pieces == 2


def test_a_one_way_print_gives_one_blade_a_square() -> None:
    """No turning: the plate takes twenty squares."""
    fabric = squares(side_in=5, pieces=20, print_=Print.ONE_WAY)
    found = made(plate_job(fabric=fabric, **LONG)).layout
    laid = [one for load in found.loads for one in load.fabrics]
    assert [len(one.placements) for one in laid] == [1] * 20
    turns = {(placement.pose.turn_deg - one.turn_deg) % 360 for one in laid for placement in one.placements}
    assert len(turns) == 1


def test_two_slimmer_one_way_blades_do_lie_side_by_side() -> None:
    """At 1 1/4 in from the centre the wide end is 2.486 in: the same way round, two still fit into 5 in."""
    job = plate_job(fabric=squares(side_in=5, pieces=10, print_=Print.ONE_WAY), inner_in=1.25, length_in=5.0)
    assert round(plate_of(job).blade.wide_width_mm / IN, 3) == 2.486
    assert made(job).layout.tallies[0].pieces_used == 10


def overlap(one: PlacedFabric, other: PlacedFabric) -> bool:
    return (
        one.x_mm < other.x_mm + other.across_mm
        and other.x_mm < one.x_mm + one.across_mm
        and one.y_mm < other.y_mm + other.up_mm
        and other.y_mm < one.y_mm + one.up_mm
    )


def test_four_five_inch_squares_share_a_twelve_inch_mat() -> None:
    """With a quarter-inch margin and register crosses in its corners; the squares don't overlap."""
    found = made(plate_job(fabric=squares(side_in=5, pieces=10), **LONG)).layout
    assert [len(load.fabrics) for load in found.loads] == [4, 4, 2]
    laid = found.loads[0].fabrics
    assert not any(overlap(one, other) for i, one in enumerate(laid) for other in laid[:i])
    for one in laid:
        assert one.x_mm >= 0.25 * IN - 1e-6
        assert one.x_mm + one.across_mm <= 11.75 * IN + 1e-6


def test_every_blade_lies_on_its_square() -> None:
    """No cut leaves the fabric."""
    found = made(plate_job(fabric=squares(side_in=5, pieces=10), **LONG)).layout
    for one in (laid for load in found.loads for laid in load.fabrics):
        for placement in one.placements:
            left, low, right, high = bounds(placed(found.shape("blade").cut, placement.pose))
            assert one.x_mm - 1e-6 <= left < right <= one.x_mm + one.across_mm + 1e-6
            assert one.y_mm - 1e-6 <= low < high <= one.y_mm + one.up_mm + 1e-6


@pytest.mark.parametrize("tip", Tip)
def test_a_twelve_inch_plate_goes_on_a_background_of_about_fourteen(tip: Tip) -> None:
    """Half an inch clear of the tips and a quarter-inch seam all round make 13 1/2 in; 3/4 in makes 14."""
    job = plate_job(fabric=squares(side_in=30, pieces=1), tip=tip, length_in=5.0, whole=True)
    plate = plate_of(job)
    assert plate.blade.finished_diameter_mm == pytest.approx(12 * IN)
    assert plate.background is not None
    assert plate.background.cut_width_mm == pytest.approx(14 * IN, abs=0.5 * IN + 1e-6)


def test_the_centre_is_cut_a_quarter_inch_larger_all_round() -> None:
    """For gathering over a template of its finished size."""
    centre = plate_of(plate_job(fabric=squares(side_in=30, pieces=1), whole=True)).centre
    assert centre is not None
    assert centre.cut_radius_mm - centre.finished_radius_mm == pytest.approx(0.25 * IN)
