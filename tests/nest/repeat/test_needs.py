"""How many repeats a plate needs: worked out by hand for plain cases, and held against what is really cut."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import event, example, given, settings
from hypothesis import strategies as st

from cutfiles.core.units import sold
from cutfiles.job.model.job import Job, Print
from cutfiles.job.parse.read import parse_job
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.nest import Bed, nest
from cutfiles.nest.repeat.needs import RepeatNeed, repeat_needs
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from tests.nest.jobs import IN

JOB = """
[plate]
count = {plates}
blade_length = "4 3/4"
inner_radius = "1 1/4"
[centre]
[[fabric]]
name = "lantern"
width = {width}
length = {length}
print = "{print}"
grain = "{grain}"
margin = {margin}
repeat = {{ width = {across}, length = {along} }}
motif = [{x}, {y}]
cuts = {cuts}
[mat]
width = {mat}
height = 24
"""
USUAL = {
    "plates": 1, "width": 42, "length": 20, "print": "one-way", "grain": "lengthwise", "margin": 0,
    "across": 4, "along": 6, "x": 2, "y": 0.5, "cuts": '{ blade = "rest" }', "mat": 12,
}  # fmt: skip


def job_of(**changed: object) -> Job:
    """Return the usual job with some of it changed; sizes in inches."""
    return parse_job(JOB.format(**{**USUAL, **changed}))


def need_of(**changed: object) -> RepeatNeed:
    """Return what its only fabric needs for its first shape."""
    job = job_of(**changed)
    return repeat_needs(job, plate_of(job))[0]


def test_a_blade_to_each_repeat() -> None:
    """Ten blades side by side in 42 in, two rows of them: twenty repeats; the second ends at 12 1/2 in."""
    need = need_of(mat=60)
    assert (need.block.pieces, need.block.across, need.block.along) == (1, 1, 1)
    assert need.plate is not None
    assert (need.plate.pieces, need.plate.across, need.plate.along) == (20, 10, 2)
    # The first plate centre at 1/2 in, the second row's a repeat on, its wide ends 1 1/4 + 4 3/4 in above.
    assert need.plate.length_mm == pytest.approx((0.5 + 6 + 6) * IN)
    # Cut off anywhere: 10 3/4 in of cloth and a repeat, 16 3/4 in, is sold as half a yard.
    assert need.plate.buy_mm == pytest.approx(18 * IN)


def test_narrow_repeats_are_skipped() -> None:
    """Blades 2.41 in wide take every second repeat of 1 3/4 in; 4 3/4 in long, every fourth of 1 1/2 in."""
    need = need_of(across=1.75, along=1.5, x=1, y=0)
    assert (need.block.pieces, need.block.across, need.block.along) == (1, 2, 4)


def test_blades_end_for_end_share_what_they_leave() -> None:
    """On a repeat of 2 in across, one way round takes every second; end for end, every one.

    With plate centres 7 1/2 in apart the edges are parallel and 7.5·tan 9° + (2·0.25 + 0.0625)/cos 9° apart:
    1.757 in, which 2 in hold.
    """
    sizes = {"width": 44, "across": 2, "along": 2.5, "x": 1, "y": 0, "mat": 60}
    one_way, both = need_of(**sizes), need_of(**sizes, print="two-way")
    assert (one_way.block.pieces, one_way.block.across) == (1, 2)
    assert (both.block.pieces, both.block.across) == (2, 2)
    assert one_way.plate is not None
    assert both.plate is not None
    assert both.plate.length_mm < one_way.plate.length_mm


def test_what_the_job_asks_of_the_fabric_is_told_beside_a_plate() -> None:
    """Three plates' rest less what other fabrics are told to give; "fill" asks for no number."""
    rest = need_of(plates=3)
    assert (rest.plate and rest.plate.pieces, rest.job and rest.job.pieces) == (20, 60)
    assert need_of(plates=3, cuts="{ blade = 7 }").job == replace_pieces(7)
    assert need_of(cuts='{ blade = "fill" }').job is None
    centre = need_of(cuts='{ centre = "rest" }', plates=2)
    assert (centre.shape, centre.plate and centre.plate.pieces, centre.job and centre.job.pieces) == (
        "centre",
        1,
        2,
    )
    # 3 1/2 in across on 4 in by 6 in.
    assert (centre.block.across, centre.block.along) == (1, 1)


def replace_pieces(count: int) -> object:
    """Return what a job of one plate with so many sewn blades needs for them."""
    return need_of(cuts=f"{{ blade = {count} }}").job


def test_no_room_is_told() -> None:
    """A strip 2 in wide holds no blade."""
    need = need_of(width=2, x=1)
    assert (need.plate, need.job) == (None, None)


def test_a_flawed_fabric_is_promised_nothing() -> None:
    """Rows would run through the flaw; how neighbours lie is told all the same."""
    job = job_of()
    flawed = replace(job.fabrics[0], avoid=(((0, 0), (30, 0), (0, 30)),))
    (need,) = repeat_needs(replace(job, fabrics=(flawed,)), plate_of(job))
    assert (need.plate, need.job) == (None, None)
    assert need.block.pieces == 1


@st.composite
def jobs_on_repeats(draw: st.DrawFn) -> Job:
    """Jobs of two plates whose only fabric gives some blades."""
    across, along = draw(st.floats(0.6, 7)), draw(st.floats(0.6, 9))
    return job_of(
        plates=2,
        width=draw(st.floats(6, 44)),
        across=across,
        along=along,
        x=across * draw(st.floats(0, 1)),
        y=along * draw(st.floats(0, 1)),
        print=draw(st.sampled_from(Print)).value,
        grain=draw(st.sampled_from(["lengthwise", "crosswise", "straight"])),
        margin=draw(st.sampled_from([0, 0.25])),
        cuts=f"{{ blade = {draw(st.integers(1, 30))} }}",
        mat=draw(st.sampled_from([8, 12, 24])),
    )


# The search for rough cuts is a greedy one: what holds of these jobs isn't proven of all.
@settings(max_examples=10, deadline=None, derandomize=True)
@given(job=jobs_on_repeats())
@example(job=job_of(cuts="{ blade = 20 }"))
@example(
    # It fits the mat whole, so rows lie the gap apart that two sides of a rough cut don't owe each other.
    job=job_of(width=6, across=1.625, along=1, x=0, y=0, print="plain", cuts="{ blade = 4 }", mat=8)
)
@example(
    job=job_of(width=6, across=1.75, along=4, x=0, y=0, print="plain", cuts="{ blade = 6 }", plates=2, mat=8)
)
@example(job=job_of(width=40, across=5, along=7, cuts="{ blade = 24 }", plates=2, mat=8))
def test_the_length_that_is_said_does(job: Job) -> None:
    """A fabric of just that length gives all the blades, rough cuts for the mat and all."""
    need = repeat_needs(job, plate_of(job))[0]
    event("no room" if need.job is None else "room")
    if need.job is None:
        return
    cloth = replace(job.fabrics[0], length_mm=need.job.length_mm + 1e-6)
    cut = replace(job, fabrics=(cloth,))
    layout = nest(cut_list(cut, plate_of(cut)), Bed(cut.mat, cut.machine, cut.unit), clock=Clock())
    assert dict(layout.tallies[0].counts) == {"blade": need.job.pieces}
    assert need.job.buy_mm >= need.job.length_mm - 1e-6
    assert sold(need.job.buy_mm, job.unit).endswith(" yd")
