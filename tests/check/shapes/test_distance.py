"""Distances are exact, for arcs too, and rounding to four decimals is no fault."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from cutfiles.check.rules.outlines import crossing_themselves
from cutfiles.check.shapes.contours import as_line, motion_of, same_outline
from cutfiles.check.shapes.pairs import Spacing, between
from cutfiles.core.tolerance import FILE_MM, HPGL_MM
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.geometry.distance import contours_apart, edges_apart, shared_mm
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, arc_of, chords, ring
from cutfiles.geometry.pose import Pose, placed

_NUMBERS = st.floats(-50, 50, allow_nan=False).map(lambda value: round(value, 3))
_BULGES = st.one_of(st.just(0.0), st.floats(-3, 3).filter(lambda bulge: abs(bulge) > 0.01))
STRAY = 1e-4


@st.composite
def _edges(draw: st.DrawFn) -> Path:
    start = (draw(_NUMBERS), draw(_NUMBERS))
    end = (draw(_NUMBERS), draw(_NUMBERS))
    assume(math.dist(start, end) > 0.1)
    return Path((Vertex(*start, draw(_BULGES)), Vertex(*end)), closed=False)


@given(first_path=_edges(), second_path=_edges())
@example(
    first_path=Path((Vertex(0, 0, 1), Vertex(10, 0)), closed=False),
    second_path=Path((Vertex(0, 1, 1), Vertex(10, 1)), closed=False),
)
@example(
    first_path=Path((Vertex(-10, 0, 1), Vertex(10, 0)), closed=False),  # half circles about one centre
    second_path=Path((Vertex(-9, 0, 1), Vertex(9, 0)), closed=False),
)
def test_the_distance_of_two_edges_is_that_of_their_chords(first_path: Path, second_path: Path) -> None:
    """Chords that stray by 0.0001 mm, measured by another library, can't be further off than that."""
    (first,), (second,) = edges_of(first_path), edges_of(second_path)
    chords = as_line(first_path, stray_mm=STRAY).distance(as_line(second_path, stray_mm=STRAY))
    assert edges_apart(first, second) == pytest.approx(chords, abs=2.1 * STRAY)
    assert edges_apart(second, first) == pytest.approx(edges_apart(first, second), abs=1e-9)


@pytest.mark.parametrize(
    ("first", "second", "apart"),
    [
        (Circle(0, 0, 10), Circle(25, 0, 10), 5.0),
        (Circle(0, 0, 10), Circle(0, 0, 7), 3.0),
        (Circle(0, 0, 10), Circle(1.2, 1.6, 5), 3.0),  # one in the other, nearest on the far side
        (Circle(0, 0, 10), ring((12, -5), (20, -5), (20, 5), (12, 5)), 2.0),
        (ring((0, 0), (10, 0), (10, 10), (0, 10)), ring((13, 14), (20, 14), (20, 20)), 5.0),
        (Circle(0, 0, 10), Circle(15, 0, 10), 0.0),
    ],
)
def test_distances_known_by_heart(first: Contour, second: Contour, apart: float) -> None:
    """Between circles, a circle and a square, two corners; 0 where outlines cross."""
    assert contours_apart(edges_of(first), edges_of(second), within_mm=100) == pytest.approx(apart, abs=1e-12)


def test_many_edges_are_searched_and_not_tried_one_by_one() -> None:
    """A polygon of a thousand corners beside another gives the same distance as the library's."""
    first = _star(1000, 30, Pose(0, 0))
    second = _star(1000, 30, Pose(61, 3, 17))
    expected = as_line(first, stray_mm=1).distance(as_line(second, stray_mm=1))
    assert contours_apart(edges_of(first), edges_of(second), within_mm=5) == pytest.approx(expected, abs=1e-9)


def _star(corners: int, radius: float, pose: Pose) -> Path:
    points = []
    for corner in range(corners):
        angle = 2 * math.pi * corner / corners
        reach = radius * (1 if corner % 2 else 0.98)
        points.append((reach * math.cos(angle), reach * math.sin(angle)))
    return placed(ring(*points), pose)


# Its origin lies inside, so that two of them always meet until they are pushed apart.
BLADE = Path((Vertex(-6, -45), Vertex(6, -45), Vertex(20, 45, 1.1708), Vertex(-20, 45)), closed=True)


