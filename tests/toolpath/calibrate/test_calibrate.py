"""A machine that is not true, told where to go, makes what is true: tried on a machine made of a matrix."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.formats.model.plan import CutPlan, LoadPlan, Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex, chords, line
from cutfiles.job.model.job import Calibration, MatSpec, Register
from cutfiles.toolpath.calibrate.calibrate import calibrated, calibrated_load
from cutfiles.toolpath.calibrate.sheet import calibration_load, mark_middles
from tests import strategies
from tests.nest.jobs import bed_of

FINE_MM = 1e-5
# Half a micrometre in the file for the arcs that follow an ellipse, and a hundredth of that between the
# points at which they are held against it.
FIT_MM = 5e-4 * 1.01
# A short edge under a large arc.
HEEL = Path(
    (Vertex(20.0, 0.0), Vertex(0.0, 48.0), Vertex(0.0, -48.0), Vertex(15.3033453, -30.9039141, 1.0625)),
    closed=True,
)
STRAYING = (
    Calibration(1.004, 0.997, 0.0),
    Calibration(1.0, 1.0, -0.3),
    Calibration(0.9912, 1.0075, 1.5),
    Calibration(1.002, 1.002, 0.0),
)


def machine(calibration: Calibration) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Return where such a machine goes when told (1, 0) and (0, 1): its own axes, as columns.

    Built from what the words mean, not from the code under test: an axis told 1 goes 1/scale, and the y axis
    leans to the right.
    """
    lean = math.radians(90.0 - calibration.skew_deg)
    x_axis = np.array([1.0, 0.0]) / calibration.scale_x
    y_axis = np.array([math.cos(lean), math.sin(lean)]) / calibration.scale_y
    return np.column_stack([x_axis, y_axis])


def made(path: Contour, calibration: Calibration) -> shapely.LineString:
    """Return what the machine makes of a path of the file."""
    (a, b), (d, e) = machine(calibration)
    return shapely.affinity.affine_transform(fine(path), [a, b, d, e, 0.0, 0.0])


def fine(path: Contour) -> shapely.LineString:
    """Return a path as very fine chords."""
    points = chords(path, stray_mm=FINE_MM)
    return shapely.LineString([*points, points[0]] if isinstance(path, Circle) or path.closed else points)


def within_mm(calibration: Calibration) -> float:
    """Return how far off lines on the mat may be: the file's, as the machine stretches it, and the chords."""
    return FIT_MM * float(np.linalg.norm(machine(calibration), 2)) + 2 * FINE_MM


def told(path: Contour, calibration: Calibration) -> Contour:
    """Return the path as the file has it."""
    load = LoadPlan("load-01", 300.0, 300.0, (Stroke(Tool.CUT, path, "tide-leaf-001"),))
    return calibrated_load(load, calibration).strokes[0].path


@settings(max_examples=25, deadline=None)
@given(
    path=strategies.bulged_paths(),
    calibration=st.one_of(st.sampled_from(STRAYING), strategies.calibrations()),
)
@example(path=HEEL, calibration=Calibration(0.951171875, 1.0, 0.0))  # what is stretched strays more
def test_what_the_machine_makes_is_what_was_meant(path: Path, calibration: Calibration) -> None:
    """Both ways within the tolerance: nothing of it is elsewhere, nothing of it is missing."""
    drawn, meant = made(told(path, calibration), calibration), fine(path)
    within = within_mm(calibration)
    assert shapely.buffer(meant, within).covers(drawn)
    assert shapely.buffer(drawn, within).covers(meant)


@pytest.mark.parametrize("calibration", STRAYING)
def test_a_circle_comes_out_round(calibration: Calibration) -> None:
    """Every point of what is made lies a radius from the middle."""
    circle = Circle(140.0, 90.0, 44.8)
    path = told(circle, calibration)
    assert isinstance(path, Circle) or path.closed
    points = np.array(made(path, calibration).coords)
    radii = np.hypot(points[:, 0] - circle.x, points[:, 1] - circle.y)
    assert np.abs(radii - circle.radius).max() <= within_mm(calibration)


def test_one_scale_for_both_axes_keeps_arcs_and_circles() -> None:
    """Nothing is fitted, nothing is chopped."""
    calibration = Calibration(1.002, 1.002)
    assert told(Circle(10.0, 20.0, 5.0), calibration) == Circle(10.02, 20.04, 5.01)
    arc = Path(line((0, 0), (10, 0)).vertices, closed=False)
    bent = replace(arc, vertices=(arc.vertices[0]._replace(bulge=0.7), arc.vertices[1]))
    corrected = told(bent, calibration)
    assert isinstance(corrected, Path)
    assert corrected.vertices == ((0.0, 0.0, 0.7), (10.02, 0.0, 0.0))


def test_the_hair_by_which_a_circle_may_be_off_is_no_ellipse() -> None:
    """Two scales that differ by less than a file can show leave a circle a circle."""
    assert isinstance(told(Circle(50.0, 50.0, 40.0), Calibration(1.001, 1.00102)), Circle)
    assert isinstance(told(Circle(50.0, 50.0, 40.0), Calibration(1.001, 1.0011)), Path)


