"""Outlines known again by their shape, points that are needless, and strokes in arrays."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, event, example, given, settings
from hypothesis import strategies as st

from cutfiles.check.shapes.contours import same_outline
from cutfiles.check.shapes.fit import fitted
from cutfiles.check.shapes.needless import needless
from cutfiles.core.tolerance import FILE_MM
from cutfiles.formats.model.strokes import StrokeCollector, measurable
from cutfiles.geometry.outline import Circle, Path, Side, Vertex, chords, ring
from cutfiles.geometry.pose import Pose, placed

FLAG = Path((Vertex(0, 0), Vertex(30, 0), Vertex(30, 12, 0.4), Vertex(10, 20)), closed=True)
WITHIN_MM = 0.045


def _chopped(path: Path, stray_mm: float = 0.01) -> Path:
    """Chords in whole plotter units, as a plotter's file has them."""
    points = chords(path, stray_mm=stray_mm, side=Side.INSIDE)
    return ring(*((round(x * 40) / 40, round(y * 40) / 40) for x, y in points))


@settings(max_examples=30, deadline=None)
@given(turn=st.floats(0, 359.9), x=st.floats(-300, 300), y=st.floats(-300, 300))
def test_a_turn_is_found_though_corners_cannot_tell(turn: float, x: float, y: float) -> None:
    """Chords in place of an arc, rounded to plotter units."""
    motion = fitted(FLAG, _chopped(placed(FLAG, Pose(x, y, turn))), within_mm=WITHIN_MM)
    assert motion is not None
    off = [abs((motion_turn - turn + 180) % 360 - 180) for motion_turn in motion.turns_deg]
    assert min(off) < 0.15


def test_a_mirror_image_and_another_shape_are_not_found() -> None:
    """Nor one that is a little too large."""
    mirrored = _chopped(placed(FLAG, Pose(mirrored=True)))
    assert fitted(FLAG, mirrored, within_mm=WITHIN_MM) is None
    larger = ring(*((1.02 * x, 1.02 * y) for x, y in chords(FLAG, stray_mm=0.01)))
    assert fitted(FLAG, larger, within_mm=WITHIN_MM) is None
    assert fitted(FLAG, ring((0, 0), (30, 0), (30, 20), (0, 20)), within_mm=WITHIN_MM) is None


def test_a_square_looks_alike_four_times_and_a_circle_always() -> None:
    """All the turns that give the same outline are told."""
    square = ring((0, 0), (20, 0), (20, 20), (0, 20))
    with_point = ring((0, 0), (10, 0), (20, 0), (20, 20), (0, 20))
    motion = fitted(square, with_point, within_mm=0.01)
    assert motion is not None
    assert [round(turn) % 360 for turn in motion.turns_deg] in ([0, 90, 180, 270], [90, 180, 270, 0])
    disc = Circle(0, 0, 10)
    around = ring(*((50 + 10 * math.cos(n / 50), 10 * math.sin(n / 50)) for n in range(314)))
    motion = fitted(disc, around, within_mm=WITHIN_MM)
    assert motion is not None
    assert motion.turns_deg == ()


@settings(max_examples=25, deadline=None)
@given(
    corners=st.integers(3, 400),
    off_mm=st.floats(-0.06, 0.06),
    uneven_mm=st.floats(0, 0.05),
    start=st.floats(0, 6),
    backwards=st.booleans(),
)
@example(corners=300, off_mm=0.0, uneven_mm=0.0, start=0.0, backwards=True)
def test_chords_round_a_circle_are_the_circle(
    corners: int, off_mm: float, uneven_mm: float, start: float, *, backwards: bool
) -> None:
    """As far apart as another library measures them; a hair on either side of the limit is left."""
    reaches = [20 + off_mm + uneven_mm * math.sin(7 * number) for number in range(corners)]
    turns = [start + (-1 if backwards else 1) * 2 * math.pi * n / corners for n in range(corners)]
    chain = ring(*((r * math.cos(turn), r * math.sin(turn)) for r, turn in zip(reaches, turns, strict=True)))
    line = shapely.LinearRing([vertex[:2] for vertex in chain.vertices])
    dots = shapely.points([(20 * math.cos(n / 200), 20 * math.sin(n / 200)) for n in range(1257)])
    along = shapely.line_interpolate_point(line, np.linspace(0, 1, 1201), normalized=True)
    off_line = shapely.distance(dots, line).max()
    off_circle = np.abs(shapely.distance(along, shapely.Point(0, 0)) - 20).max()
    apart = float(max(off_line, off_circle))
    assume(abs(apart - WITHIN_MM) > 2e-3)
    event("the circle" if apart < WITHIN_MM else "another line")
    assert same_outline(Circle(0, 0, 20), chain, within_mm=WITHIN_MM) is (apart < WITHIN_MM)
    assert same_outline(chain, Circle(0, 0, 20), within_mm=WITHIN_MM) is (apart < WITHIN_MM)