def _written(contour: Contour) -> Contour:
    """The outline as a file has it: four decimals."""
    if isinstance(contour, Circle):
        return Circle(round(contour.x, 4), round(contour.y, 4), round(contour.radius, 4))
    corners = (Vertex(round(v.x, 4), round(v.y, 4), round(v.bulge, 9)) for v in contour.vertices)
    return Path(tuple(corners), contour.closed)


def _item(contour: Contour, place: str) -> Item:
    return Item(Layer.CUT, "cut", contour, place, place)


def _pushed(first: Contour, second: Contour, *, away_deg: float, gap_mm: float) -> Contour:
    """Return the other outline pushed away in one direction until the gap is between them, exactly."""
    cos, sin = math.cos(math.radians(away_deg)), math.sin(math.radians(away_deg))
    edges, solid = edges_of(first), shapely.Polygon(as_line(first, stray_mm=0.01).coords)
    near, far = 0.0, 600.0
    for _ in range(50):
        middle = (near + far) / 2
        moved = placed(second, Pose(middle * cos, middle * sin))
        touching = solid.intersects(shapely.Polygon(as_line(moved, stray_mm=0.01).coords))
        if touching or contours_apart(edges, edges_of(moved), within_mm=20) < gap_mm:
            near = middle
        else:
            far = middle
    return placed(second, Pose(far * cos, far * sin))


@settings(max_examples=40, deadline=None)
@given(turns=st.tuples(st.floats(0, 360), st.floats(0, 360)), away=st.floats(0, 360), gap=st.floats(0.5, 5))
@example(turns=(0, 0), away=90, gap=1)
@example(turns=(0, 180), away=0, gap=1.5875)
def test_rounding_is_no_fault_and_a_hundredth_is(turns: tuple[float, float], away: float, gap: float) -> None:
    """Two blades at any turns, exactly the gap apart or 0.01 mm less, as a file has them."""
    first, second = (placed(BLADE, Pose(0, 0, turn)) for turn in turns)
    for missing, codes in ((0.0, []), (0.01, ["too-near"])):
        pushed = _pushed(first, second, away_deg=away, gap_mm=gap - missing)
        pair = [_item(_written(first), "a"), _item(_written(pushed), "b")]
        assert [fault.code.value for fault in between(pair, Spacing(gap, FILE_MM)).faults] == codes


@given(turn=st.floats(0, 360), mirrored=st.booleans(), x=_NUMBERS, y=_NUMBERS)
def test_a_turn_is_found_again(turn: float, mirrored: bool, x: float, y: float) -> None:
    """From the written outline, to the files' rounding; a lopsided shape isn't its mirror image."""
    flag = Path((Vertex(0, 0), Vertex(30, 0), Vertex(30, 12, 0.4), Vertex(10, 20)), closed=True)
    motion = motion_of(flag, _written(placed(flag, Pose(x, y, turn, mirrored))))
    if mirrored:
        assert motion is None
    else:
        assert motion is not None
        (motion_turn,) = motion.turns_deg
        assert abs((motion_turn - turn + 180) % 360 - 180) < 0.01


def test_same_outline_sees_through_extra_corners_and_not_through_another_order() -> None:
    """A corner on an edge changes nothing; the same corners in another order are another cut."""
    square = ring((0, 0), (10, 0), (10, 10), (0, 10))
    assert same_outline(square, ring((5, 0), (10, 0), (10, 10), (0, 10), (0, 0)))
    assert not same_outline(square, ring((0, 0), (10, 10), (10, 0), (0, 10)))
    assert not same_outline(square, ring((0, 0), (10, 0), (10.003, 10), (0, 10)))
    hollow = Path((Vertex(0, 0, -0.01), Vertex(10, 0), Vertex(10, 10), Vertex(0, 10)), closed=True)
    assert not same_outline(square, hollow)
    slit = ring((0, 0), (5, 0), (5, 3), (5, 0), (10, 0), (10, 10), (0, 10))
    assert not same_outline(square, slit)
    assert not same_outline(slit, square)


def test_shared_stretches_are_measured() -> None:
    """Half an edge of a square, a quarter of a circle; a crossing shares nothing to speak of."""
    square = edges_of(ring((0, 0), (10, 0), (10, 10), (0, 10)))
    assert shared_mm(square, edges_of(ring((5, -10), (15, -10), (15, 0), (5, 0))), slack_mm=1e-3) == 5
    quarter = Path((Vertex(10, 0, math.tan(math.pi / 8)), Vertex(0, 10), Vertex(20, 20)), closed=True)
    shared_length = shared_mm(edges_of(Circle(0, 0, 10)), edges_of(quarter), slack_mm=1e-3)
    assert shared_length == pytest.approx(5 * math.pi)
    crossing = edges_of(ring((5, -5), (6, -5), (6, 5), (5, 5)))
    assert shared_mm(square, crossing, slack_mm=1e-3) < 0.01
    assert arc_of(Vertex(10, 0, math.tan(math.pi / 8)), (0, 10)).radius == pytest.approx(10)


