"""A trailing knife led so that its tip cuts the wanted outline: walked with a castor in small steps."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.formats.model.plan import Stroke
from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex, length, ring
from cutfiles.job.model.job import FabricEdge
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.cut.swivel import SETTLED, axis_path
from tests.nest.jobs import bed_of, cut_list_of, fabric_of, nested, usual_shapes
from tests.strategies import bulged_paths, lengths_mm, star_outlines
from tests.toolpath.castor import steps, straight_pull_mm, trace
from tests.toolpath.tools import cut_strokes, laid_out

WITHIN_MM = 0.01
TILE = Shape("tile", ring((0, 0), (50, 0), (50, 30), (0, 30)), (), symmetric=True)
SPLIT = Path((Vertex(0, 0), Vertex(20, 0, 0.4), Vertex(20.3, 1.5), Vertex(0, 3, -0.2)), closed=True)


def drawn(points: list[Point]) -> shapely.LineString:
    return shapely.LineString(points)


def assert_cuts(axis: Path, wanted: Contour, *, swivel_mm: float, pointing: Point) -> None:
    """The tip goes nowhere else than along the outline, and all along it."""
    assert_covers(drawn(trace(axis, swivel_mm=swivel_mm, pointing=pointing, step_mm=0.04)), wanted)


def assert_covers(tip: shapely.LineString, wanted: Contour, *, stray_mm: float = WITHIN_MM) -> None:
    """The tip cuts all of an outline, and strays from it no further than said."""
    outline = drawn(steps(wanted, 5.0))
    shapely.prepare(outline)
    assert shapely.distance(shapely.points(tip.coords), outline).max() <= stray_mm
    assert shapely.distance(shapely.points(steps(wanted, 0.5)), tip).max() <= WITHIN_MM


@settings(max_examples=5, deadline=None)
@given(
    outline=st.one_of(bulged_paths(), star_outlines()),
    swivel=lengths_mm(0.1, 1.5),
    pointing_deg=st.integers(0, 359),
)
@example(outline=SPLIT, swivel=0.5, pointing_deg=180)
@example(outline=ring((0, 0), (30, 0), (30, 30), (0, 30)), swivel=1.0, pointing_deg=90)
@example(outline=Circle(20, 20, 0.4), swivel=0.5, pointing_deg=10)
def test_the_tip_cuts_the_outline_wherever_it_pointed_before(
    outline: Contour, swivel: float, pointing_deg: int
) -> None:
    """Sharp corners, inner corners, arcs narrower than the swivel: the tip is on the outline all the way."""
    before = (math.cos(math.radians(pointing_deg)), math.sin(math.radians(pointing_deg)))
    axis, after = axis_path(outline, swivel_mm=swivel, before=before)
    assert_cuts(axis, outline, swivel_mm=swivel, pointing=before)
    end, tip = axis.vertices[-1], trace(axis, swivel_mm=swivel, pointing=before)[-1]
    assert math.dist((end.x - swivel * after[0], end.y - swivel * after[1]), tip) < WITHIN_MM


def test_without_compensation_the_corners_are_missed() -> None:
    """What the simulator is for: the outline itself, as an axis' path, is not what gets cut."""
    square = ring((0, 0), (30, 0), (30, 30), (0, 30))
    axis = Path((*square.vertices, Vertex(0, 0)), closed=False)
    tip = drawn(trace(axis, swivel_mm=0.5, pointing=(1.0, 0.0)))
    assert tip.hausdorff_distance(drawn(steps(square, 0.1))) > 0.2


@pytest.mark.parametrize("askew_deg", [5.0, 90.0, 170.0])
def test_the_castor_comes_round_as_a_tractrix_does(askew_deg: float) -> None:
    """The simulator against the closed form: a straight pull that leaves half a degree."""
    way = straight_pull_mm(0.5, math.radians(askew_deg), math.radians(0.5))
    askew = (math.cos(math.radians(askew_deg)), math.sin(math.radians(askew_deg)))
    axis = Path((Vertex(0, 0), Vertex(way, 0)), closed=False)
    tip = trace(axis, swivel_mm=0.5, pointing=askew, step_mm=0.001)[-1]
    assert math.degrees(math.asin(abs(tip[1]) / 0.5)) == pytest.approx(0.5, rel=0.02)