def test_a_true_machine_is_told_what_is_meant() -> None:
    """The same plan, not a copy that might differ in the last bit."""
    plan = CutPlan((calibration_load(bed_of().mat, bed_of().machine),), ("a note",))
    assert calibrated(plan, Calibration()) is plan


def spans(points: tuple[Point, ...]) -> tuple[float, float, float]:
    """Return what a ruler measures between the marks: along x, along y, and the diagonal."""
    lower_left, lower_right, upper_left = points
    return math.dist(lower_left, lower_right), math.dist(lower_left, upper_left), math.dist(
        lower_right, upper_left
    )  # fmt: skip


@pytest.mark.parametrize("truth", STRAYING)
def test_what_is_measured_on_the_sheet_makes_the_machine_true(truth: Calibration) -> None:
    """The formulas of docs/registration.md, from three lengths measured on what a straying machine made."""
    bed = bed_of()
    meant = mark_middles(bed.mat, bed.machine)
    x, y, diagonal = spans(tuple(tuple((machine(truth) @ point).tolist()) for point in meant))
    measured = Calibration(
        spans(meant)[0] / x,
        spans(meant)[1] / y,
        math.degrees(math.asin((x * x + y * y - diagonal * diagonal) / (2 * x * y))),
    )
    assert (measured.scale_x, measured.scale_y) == pytest.approx((truth.scale_x, truth.scale_y), abs=1e-9)
    assert measured.skew_deg == pytest.approx(truth.skew_deg, abs=1e-7)
    sheet = calibrated_load(calibration_load(bed.mat, bed.machine), measured)
    sides = []
    for stroke in sheet.strokes_of(Tool.CUT):
        corners = np.array(made(stroke.path, truth).coords)
        sides.append([math.dist(corners[i], corners[i + 1]) for i in range(4)])
        assert math.dist(corners[0], corners[2]) == pytest.approx(math.dist(corners[1], corners[3]), abs=1e-6)
    assert sides[0] == pytest.approx([50.0] * 4, abs=1e-6)
    assert sides[1] == pytest.approx([25.4] * 4, abs=1e-6)


def test_the_worked_example_of_the_docs_is_right() -> None:
    """Meant 284.1 and 588.9 mm; measured 283.0, 590.1 and, across, 653.2 mm."""
    bed = bed_of()
    assert spans(mark_middles(bed.mat, bed.machine)) == pytest.approx((284.1, 588.9, 653.85), abs=5e-3)
    x, y, diagonal = 283.0, 590.1, 653.2
    assert round(284.1 / x, 4) == 1.0039
    assert round(588.9 / y, 4) == 0.9980
    assert round(math.degrees(math.asin((x**2 + y**2 - diagonal**2) / (2 * x * y))), 3) == 0.281


@pytest.mark.parametrize("mat", [(12, 24), (12, 12), (5, 24), (24, 5), (4.5, 5)])
@pytest.mark.parametrize("register", Register)
def test_the_sheet_fits_its_mat(mat: tuple[float, float], register: Register) -> None:
    """Squares within the reach, apart from each other and from the marks, of which there are always three."""
    bed = bed_of(mat=mat, register=register)
    load = calibration_load(bed.mat, bed.machine)
    large, small = (shapely.Polygon(fine(stroke.path)) for stroke in load.strokes_of(Tool.CUT))
    assert (large.area, small.area) == pytest.approx((2500.0, 25.4**2))
    assert large.distance(small) >= 5.0
    margin = bed.mat.margin_mm
    reach = shapely.box(margin, margin, bed.mat.width_mm - margin, bed.mat.height_mm - margin)
    assert reach.covers(shapely.union(large, small))
    marks = shapely.union_all([fine(stroke.path) for stroke in load.strokes_of(Tool.REGISTER)])
    assert len(load.strokes_of(Tool.REGISTER)) == 7
    assert marks.distance(shapely.union(large, small)) >= 1.0 - 1e-9
    for stroke in load.strokes_of(Tool.DRAW):
        assert shapely.union(large, small).covers(fine(stroke.path))


def test_a_mat_too_small_for_the_sheet_is_refused() -> None:
    """With what it needs and has."""
    bed = bed_of(mat=(3, 3))
    with pytest.raises(JobError, match=r"80\.4 by 50 mm between the marks"):
        calibration_load(bed.mat, bed.machine)
    with pytest.raises(JobError, match="larger mat"):
        calibration_load(MatSpec(10.0, 10.0, 6.0), bed.machine)


def test_strokes_beyond_the_files_mat_are_said() -> None:
    """A program may cut off what lies outside; the margin usually holds it."""
    at_edge = LoadPlan("load-01", 300.0, 200.0, (Stroke(Tool.CUT, line((10, 10), (299, 190)), "x"),))
    plan = CutPlan((at_edge,), ())
    assert calibrated(plan, Calibration(1.01, 1.0)).notes == (
        "load-01: the machine's scale and skew take strokes 2 mm (0.079 in) beyond the mat of the file; "
        "raise mat.margin by that much",
    )
    assert calibrated(plan, Calibration(1.001, 1.0)).notes == ()