@pytest.mark.parametrize("slack_mm", [FILE_MM, 0.09])
def test_an_edge_cut_twice_is_counted_and_a_touch_is_not(slack_mm: float) -> None:
    """Two squares on one edge count; discs of chords that touch run beside each other for one chord only."""
    square, beside = ring((0, 0), (10, 0), (10, 10), (0, 10)), ring((10, 2), (20, 2), (20, 8), (10, 8))
    pair = [_item(square, "a"), _item(beside, "b")]
    assert between(pair, Spacing(0.0, slack_mm)).shared == 1
    discs = [ring(*chords(Circle(x, 0.0, 10.0), stray_mm=0.005)) for x in (0.0, 20.0)]
    touching = [_item(disc, name) for disc, name in zip(discs, "ab", strict=True)]
    assert between(touching, Spacing(0.0, slack_mm)).shared == 0


def test_rounding_that_brings_two_cuts_together_is_no_fault() -> None:
    """A tenth of a mm apart, which plotter units may turn into three quarters of it; on each other is one."""
    square = ring((0, 0), (10, 0), (10, 10), (0, 10))
    for apart, codes in ((0.075, []), (0.0, ["too-near"])):
        beside = ring((10 + apart, 0), (20, 0), (20, 10), (10 + apart, 10))
        pair = [_item(square, "a"), _item(beside, "b")]
        pairs = between(pair, Spacing(0.1, 2 * HPGL_MM))
        assert [fault.code.value for fault in pairs.faults] == codes


def test_a_loop_as_small_as_rounding_is_none() -> None:
    """In a coarse format; a larger one, and any in a fine one, is a fault."""
    for size, loop_mm, codes in (
        (0.05, 0.09, []),
        (0.2, 0.09, ["self-crossing"]),
        (0.05, 0.0, ["self-crossing"]),
    ):
        loop = ((10, 10), (10 - size, 10 + size), (10 - size, 10 - size / 2), (10, 10 + size / 2))
        item = _item(ring((0, 0), (10, 0), *loop, (10, 20), (0, 20)), "a")
        assert [fault.code.value for fault in crossing_themselves([item], loop_mm=loop_mm)] == codes


def test_outlines_with_a_tiny_loop_cross_only_if_what_they_enclose_does() -> None:
    """A loop at a corner touches the neighbour's line and makes no crossing; half a square over it does."""
    loop = ((10, 10), (9.95, 10.05), (9.95, 9.975), (10, 10.025))
    curled = ring((0, 0), (10, 0), *loop, (10, 20), (0, 20))
    for left, codes in ((9.99, []), (5.0, ["crossing-cuts"])):
        beside = ring((left, 5), (20, 5), (20, 15), (left, 15))
        pair = [_item(curled, "a"), _item(beside, "b")]
        pairs = between(pair, Spacing(0.0, 2 * HPGL_MM))
        assert [fault.code.value for fault in pairs.faults] == codes


@pytest.mark.parametrize("short_mm", [0.0005, 0.0015])
@pytest.mark.parametrize("turn_deg", range(0, 30, 3))
def test_discs_a_hair_too_near_are_told_wherever_their_chords_are(turn_deg: int, short_mm: float) -> None:
    """The chords that stand for discs are further apart than the discs are, by up to two sagittas."""
    gap, turn = 5.0, math.radians(turn_deg)
    apart = 20 + gap - FILE_MM - short_mm
    discs = (Circle(0, 0, 10), Circle(apart * math.cos(turn), apart * math.sin(turn), 10))
    pair = [
        Item(Layer.CUT, "cut", disc, None, f"disc {number}") for number, disc in enumerate(discs, start=1)
    ]
    (fault,) = between(pair, Spacing(gap, FILE_MM)).faults
    assert fault.says == f"{gap - FILE_MM - short_mm:.4f} mm from disc 1, where 5 mm is the least"
    further = placed(discs[1], Pose(2 * short_mm * math.cos(turn), 2 * short_mm * math.sin(turn)))
    pair[1] = Item(Layer.CUT, "cut", further, None, "disc 2")
    assert between(pair, Spacing(gap, FILE_MM)).faults == ()