@pytest.mark.parametrize("askew_deg", [-120.0, 45.0, 160.0])
def test_a_knife_that_points_anywhere_at_first_still_cuts_the_first_outline_whole(askew_deg: float) -> None:
    """It is run on past its start until the knife has come round; the next pieces follow from there."""
    swivel = 0.4
    strokes = load_of_two(swivel)
    pointing = (math.cos(math.radians(askew_deg)), math.sin(math.radians(askew_deg)))
    first = strokes[0].path
    assert isinstance(first, Path)
    tip = drawn(trace(first, swivel_mm=swivel, pointing=pointing, step_mm=0.04))
    (wanted,) = (
        stroke.path for stroke in cut_strokes(two_blades(), bed_of()) if stroke.name == strokes[0].name
    )
    assert_covers(tip, wanted, stray_mm=2 * swivel)
    # At the end of the run it has come round.
    settled = drawn(list(tip.coords)[-50:])
    assert shapely.distance(shapely.points(settled.coords), drawn(steps(wanted, 5.0))).max() < WITHIN_MM


def test_the_knife_comes_down_pointing_as_the_last_cut_left_it() -> None:
    """All cuts of a load after each other: every outline is cut as it should be."""
    swivel = 0.4
    wanted = {stroke.name: stroke.path for stroke in cut_strokes(two_blades(), bed_of())}
    pointing: Point = (1.0, 0.0)
    for stroke in load_of_two(swivel):
        axis = stroke.path
        assert isinstance(axis, Path)
        assert_cuts(axis, wanted[stroke.name], swivel_mm=swivel, pointing=pointing)
        tip = trace(axis, swivel_mm=swivel, pointing=pointing)[-1]
        end = axis.vertices[-1]
        pointing = ((end.x - tip[0]) / swivel, (end.y - tip[1]) / swivel)


@pytest.mark.parametrize("askew_deg", [0.0, -120.0, 45.0, 160.0])
def test_an_open_line_that_comes_first_begins_early_enough_to_settle(askew_deg: float) -> None:
    """A tile in the fabric's corner, whose edges aren't cut: by the piece's own line the knife is round."""
    swivel = 0.4
    layout = laid_out(TILE, [(0.0, 0.0)], size=(300.0, 300.0))
    (plain,) = cut_strokes(layout, bed_of(), edge=FabricEdge.SKIP)
    (led,) = cut_strokes(layout, bed_of(), edge=FabricEdge.SKIP, swivel_mm=swivel)
    pointing = (math.cos(math.radians(askew_deg)), math.sin(math.radians(askew_deg)))
    assert isinstance(led.path, Path)
    tip = drawn(trace(led.path, swivel_mm=swivel, pointing=pointing))
    shapely.prepare(tip)
    assert shapely.distance(shapely.points(steps(plain.path, 0.5)), tip).max() <= WITHIN_MM
    # What it cuts before is on the fabric's own edge, less than a knife's length aside.
    assert shapely.distance(shapely.points(tip.coords), drawn(steps(TILE.cut, 5.0))).max() <= 2 * swivel


def test_only_the_first_line_of_a_load_is_led_in() -> None:
    """Two tiles on one edge of the fabric: the second one's line is as short as without a swivel."""
    swivel = 0.4
    layout = laid_out(TILE, [(0.0, 0.0), (100.0, 0.0)], size=(300.0, 300.0))
    plain = {stroke.name: stroke.path for stroke in cut_strokes(layout, bed_of(), edge=FabricEdge.SKIP)}
    first, second = cut_strokes(layout, bed_of(), edge=FabricEdge.SKIP, swivel_mm=swivel)
    square = math.pi / 2 * swivel  # the axis' way round a corner
    # Onto the line and off it the knife may be turned once more.
    turned = length(second.path) - length(plain[second.name])
    assert turned <= 4 * square + 1e-6
    led = length(first.path) - length(plain[first.name])
    assert led >= SETTLED * swivel


def two_blades():
    return nested(cut_list_of(usual_shapes(), {"blade": 2}, fabric_of(pieces=1)))


def load_of_two(swivel: float) -> list[Stroke]:
    return cut_strokes(two_blades(), bed_of(), swivel_mm=swivel)
