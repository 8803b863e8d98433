"""The last look at a layout: exact for circles, quick, always taken, and what it finds is our bug."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import FabricSpec, Register, Share
from cutfiles.nest import nest as nest_module
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.nest.verify.verify import Law, faults_of
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.tips.registry import Tip
from tests.nest.jobs import IN, bed_of, blade_of, centre_circle, cut_list_of, fabric_of, nested

Spoil = Callable[[Layout], Layout]


@given(
    apart=st.floats(0.0, 4.0),
    turn=st.floats(0.0, 360.0),
    gap=st.sampled_from([0.0, 0.5, 1.5875]),
)
def test_circles_are_too_near_where_their_middles_say_so(apart: float, turn: float, gap: float) -> None:
    """The distance of two circles is that of their middles less both radii."""
    circle = centre_circle(1.0)
    fabric = fabric_of(size=(10, 10), pieces=1, cuts={"centre": 2})
    job, bed = cut_list_of((circle,), {"centre": 2}, fabric), bed_of(register=Register.NONE)
    bed = replace(bed, machine=replace(bed.machine, gap_mm=gap))
    middle = Pose(6 * IN, 6 * IN)
    away = Pose(middle.x_mm, middle.y_mm, turn).point((2 * IN + apart - 1.0, 0.0))
    placements = tuple(
        Placement(f"tide-centre-00{n}", "centre", n, f"tide {n}", pose)
        for n, pose in ((1, middle), (2, Pose(*away)))
    )
    laid = PlacedFabric("tide", 1, 0.5 * IN, 0.5 * IN, 10 * IN, 10 * IN, 0.0, 0.0, None, placements)
    layout = Layout((circle,), (Load("load-01", (laid,)),), (), (), (), ())
    law = Law(job, bed.mat, bed.machine)
    near = [fault for fault in faults_of(layout, law) if "overlap" in fault or "apart" in fault]
    if apart - 1.0 > gap - 0.9e-6:
        assert near == []
    if apart - 1.0 < gap - 1.1e-6:
        assert near


@pytest.mark.parametrize(("tip", "gap"), [(Tip.FOLDED, 0.0625), (Tip.ROUND, 0.0)])
def test_many_pieces_take_little_time(tip: Tip, gap: float) -> None:
    """Some 2400 blades on one load are measured in under two seconds; ten times that is allowed here."""
    shape = blade_shape(blade_of(length=2.5, tip=tip))
    fabric = fabric_of(size=(12, 12), pieces=1, cuts={"blade": Share.FILL})
    job, bed = (
        cut_list_of((shape,), {}, fabric),
        bed_of(mat=(12.1, 12.1), gap=gap, margin=0.01, register=Register.NONE),
    )
    layout = nested(job, bed)
    first = layout.loads[0].fabrics[0]
    each, step = len(first.placements), 12.5 * IN
    copies = 2400 // each

    def copied(number: int) -> PlacedFabric:
        pieces = tuple(
            replace(
                placement,
                piece_id=f"{placement.piece_id}-{number}",
                pose=replace(placement.pose, x_mm=placement.pose.x_mm + number * step),
            )
            for placement in first.placements
        )
        return replace(first, piece=number + 1, x_mm=first.x_mm + number * step, placements=pieces)

    many: FabricSpec = replace(fabric, pieces=copies)
    tally = replace(layout.tallies[0], counts=(("blade", copies * each),))
    load = Load("load-01", tuple(copied(number) for number in range(copies)))
    large = replace(layout, loads=(load,), tallies=(tally,))
    law = Law(cut_list_of((shape,), {}, many), replace(bed.mat, width_mm=copies * step), bed.machine)
    start = time.process_time()
    assert list(faults_of(large, law)) == []
    assert time.process_time() - start < 20


def test_every_layout_is_looked_at_before_it_leaves(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the job's own law."""
    seen: list[tuple[Layout, Law]] = []
    monkeypatch.setattr(nest_module, "verify", lambda layout, law: seen.append((layout, law)))
    small, bed = cut_list_of((centre_circle(1.0),), {"centre": 2}, fabric_of(cuts={"centre": 2})), bed_of()
    layout = nested(small, bed)
    assert seen == [(layout, Law(small, bed.mat, bed.machine))]
