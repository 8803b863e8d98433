"""From layout to strokes: draw, register, cut; every outline once; lettering that can be read."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import groupby, pairwise

import pytest
import shapely
from hypothesis import given, settings

from cutfiles.core.tolerance import ONE_LINE_MM
from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.geometry.outline import Circle, Contour, Path, Side, chords, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import Face, Job, Register
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pieces.lettering.letters import written
from cutfiles.pieces.shape import Shape
from cutfiles.plate.measure import plate_of
from cutfiles.toolpath.draw.register import register_marks
from cutfiles.toolpath.toolpath import plan_cuts
from tests import strategies
from tests.nest.jobs import bed_of, cut_list_of, fabric_of, nested, usual_shapes

# What greedy rules lay: strokes follow any layout alike.
AT_ONCE = Effort(0, 0, rows_from=100)
# Without the lines of the pen, which `pieces/cutlist.py` leaves out where a job doesn't want them.
BARE = tuple(replace(shape, marks=()) for shape in usual_shapes())
SLIPPER = Shape("slipper", ring((0, 0), (60, 0), (90, 40), (0, 40)), (), symmetric=False)


def planned(layout: Layout, bed: Bed) -> CutPlan:
    """Return the strokes of a layout."""
    return plan_cuts(layout, bed.mat, bed.machine)


def usual(bed: Bed, *, face: Face = Face.WRONG_SIDE_UP, pieces: int = 4) -> tuple[Layout, CutPlan]:
    """Return four squares of two blades each, cut on a bed."""
    layout = nested(cut_list_of(usual_shapes(), {"blade": 8}, fabric_of(pieces=pieces, face=face)), bed)
    return layout, planned(layout, bed)


@settings(max_examples=5, deadline=None)
@given(job=strategies.jobs(most_plates=1))
def test_every_load_is_drawn_then_marked_then_cut_and_every_outline_once(job: Job) -> None:
    """The three tool paths follow each other; the cuts are the layout's pieces, each just where it lies."""
    bed = Bed(job.mat, job.machine, job.unit)
    layout = nest(cut_list(job, plate_of(job)), bed, clock=Clock(effort=AT_ONCE))
    for load, plan in zip(layout.loads, planned(layout, bed).loads, strict=True):
        tools = [tool for tool, _ in groupby(stroke.tool for stroke in plan.strokes)]
        assert tools == [tool for tool in Tool if plan.strokes_of(tool)]
        outlines = {
            placement.piece_id: placed(layout.shape(placement.shape).cut, placement.pose)
            for laid in load.fabrics
            for placement in laid.placements
        }
        cuts = plan.strokes_of(Tool.CUT)
        if job.machine.gap_mm > ONE_LINE_MM:
            assert Counter(stroke.name for stroke in cuts) == Counter(list(outlines))
            assert all(is_begun_anew(stroke.path, outlines[stroke.piece_id]) for stroke in cuts)
        else:  # edges may be shared: tests/toolpath/cut/test_shared.py
            assert {stroke.piece_id for stroke in cuts} <= set(outlines)
            made = shapely.union_all([shapely.LineString(points_of(stroke.path)) for stroke in cuts]).buffer(
                0.02
            )
            for outline in outlines.values():
                assert made.covers(shapely.LineString(points_of(outline)))
        assert (plan.name, plan.width_mm, plan.height_mm) == (load.name, job.mat.width_mm, job.mat.height_mm)


def is_begun_anew(path: Contour, outline: Contour) -> bool:
    """Return whether a path is the outline, run the same way, if from another corner on."""
    if isinstance(path, Circle) or isinstance(outline, Circle):
        return path == outline
    corners = outline.vertices
    return path.closed and path.vertices in [
        corners[first:] + corners[:first] for first in range(len(corners))
    ]


