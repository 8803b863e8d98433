"""The same motif in every piece: every origin lies on a place of the repeat."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.job.model.job import FabricSpec, Face, MatSpec, Print, Share
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.reach import Rect, reach_of
from cutfiles.nest.cutting_rules.repeat import lattice_in
from cutfiles.nest.fabric.cutting import Cutter
from cutfiles.nest.fabric.fabric_cutter import ALL
from cutfiles.nest.nest import Bed
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import CutList
from tests.nest.concave_shapes import ELL
from tests.nest.jobs import (
    IN,
    background_square,
    bed_of,
    blade_of,
    centre_circle,
    cut_list_of,
    fabric_of,
    nested,
    usual_shapes,
)
from tests.nest.measured import faults, laid_at, points_of
from tests.nest.printed import SAME_MM, back_on_fabric, off_motif, repeats, strays, with_repeat

BLADE = blade_shape(blade_of(length=2.5))


@settings(max_examples=10, deadline=None)
@given(fabric=repeats(), side=st.floats(7, 10), gap=st.sampled_from([0.0, 1.5]))
@example(
    fabric=with_repeat(fabric_of(size=(12, 5), cuts={"blade": Share.FILL}), 1.5, 2, (0.25, 0.5)),
    side=13.0,
    gap=1.5,
)
def test_every_origin_lies_on_the_motif(fabric: FabricSpec, side: float, gap: float) -> None:
    """Both faces, turned on the mat or not, rough-cut or whole, with flaws or without; as all other laws."""
    shapes = (BLADE, centre_circle(0.8))
    bed = bed_of(mat=(side, side + 4), gap=gap / IN)
    job = cut_list_of(shapes, {}, fabric)
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    assert strays(layout, fabric) == []
    for tally in layout.tallies:
        assert all(count <= most for (_, count), (_, most) in zip(tally.counts, tally.at_most, strict=True))


def test_a_fabric_that_lies_turned_keeps_the_law() -> None:
    """A long strip fits the mat only when turned by a quarter; the print turns with it."""
    for face in Face:
        fabric = fabric_of(
            size=(20, 5), pieces=1, face=face, print_=Print.ONE_WAY, cuts={"blade": Share.FILL}
        )
        fabric = with_repeat(fabric, 2.75, 3.5, (1, 2.4))
        layout = nested(cut_list_of(usual_shapes(), {}, fabric))
        assert [laid.turn_deg for load in layout.loads for laid in load.fabrics] == [90]
        assert layout.tallies[0].counts[0][1] > 0
        assert strays(layout, fabric) == []


def test_a_rough_cut_takes_its_place_on_the_print_with_it() -> None:
    """Blanks of one size from different places of the fabric show the print elsewhere."""
    fabric = with_repeat(fabric_of(size=(40, 30), pieces=1), 3.1, 2.3, (1, 2))
    mat = MatSpec(12 * IN, 12 * IN, 0.0)
    reach = reach_of(mat, bed_of().machine.register)
    solver = Solver((BLADE,), gap_mm=1.5, clock=Clock())
    cut = Cutter((BLADE,), reach, solver, mark_mm=IN / 8).cut(fabric, {"blade": ALL})
    assert len(cut.cuts) > 4
    for blank_cut in cut.cuts:
        rect = blank_cut.blank.rect
        for laid in blank_cut.placed:
            assert off_motif(fabric, rect.x_mm + laid.x_mm, rect.y_mm + laid.y_mm) < SAME_MM
            left, low, right, high = laid.item.bounds
            # Trimmed, the blank still holds all of it.
            assert laid.x_mm + left >= -SAME_MM
            assert laid.y_mm + low >= -SAME_MM
            assert laid.x_mm + right <= rect.width_mm + SAME_MM
            assert laid.y_mm + high <= rect.height_mm + SAME_MM


def test_an_irregular_scrap_keeps_the_law() -> None:
    """The motif counts from the lower left of its bounds; a lopsided shape is mirrored about its origin."""
    outline = tuple((x * IN, y * IN) for x, y in ((0, 0), (10, 0), (9, 7), (5, 5), (1, 6)))
    for face in Face:
        fabric = fabric_of(size=(10, 7), pieces=1, face=face, cuts={"ell": Share.FILL, "blade": 1})
        fabric = replace(with_repeat(fabric, 1.3, 0.9, (0.4, 0.3)), outline=outline)
        job = cut_list_of((BLADE, ELL), {}, fabric)
        layout = nested(job)
        assert {
            placement.shape for load in layout.loads for laid in load.fabrics for placement in laid.placements
        } == {
            "blade",
            "ell",
        }
        assert strays(layout, fabric) == []
        cloth = shapely.Polygon(outline).buffer(2 * SAME_MM)
        for laid in layout.loads[0].fabrics:
            for placement in laid.placements:
                points = laid_at(points_of(layout.shape(placement.shape).cut), placement.pose)
                flat = [back_on_fabric(laid, x, y) for x, y in points]
                assert cloth.covers(shapely.Polygon(flat))


def test_what_is_cut_by_hand_keeps_the_law() -> None:
    """A background's origin is its middle; plain, three would lie in a row, on the print there are two."""
    fabric = fabric_of("sail", size=(43, 40), pieces=2, cuts={"background": Share.FILL, "blade": Share.FILL})
    fabric = with_repeat(fabric, 5, 3, (2, 1.25))
    job = cut_list_of((*usual_shapes(), background_square(14)), {}, fabric)
    layout = nested(job)
    squares = [cut for cut in layout.rough_cuts if cut.goes_to == "background"]
    assert len(squares) == 8
    assert ("background", 8) in layout.tallies[0].at_most
    for cut in squares:
        middle = cut.x_mm + cut.width_mm / 2, cut.y_mm + cut.length_mm / 2
        assert off_motif(fabric, *middle) < SAME_MM
    assert faults(layout, job, bed_of()) == []
    assert strays(layout, fabric) == []