def test_chords_that_turn_back_on_a_circle_leave_some_of_it_out() -> None:
    """Two thirds of it and back again: every corner lies on it, and they are not one."""
    turns = [math.radians(turn) for turn in (*range(0, 270), *range(270, 0, -1))]
    back = ring(*((20 * math.cos(turn), 20 * math.sin(turn)) for turn in turns))
    assert not same_outline(Circle(0, 0, 20), back, within_mm=WITHIN_MM)


def _polygon(corners: int, radius: float = 20.0) -> Path:
    turns = [2 * math.pi * number / corners for number in range(corners)]
    return ring(*((radius * math.cos(turn), radius * math.sin(turn)) for turn in turns))


@pytest.mark.parametrize(("corners", "expected"), [(6, 0), (20, 0), (28, 0), (72, 72), (720, 720)])
def test_a_curve_of_chords_is_told_from_a_polygon(corners: int, expected: int) -> None:
    """A polygon of 28 sides is meant; 72 sides are a circle."""
    assert needless(_polygon(corners), has_arcs=True) == expected


def test_points_along_a_straight_edge_are_needless() -> None:
    """Thirty where none is needed."""
    edge = [(float(x), 0.0) for x in range(31)]
    assert needless(ring(*edge, (30, 20), (0, 20)), has_arcs=True) >= 25


def test_a_format_without_arcs_may_have_chords() -> None:
    """But not at every tenth of a mm."""
    assert needless(_polygon(400), has_arcs=False) == 0
    assert needless(_polygon(1200), has_arcs=False) == 1200


def test_edges_that_follow_each_other_become_one_stroke() -> None:
    """And are the same edges again."""
    collector = StrokeCollector()
    ends = np.array([[0, 0, 1, 0], [1, 0, 1, 1], [5, 5, 6, 6], [6, 6, 6, 6], [7, 7, 8, 8]], dtype=np.float64)
    collector.add_lines(ends, np.array([10, 20, 30, 40, 50]))
    collector.add([9, 9, 9, 8, 9, 7], 60)
    strokes, faults = measurable(collector.strokes(str))
    assert [fault.place for fault in faults] == ["40"]
    assert [strokes.place(index) for index in range(len(strokes))] == ["10", "30", "50", "60"]
    first, last = strokes.edges()
    rows = [[*start, *end] for start, end in zip(first.tolist(), last.tolist(), strict=True)]
    assert rows == [*ends[[0, 1, 2, 4]].tolist(), [9, 9, 9, 8], [9, 8, 9, 7]]


@settings(max_examples=20, deadline=None)
@given(turn=st.floats(0, 359.9), begin=st.integers(0, 100))
@example(turn=77.7, begin=31)
def test_a_turn_is_found_as_finely_as_files_are_written(turn: float, begin: int) -> None:
    """Fine chords, begun anywhere: nothing may be off by more than twice the rounding of files."""
    points = chords(placed(FLAG, Pose(40, 60, turn)), stray_mm=2e-4)
    fine = ring(*points[begin:], *points[:begin])
    motion = fitted(FLAG, fine, within_mm=FILE_MM)
    assert motion is not None
    assert min(abs((motion_turn - turn + 180) % 360 - 180) for motion_turn in motion.turns_deg) < 0.005