@settings(max_examples=5, deadline=None)
@given(job=strategies.jobs(most_plates=1))
def test_everything_drawn_stays_on_its_piece(job: Job) -> None:
    """No pen line leaves the outline that it belongs to, a piece's lines come in one go."""
    bed = Bed(job.mat, job.machine, job.unit)
    layout = nest(cut_list(job, plate_of(job)), bed, clock=Clock(effort=AT_ONCE))
    for load, plan in zip(layout.loads, planned(layout, bed).loads, strict=True):
        whole = {}
        for laid in load.fabrics:
            for placement in laid.placements:
                outline = placed(layout.shape(placement.shape).cut, placement.pose)
                points = chords(outline, stray_mm=0.01, side=Side.OUTSIDE)
                whole[placement.piece_id] = shapely.Polygon(points).buffer(0.02)
        for stroke in plan.strokes_of(Tool.DRAW):
            assert whole[stroke.piece_id].covers(shapely.LineString(points_of(stroke.path)))
        runs = [piece for piece, _ in groupby(stroke.piece_id for stroke in plan.strokes_of(Tool.DRAW))]
        assert len(runs) == len(set(runs))


def points_of(path: Contour) -> list[tuple[float, float]]:
    """Return points along a path, closed where it is."""
    points = chords(path, stray_mm=0.01)
    return [*points, points[0]] if isinstance(path, Circle) or path.closed else points


@settings(max_examples=5, deadline=None)
@given(job=strategies.jobs(most_plates=1))
def test_the_way_said_is_the_way_between_the_strokes(job: Job) -> None:
    """Each tool from the mat's corner through its strokes' ends, and no longer than as laid."""
    bed = Bed(job.mat, job.machine, job.unit)
    layout = nest(cut_list(job, plate_of(job)), bed, clock=Clock(effort=AT_ONCE))
    for plan in planned(layout, bed).loads:
        total = 0.0
        for tool in Tool:
            here = (0.0, 0.0)
            for stroke in plan.strokes_of(tool):
                points = points_of(stroke.path)
                total += math.dist(here, points[0])
                here = points[-1]
        assert plan.travel_mm == pytest.approx(total, abs=1e-6)
        assert plan.travel_mm <= plan.travel_as_laid_mm + 1e-6


def test_a_piece_drawn_from_its_last_line_to_its_first_is_drawn_as_shortly() -> None:
    """Pieces with the same lines, drawn from either end, have the same way between them."""
    bed = bed_of(draw=(Drawn.SEW, Drawn.FOLD, Drawn.NOTCH))
    layout = nested(cut_list_of((usual_shapes()[0],), {"blade": 12}, fabric_of()), bed)
    ways: dict[str, float] = {}
    firsts = set()
    for piece, strokes in groupby(
        planned(layout, bed).loads[0].strokes_of(Tool.DRAW), key=lambda mark: mark.piece_id
    ):
        drawn = list(strokes)
        points = [points_of(stroke.path) for stroke in drawn]
        firsts.add((drawn[0].kind, len(points[0])))
        ways[piece] = sum(math.dist(a[-1], b[0]) for a, b in pairwise(points))
    assert len(firsts) > 1  # some were drawn from either end
    assert list(ways.values()) == pytest.approx([ways[piece]] * len(ways), abs=1e-6)


def test_only_what_is_wanted_is_drawn() -> None:
    """With nothing to draw, the pen stays up."""
    bed = bed_of(draw=())
    plan = planned(nested(cut_list_of(BARE, {"blade": 8}, fabric_of()), bed), bed)
    assert plan.loads
    assert all(load.strokes_of(Tool.DRAW) == () for load in plan.loads)


def test_a_drawn_line_says_what_it_is() -> None:
    """Sew, fold, notch, grain and label strokes are as many as the shape and its lettering have of each."""
    bed = bed_of(draw=tuple(Drawn))
    shape = usual_shapes()[0]
    plan = planned(nested(cut_list_of((shape,), {"blade": 2}, fabric_of(pieces=1)), bed), bed)
    counts = Counter(
        stroke.kind for stroke in plan.loads[0].strokes_of(Tool.DRAW) if stroke.piece_id.endswith("001")
    )
    arrow, label = 3, len(written("tide 1", capitals_mm=4.0).strokes)
    wanted = Counter(mark.kind for mark in shape.marks) + Counter({Drawn.GRAIN: arrow, Drawn.LABEL: label})
    assert counts == wanted
    assert all(stroke.kind is None for stroke in plan.loads[0].strokes if stroke.tool is not Tool.DRAW)


@pytest.mark.parametrize("face", Face)
def test_lettering_is_never_mirrored(face: Face) -> None:
    """Whichever side is up, on a shape that is not its own mirror image, the label can be read."""
    fabric = fabric_of("tide", size=(6, 6), pieces=1, face=face, cuts={"slipper": 1})
    layout = nested(cut_list_of((SLIPPER,), {"slipper": 1}, fabric), bed := bed_of(draw=(Drawn.LABEL,)))
    assert layout.loads[0].fabrics[0].placements[0].pose.mirrored == (face is Face.WRONG_SIDE_UP)
    load = planned(layout, bed).loads[0]
    assert is_written(load, "tide 1")


