"""Small jobs, nested and written, for the checks against published sources and independent readers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutfiles.core.units import Unit
from cutfiles.formats.model.plan import CutPlan
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import (
    BackgroundSpec,
    CentreSpec,
    FabricSpec,
    Face,
    Grain,
    Job,
    MachineSpec,
    MatSpec,
    OutlineSpec,
    PlateSpec,
    Print,
    Register,
    Share,
)
from cutfiles.job.model.template import SewnOrCut
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.tips.registry import Tip
from cutfiles.toolpath.toolpath import plan_cuts

IN = 25.4

# The cut line is drawn for scissors alone, where nothing is cut by a machine.
_ALL_BUT_THE_CUT_LINE = tuple(drawn for drawn in Drawn if drawn is not Drawn.CUT)


def squares(*, side_in: float, pieces: int, print_: Print = Print.PLAIN) -> FabricSpec:
    """Square fabric without a margin that gives the rest of everything."""
    side = side_in * IN
    cuts = tuple((shape, Share.REST) for shape in ("blade", "centre", "background", "leaf"))
    return FabricSpec(
        "tide", side, side, pieces, print_, Grain.LENGTHWISE, 0.0, Face.WRONG_SIDE_UP, cuts
    )  # fmt: skip


def plate_job(
    *,
    fabric: FabricSpec,
    tip: Tip = Tip.FOLDED,
    inner_in: float = 1.25,
    length_in: float = 4.75,
    whole: bool = False,
    mat_in: float = 12.0,
) -> Job:
    """A plate of twenty blades with a quarter-inch seam; `whole` adds a centre, a background and a leaf."""
    leaf = OutlineSpec("leaf", ((0, -30), (25, 0), (0, 45), (-20, 5)), 2, 0.25 * IN, SewnOrCut.SEWN)
    shapes = {"blade"} | ({"centre", "background", "leaf"} if whole else set())
    fabric = FabricSpec(
        fabric.name, fabric.width_mm, fabric.length_mm, fabric.pieces, fabric.print_, fabric.grain,
        fabric.margin_mm, fabric.face, tuple(one for one in fabric.cuts if one[0] in shapes),
    )  # fmt: skip
    return Job(
        title="Harbour school runner",
        unit=Unit.IN,
        plate=PlateSpec(1, 20, 20, length_in * IN, inner_in * IN, None, 0.25 * IN, tip),
        centre=CentreSpec(0.25 * IN, 0.25 * IN, None) if whole else None,
        background=BackgroundSpec(0.5 * IN, None) if whole else None,
        fabrics=(fabric,),
        outlines=(leaf,) if whole else (),
        mat=MatSpec(mat_in * IN, mat_in * IN, 0.25 * IN),
        machine=MachineSpec(0.0, _ALL_BUT_THE_CUT_LINE, 0.0, Register.CROSS),
        files=("svg", "dxf"),
    )


@dataclass(frozen=True, slots=True)
class Made:
    """A job's layout, and the strokes of its loads."""

    layout: Layout
    plan: CutPlan


def made(job: Job) -> Made:
    """Nest a job and plan its strokes."""
    layout = nest(cut_list(job, plate_of(job)), Bed(job.mat, job.machine, job.unit), clock=Clock())
    return Made(layout, plan_cuts(layout, job.mat, job.machine))


def whole_plate(tip: Tip) -> Made:
    """A plate with all its parts laid out by hand: every kind of line in one file."""
    job = plate_job(
        fabric=replace(squares(side_in=30, pieces=1), face=Face.RIGHT_SIDE_UP), tip=tip, whole=True, mat_in=32
    )
    shapes = cut_list(job, plate_of(job)).shapes
    poses = [("blade", Pose(50 + 75 * (i % 10), -10 + 140 * (i // 10), 0.5 * (i % 3))) for i in range(20)]
    # A blade's origin is the plate centre: turned half round it lies below it.
    poses[3] = ("blade", Pose(275, 160, 180.0))
    poses += [("centre", Pose(120, 400)), ("background", Pose(400, 550))]
    poses += [("leaf", Pose(700, 400, 33.0)), ("leaf", Pose(700, 550, 33.0, mirrored=True))]
    placements = tuple(
        Placement(f"tide-{shape}-{n:03d}", shape, n, f"tide {n}", pose)
        for n, (shape, pose) in enumerate(poses, start=1)
    )
    side = 30 * IN
    laid = PlacedFabric("tide", 1, 12.0, 12.0, side, side, 0.0, 0.0, None, placements)
    layout = Layout(shapes, (Load("load-01", (laid,)),), (), (), (), ())
    return Made(layout, plan_cuts(layout, job.mat, job.machine))
