"""A tool that removes some width leaves pieces of true size: shapely takes the width away again."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, area, ring
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.cut.kerf import cut_lines, kept_too_much
from cutfiles.toolpath.toolpath import plan_cuts
from tests.nest.jobs import bed_of, cut_list_of, fabric_of, nested, usual_shapes
from tests.strategies import bulged_paths, convex_outlines, lengths_mm, star_outlines
from tests.toolpath.castor import steps
from tests.toolpath.tools import cut_strokes, laid_out

WITHIN_MM = 0.005
ARCH = Path((Vertex(0, 0), Vertex(40, 0), Vertex(40, 30, 1.0), Vertex(0, 30)), closed=True)
NOTCHED = ring((0, 0), (40, 0), (40, 30), (20, 12), (0, 30))
WINDOW = Shape(
    "window", ring((0, 0), (60, 0), (60, 60), (0, 60)), (), symmetric=True,
    inner=(Circle(30, 30, 10), ring((5, 5), (12, 5), (12, 12), (5, 12))),
)  # fmt: skip


def solid(outline: Contour) -> shapely.Polygon:
    """What an outline bounds, its arcs as very fine chords."""
    return shapely.Polygon(steps(outline, 50.0))


def without(piece: shapely.Polygon, kerf: float) -> shapely.Polygon:
    """What is left when a tool of that width has run round."""
    # Not an inward buffer: beside a shallow inner corner the library leaves a spike.
    return piece.difference(piece.exterior.buffer(kerf / 2, quad_segs=64))


def shape_of(outline: Contour) -> Shape:
    return Shape("leaf", outline, (), symmetric=False)


@settings(max_examples=25, deadline=None)
@given(outline=st.one_of(convex_outlines(), st.just(ARCH)), kerf=lengths_mm(0.02, 3.0))
def test_what_is_left_of_a_convex_piece_is_true(outline: Path, kerf: float) -> None:
    """The width of the tool taken off all round: the outline itself, sharp corners and all."""
    left = without(solid(cut_lines(shape_of(outline), kerf).outer), kerf)
    assert shapely.hausdorff_distance(left.exterior, solid(outline).exterior) < WITHIN_MM


@settings(max_examples=25, deadline=None)
@given(outline=st.one_of(bulged_paths(), star_outlines(), st.just(NOTCHED)), kerf=lengths_mm(0.02, 2.0))
def test_no_piece_loses_anything_and_only_inner_corners_keep_something(outline: Path, kerf: float) -> None:
    """What is left is what a round tool can leave: the piece, with its inner corners rounded."""
    if not solid(outline).is_valid:
        return  # arcs of neighbours may cross
    left = without(solid(cut_lines(shape_of(outline), kerf).outer), kerf)
    assert solid(outline).difference(left.buffer(WITHIN_MM)).is_empty
    kept = without(shapely.Polygon(solid(outline).buffer(kerf / 2, quad_segs=64).exterior), kerf)
    assert kept.buffer(WITHIN_MM).covers(left)


def test_arcs_stay_arcs_and_circles_circles() -> None:
    """An arch's arc grows by half the kerf, a hole's circle shrinks by it."""
    grown = cut_lines(shape_of(ARCH), 0.5).outer
    assert isinstance(grown, Path)
    assert sum(1 for vertex in grown.vertices if vertex.bulge) == 3  # the arch, and round two corners
    lines = cut_lines(WINDOW, 0.5)
    assert lines.inner[0] == Circle(30, 30, 9.75)
    hole = solid(lines.inner[1])
    assert hole.bounds == pytest.approx((5.25, 5.25, 11.75, 11.75), abs=1e-6)


def test_no_kerf_changes_nothing() -> None:
    """Not by the last bit."""
    lines = cut_lines(WINDOW, 0.0)
    assert (lines.outer, lines.inner) == (WINDOW.cut, WINDOW.inner)


def test_inner_corners_that_stay_round_are_told() -> None:
    """A wide kerf in a notch is worth a note, a fine one is not, and convex pieces never are."""
    (note,) = kept_too_much(shape_of(NOTCHED), 1.0, Unit.MM)
    assert "leaf" in note
    assert "inner corners" in note
    assert kept_too_much(shape_of(NOTCHED), 0.05, Unit.MM) == ()
    assert kept_too_much(shape_of(ARCH), 2.0, Unit.MM) == ()


def test_a_hole_finer_than_the_kerf_is_refused_in_one_line() -> None:
    """Nothing would be left of its cut line."""
    tiny = Shape("window", WINDOW.cut, (), symmetric=True, inner=(Circle(30, 30, 0.2),))
    with pytest.raises(JobError, match=r"a hole of window can't be cut with a kerf of 0.5 mm"):
        cut_lines(tiny, 0.5)
    narrow = Shape("window", WINDOW.cut, (), symmetric=True, inner=(ring((5, 5), (9, 5), (9, 5.3)),))
    with pytest.raises(JobError, match="a hole of window"):
        cut_lines(narrow, 0.5)


def test_holes_are_cut_first_and_the_other_way_round() -> None:
    """Inner cuts clockwise, then the outline counter-clockwise; each has a name of its own."""
    strokes = cut_strokes(laid_out(WINDOW, [(0, 0), (70, 0)]), bed_of(), kerf_mm=0.2)
    names = [stroke.name for stroke in strokes]
    for piece in ("tide-window-001", "tide-window-002"):
        at = names.index(f"{piece}-inner-1")
        assert names[at : at + 3] == [f"{piece}-inner-1", f"{piece}-inner-2", piece]
    for stroke in strokes:
        if isinstance(stroke.path, Path):
            assert (area(stroke.path) < 0) == ("inner" in stroke.part)


def test_the_tool_stays_within_the_machines_reach() -> None:
    """A fabric that fills the mat still leaves room for half the kerf, and for a knife's swing."""
    machine = bed_of(mat=(5.6, 5.6), margin=0.25, gap=0.1, register=bed_of().machine.register)
    from dataclasses import replace

    from cutfiles.job.model.job import Register

    bed = replace(
        machine, machine=replace(machine.machine, register=Register.NONE, kerf_mm=0.5, swivel_mm=0.5)
    )
    layout = nested(cut_list_of(usual_shapes(), {"blade": 2}, fabric_of(pieces=1)), bed)
    (load,) = plan_cuts(layout, bed.mat, bed.machine).loads
    least, most = 0.25 * 25.4, 5.35 * 25.4
    for stroke in load.strokes:
        for x, y in steps(stroke.path, 1.0):
            assert least - 1e-6 <= min(x, y)
            assert max(x, y) <= most + 1e-6