def test_lettering_on_a_turned_fabric_is_only_turned() -> None:
    """A mirrored piece on a fabric that lies turned still carries a label that can be read."""
    fabric = fabric_of("tide", size=(18, 6), pieces=1, cuts={"slipper": 3})
    layout = nested(cut_list_of((SLIPPER,), {"slipper": 3}, fabric), bed := bed_of(draw=(Drawn.LABEL,)))
    assert layout.loads[0].fabrics[0].turn_deg == 90
    load = planned(layout, bed).loads[0]
    for number in (1, 2, 3):
        assert is_written(load, f"tide {number}", piece=f"tide-slipper-{number:03d}")


def is_written(load: LoadPlan, text: str, *, piece: str | None = None) -> bool:
    """Return whether a piece's strokes are those of a text, at some size and quarter turn, unmirrored."""
    strokes = [s.path for s in load.strokes_of(Tool.DRAW) if piece is None or s.piece_id == piece]
    for capitals in (4.0, 3.2, 2.5):
        for turn in (0.0, 90.0, 180.0, 270.0):
            meant = [
                placed(path, Pose(turn_deg=turn)) for path in written(text, capitals_mm=capitals).strokes
            ]
            if shape_of(meant) == shape_of(strokes):
                return True
    return False


def shape_of(paths: list[Path] | list[Contour]) -> list[list[tuple[float, float]]]:
    """Return the corners of each stroke, run either way, counted from the lowest left, to a thousandth."""
    strokes = [[(vertex.x, vertex.y) for vertex in path.vertices] for path in paths if isinstance(path, Path)]
    x, y = (min(corner[axis] for stroke in strokes for corner in stroke) for axis in (0, 1))
    moved = [[(round(a - x, 3) + 0.0, round(b - y, 3) + 0.0) for a, b in stroke] for stroke in strokes]
    return sorted(min(stroke, stroke[::-1]) for stroke in moved)


@pytest.mark.parametrize("register", Register)
def test_every_load_has_the_same_register_marks(register: Register) -> None:
    """Those of the mat, so that any load can be laid down by them."""
    bed = bed_of(register=register, mat=(12, 12))
    plan = planned(nested(cut_list_of(usual_shapes(), {"blade": 12}, fabric_of()), bed), bed)
    assert len(plan.loads) > 1
    for load in plan.loads:
        assert load.strokes_of(Tool.REGISTER) == register_marks(bed.mat, register)


def test_a_feature_below_the_machines_smallest_is_said() -> None:
    """The blade's narrow end and the limit both stand in the note."""
    _, plan = usual(bed_of(smallest_mm=30.0))
    assert [note for note in plan.notes if "smallest" in note] == [
        "blade: its smallest edge is 22.92 mm (0.902 in), the machine's smallest feature is 30 mm (1.181 in)"
    ]
    assert not [note for note in usual(bed_of())[1].notes if "smallest" in note]


def test_the_grain_arrow_lies_along_the_fabrics_length() -> None:
    """Up the mat where the fabric lies as it is, across it where it lies turned."""
    for size, up in (((5, 5), True), ((18, 5), False)):
        fabric = fabric_of(size=size, pieces=1, cuts={"blade": 2})
        layout = nested(cut_list_of(BARE, {"blade": 2}, fabric), bed := bed_of(draw=(Drawn.GRAIN,)))
        assert (layout.loads[0].fabrics[0].turn_deg == 0) is up
        load = planned(layout, bed).loads[0]
        # All that is drawn on a piece is the arrow: its shaft, and two heads of three corners.
        for _, strokes in groupby(load.strokes_of(Tool.DRAW), key=lambda stroke: stroke.piece_id):
            paths = [stroke.path for stroke in strokes if isinstance(stroke.path, Path)]
            (shaft,) = (path for path in paths if len(path.vertices) == 2)
            start, end = shaft.vertices
            across, along = abs(end.x - start.x), abs(end.y - start.y)
            assert (across if up else along) < 1e-6
            assert (along if up else across) > 8
