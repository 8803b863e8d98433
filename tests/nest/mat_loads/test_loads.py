"""Fabric on mats: sharing a mat, rough cuts, cuts by hand, and names."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.job.model.job import Register, Share
from cutfiles.nest.base.names import piece_stems
from cutfiles.nest.cutting_rules.reach import reach_of
from cutfiles.nest.mat_loads.loads import on_loads
from tests.nest.jobs import IN, background_square, bed_of, cut_list_of, fabric_of, nested, usual_shapes
from tests.nest.measured import faults


def test_four_squares_share_a_mat_of_twelve_inches() -> None:
    """Two and two, with room between them, and the marks in the corners."""
    bed = bed_of(mat=(12, 12), register=Register.CROSS)
    job = cut_list_of(usual_shapes(), {"blade": 8}, fabric_of(pieces=4))
    layout = nested(job, bed)
    assert [len(load.fabrics) for load in layout.loads] == [4]
    assert faults(layout, job, bed) == []


def test_fabrics_share_a_mat_and_loads_are_numbered() -> None:
    """Two fabrics of two squares each lie on one mat; nine squares need a second or third."""
    bed = bed_of(mat=(12, 12))
    two = nested(
        cut_list_of(usual_shapes(), {"blade": 8}, fabric_of("tide", pieces=2), fabric_of("rope", pieces=2)),
        bed,
    )
    assert [load.name for load in two.loads] == ["load-01"]
    assert {laid.fabric for laid in two.loads[0].fabrics} == {"tide", "rope"}
    nine = nested(cut_list_of(usual_shapes(), {"blade": 18}, fabric_of(pieces=9)), bed)
    assert [load.name for load in nine.loads] == ["load-01", "load-02", "load-03"]


def test_a_fat_quarter_above_the_mat_is_rough_cut() -> None:
    """Every rough cut is listed with the load it goes to, and is what lies on that load."""
    bed = bed_of()
    job = cut_list_of(usual_shapes(), {}, fabric_of(size=(22, 18), pieces=1, cuts={"blade": Share.FILL}))
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    laid = {
        (load.name, placed_fabric.width_mm, placed_fabric.length_mm)
        for load in layout.loads
        for placed_fabric in load.fabrics
    }
    assert {(cut.goes_to, cut.width_mm, cut.length_mm) for cut in layout.rough_cuts} == laid
    assert len(layout.rough_cuts) == 2
    assert layout.hand_cuts == ()
    assert dict(layout.tallies[0].counts)["blade"] >= 36


def test_a_background_above_the_mat_is_cut_by_hand() -> None:
    """Fourteen inches on a mat of twelve: listed by hand, placed on its fabric, and not on any load."""
    shapes = (*usual_shapes(), background_square(14))
    bed = bed_of()
    job = cut_list_of(
        shapes, {"background": 3}, fabric_of("sail", size=(42, 30), pieces=1, cuts={"background": 3})
    )
    layout = nested(job, bed)
    assert layout.loads == ()
    assert [(cut.fabric, cut.shape, cut.count) for cut in layout.hand_cuts] == [("sail", "background", 3)]
    assert [cut.goes_to for cut in layout.rough_cuts] == ["background"] * 3
    assert all((cut.width_mm, cut.length_mm) == (14 * IN, 14 * IN) for cut in layout.rough_cuts)
    assert faults(layout, job, bed) == []
    assert layout.tallies[0].counts == (("background", 3),)


def test_what_a_hand_cut_leaves_goes_onto_the_mat() -> None:
    """Beside a background cut by hand there is room for blades."""
    shapes = (*usual_shapes(), background_square(14))
    bed = bed_of()
    sail = fabric_of("sail", size=(22, 18), pieces=1, cuts={"background": 1, "blade": 8})
    job = cut_list_of(shapes, {}, sail)
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    assert dict(layout.tallies[0].counts) == {"blade": 8, "background": 1}
    assert {cut.goes_to for cut in layout.rough_cuts} == {"background", "load-01"}


def test_a_background_that_fits_the_mat_is_no_hand_cut() -> None:
    """Eleven inches lie on a mat of twelve between the marks, with a margin of nothing."""
    shapes = (*usual_shapes(), background_square(10.5))
    layout = nested(
        cut_list_of(shapes, {"background": 1}, fabric_of(size=(10.5, 10.5), pieces=1, cuts={"background": 1}))
    )
    assert layout.hand_cuts == ()
    assert layout.rough_cuts == ()


sides = st.floats(20, 180)


@settings(max_examples=40, deadline=None)
@given(
    sizes=st.lists(st.tuples(sides, sides), max_size=9),
    register=st.sampled_from(Register),
    gap=st.sampled_from([0.0, 3.0]),
)
def test_rectangles_on_loads_keep_apart_and_in_reach(
    sizes: list[tuple[float, float]], register: Register, gap: float
) -> None:
    """On each load at least the gap (and a mm) between fabrics, none on a mark, no load left out."""
    reach = reach_of(bed_of(mat=(9, 10)).mat, register)
    spreads = on_loads(sizes, reach, gap_mm=gap).places
    boxes = []
    for (width, length), spread in zip(sizes, spreads, strict=True):
        across, up = (width, length) if spread.turn_deg == 0 else (length, width)
        box = (spread.x_mm, spread.y_mm, spread.x_mm + across, spread.y_mm + up)
        assert any(
            rect.x_mm - 1e-6 <= box[0]
            and rect.y_mm - 1e-6 <= box[1]
            and box[2] <= rect.x_mm + rect.width_mm + 1e-6
            and box[3] <= rect.y_mm + rect.height_mm + 1e-6
            for rect in reach.free
        )
        for load, other in boxes:
            apart = max(box[0] - other[2], other[0] - box[2], box[1] - other[3], other[1] - box[3])
            assert load != spread.load or apart >= max(gap, 1.0) - 1e-6
        boxes.append((spread.load, box))
    loads = {spread.load for spread in spreads}
    assert loads == set(range(len(loads)))


@pytest.mark.parametrize("register", Register)
def test_the_free_rectangles_are_the_mat_without_its_marks(register: Register) -> None:
    """Three corners of 8 mm are kept for the marks, all else inside the margin is free."""
    import shapely

    reach = reach_of(bed_of().mat, register)
    free = shapely.union_all(
        [shapely.box(r.x_mm, r.y_mm, r.x_mm + r.width_mm, r.y_mm + r.height_mm) for r in reach.free]
    )
    low, right, high = 0.25 * IN, 11.75 * IN, 23.75 * IN
    marks = 0 if register is Register.NONE else 3
    assert free.area == pytest.approx((right - low) * (high - low) - marks * 64)
    assert len(reach.marks) == marks
    for x, y in reach.marks:
        assert free.distance(shapely.Point(x, y)) == pytest.approx(4)
    assert reach.holds(10.8 * IN, 23.4 * IN)
    assert reach.holds(23.5 * IN, 11.5 * IN) is (register is Register.NONE)


@pytest.mark.parametrize(
    ("mat", "margin", "register", "where"),
    [((12, 24), 6, Register.NONE, "mat.margin"), ((1, 24), 0.25, Register.CROSS, "machine.register")],
)
def test_a_mat_with_nothing_left_is_refused(
    mat: tuple[float, float], margin: float, register: Register, where: str
) -> None:
    """The message names the key to change."""
    with pytest.raises(JobError) as caught:
        reach_of(bed_of(mat=mat, margin=margin).mat, register)
    assert caught.value.where == where


def test_stems_are_all_different_and_fit_for_xml() -> None:
    """Fabrics that begin with a digit, and names that meet by their hyphens, still tell apart."""
    pairs = [
        ("sea", "weed-blade"),
        ("sea-weed", "blade"),
        ("SEA-weed", "blade"),
        ("30s", "leaf"),
        ("-x", "leaf"),
    ]
    stems = piece_stems(pairs)
    assert list(stems) == pairs
    assert len({stem.lower() for stem in stems.values()}) == len(pairs)
    assert all(stem[0].isalpha() for stem in stems.values())