def test_two_shapes_cut_by_hand_keep_out_of_each_other() -> None:
    """Snapped to the print they don't begin on one line, and what lies beside them is still cut."""
    shapes = (blade_shape(blade_of()), background_square(14), centre_circle(7.2))
    fabric = fabric_of(
        "sail", size=(44, 60), pieces=1, cuts={"background": 3, "centre": 2, "blade": Share.FILL}
    )
    fabric = with_repeat(fabric, 2.5, 3.5, (0.7, 1.1))
    job = cut_list_of(shapes, {}, fabric)
    layout = nested(job)
    assert {cut.goes_to for cut in layout.rough_cuts} >= {"background", "centre", "load-01"}
    assert faults(layout, job, bed_of()) == []
    assert strays(layout, fabric) == []


def test_grounds_that_show_the_same_print_are_one() -> None:
    """A whole repeat further is the same container, half a repeat further is not."""
    fabric = with_repeat(fabric_of(size=(40, 40)), 2.1, 3.3, (1, 2))
    first = lattice_in(cloth_of(fabric), Rect(0, 0, 100, 100))
    assert first == lattice_in(cloth_of(fabric), Rect(7 * 2.1 * IN, 3 * 3.3 * IN, 100, 100))
    assert first != lattice_in(cloth_of(fabric), Rect(1.05 * IN, 0, 100, 100))


@pytest.mark.parametrize("face", Face)
def test_two_shapes_share_a_print(face: Face) -> None:
    """Blades first, then as many circles as the rest of the motifs give; with numbers, not one more."""
    shapes = (BLADE, centre_circle(0.6))
    fabric = fabric_of(size=(10, 10), pieces=1, face=face, cuts={"blade": 5, "centre": Share.FILL})
    fabric = with_repeat(fabric, 1.5, 1.5, (0.3, 0.4))
    job: CutList = cut_list_of(shapes, {"blade": 5}, fabric)
    bed: Bed = bed_of()
    layout = nested(job, bed)
    counts = dict(layout.tallies[0].counts)
    assert counts["blade"] == 5
    assert counts["centre"] >= 10
    assert strays(layout, fabric) == []
    assert faults(layout, job, bed) == []
