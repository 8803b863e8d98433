"""What holds of every layout, whatever the job."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import UnmetError
from cutfiles.core.units import Unit
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import Face, Grain, Job, MachineSpec, MatSpec, Print, Register, Share
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pieces.own_outline import outline_shape
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import CutList
from cutfiles.plate.measure import plate_of
from cutfiles.tips.registry import Tip
from tests import strategies
from tests.nest.jobs import IN, bed_of, blade_of, centre_circle, cut_list_of, fabric_of, nested, typical
from tests.nest.measured import faults


@st.composite
def tight_jobs(draw: st.DrawFn) -> tuple[CutList, Bed]:
    """Jobs on scarce fabric: odd sizes, some above the mat, with fills and rests; some can't be met."""
    tip = draw(st.sampled_from(Tip))
    blade = blade_of(draw(st.integers(8, 24)), length=draw(st.floats(2.5, 4.75)), tip=tip)
    leaf = outline_shape(draw(strategies.outline_specs(name="leaf")))
    shapes = (blade_shape(blade), centre_circle(draw(st.floats(1.2, 2.2))), leaf)
    counts = st.one_of(st.integers(1, 4), st.sampled_from(Share))
    fabrics = []
    for name in ("tide", "shingle")[: draw(st.integers(1, 2))]:
        names = draw(st.lists(st.sampled_from([shape.name for shape in shapes]), min_size=1, unique=True))
        fabrics.append(
            fabric_of(
                name,
                size=(draw(st.floats(4.5, 9)), draw(st.floats(4.5, 9))),
                pieces=draw(st.integers(1, 2)),
                print_=draw(st.sampled_from(Print)),
                grain=draw(st.sampled_from(Grain)),
                margin=draw(st.sampled_from([0.0, 0.125])),
                face=draw(st.sampled_from(Face)),
                cuts={shape_name: draw(counts) for shape_name in names},
            )
        )
    needs = {shape.name: draw(st.integers(1, 6)) for shape in shapes}
    mat = MatSpec(draw(st.floats(5, 9)) * IN, draw(st.floats(5, 9)) * IN, draw(st.sampled_from([0.0, 6.35])))
    gap = draw(st.sampled_from([0.0, 0.8, 3.0]))
    machine = MachineSpec(gap, (Drawn.SEW,), 0.0, draw(st.sampled_from(Register)))
    return cut_list_of(shapes, needs, *fabrics), Bed(mat, machine, Unit.IN)


def told(cuts: CutList) -> Counter[tuple[str, str]]:
    """Return the fixed numbers, by fabric and shape."""
    numbers = (
        (demand.fabric.name, shape, count) for demand in cuts.demands for shape, count in demand.counts
    )
    return Counter({(name, shape): count for name, shape, count in numbers if isinstance(count, int)})


def given_of(layout: Layout) -> Counter[tuple[str, str]]:
    """Return what the tallies say each fabric gives of each shape."""
    return Counter({(tally.fabric, shape): n for tally in layout.tallies for shape, n in tally.counts})


def wrong_counts(cuts: CutList, layout: Layout) -> list[str]:
    """Return where a layout gives something else than was asked."""
    given, wrong = given_of(layout), []
    for (fabric, shape), count in told(cuts).items():
        if given[(fabric, shape)] != count:
            wrong.append(f"{fabric} gives {given[(fabric, shape)]} of {shape}, not {count}")
    for shape, need in cuts.needs:
        asked = {count for demand in cuts.demands for name, count in demand.counts if name == shape}
        total = sum(count for (_, name), count in given.items() if name == shape)
        if Share.REST in asked and total < need:
            wrong.append(f"{total} of {shape} for a need of {need}")
        fixed = sum(count for (_, name), count in told(cuts).items() if name == shape)
        if Share.REST in asked and Share.FILL not in asked and total != max(need, fixed):
            wrong.append(f"{total} of {shape}, not {max(need, fixed)}")
        if not asked and total:
            wrong.append(f"nobody asked for {shape}")
    return wrong


@settings(max_examples=4, deadline=None)
@given(job=strategies.jobs(most_plates=1))
def test_a_job_that_can_be_met_is_met_within_every_law(job: Job) -> None:
    """Margins, reach, marks, gap, turns and counts all hold, and a second run gives the same."""
    pieces, bed = cut_list(job, plate_of(job)), Bed(job.mat, job.machine, job.unit)
    layout = nest(pieces, bed, clock=Clock())
    assert faults(layout, pieces, bed) == []
    assert wrong_counts(pieces, layout) == []
    assert nest(pieces, bed, clock=Clock()) == layout


@settings(max_examples=4, deadline=None)
@given(job=tight_jobs())
def test_a_layout_on_scarce_fabric_keeps_every_law_or_is_refused_in_words(job: tuple[CutList, Bed]) -> None:
    """Odd sizes, fabric above the mat, fills and rests: what is laid is right, what isn't is said."""
    pieces, bed = job
    try:
        layout = nest(pieces, bed, clock=Clock())
    except UnmetError as error:
        refusal = str(error)
        event("refused")
    else:
        refusal = ""
    if refusal:
        for line in refusal.splitlines():
            assert "would do" in line or "use a larger mat" in line
        return
    assert faults(layout, pieces, bed) == []
    assert wrong_counts(pieces, layout) == []
    for tally in layout.tallies:
        for (shape, count), (also, most) in zip(tally.counts, tally.at_most, strict=True):
            assert shape == also
            assert count <= most
        assert 0 <= tally.used_share <= 1


def test_the_typical_job_keeps_every_law() -> None:
    """Three plates from packs of squares and a fat quarter: the job that most people bring."""
    job, bed = typical(), bed_of()
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    assert wrong_counts(job, layout) == []


@pytest.mark.parametrize(
    ("move", "says"),
    [
        (Pose(-5e-6, 0.0), "leaves its fabric"),
        (Pose(5e-6, 0.0), "nearer than the gap"),
        (Pose(0.0, 0.0, 90.0), "may not lie at"),
        (Pose(0.0, 300.0), "leaves its fabric"),
    ],
)
def test_the_measure_sees_a_piece_out_of_place(move: Pose, says: str) -> None:
    """Were the laws broken by five millionths of a mm, these tests would tell."""
    job, bed = (
        cut_list_of((centre_circle(1.0),), {"centre": 2}, fabric_of(size=(4.0625, 2), cuts={"centre": 2})),
        bed_of(),
    )
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    laid = layout.loads[0].fabrics[0]
    first = laid.placements[0]
    pose = first.pose
    moved = Pose(pose.x_mm + move.x_mm, pose.y_mm + move.y_mm, pose.turn_deg + move.turn_deg)
    spoilt = replace(laid, placements=(replace(first, pose=moved), *laid.placements[1:]))
    load = replace(layout.loads[0], fabrics=(spoilt,))
    assert any(says in fault for fault in faults(replace(layout, loads=(load,)), job, bed))
