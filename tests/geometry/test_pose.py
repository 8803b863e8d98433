"""Turning, moving and mirroring."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point as ShapelyPoint

from cutfiles.geometry.outline import Circle, Path, area, bounds, chords, length, ring
from cutfiles.geometry.pose import Pose, cos_sin, placed
from tests.strategies import bulged_paths, poses

EXACT_MM = 1e-6
POINTS = st.tuples(st.floats(-500, 500), st.floats(-500, 500))


@given(pose=poses(), point=POINTS)
def test_a_pose_mirrors_then_turns_then_moves(pose: Pose, point: tuple[float, float]) -> None:
    """The geometry library's own mirror, turn and move in that order lead to the same point."""
    there = ShapelyPoint(point)
    if pose.mirrored:
        there = affinity.scale(there, xfact=-1, yfact=1, origin=(0, 0))
    there = affinity.rotate(there, pose.turn_deg, origin=(0, 0))
    there = affinity.translate(there, pose.x_mm, pose.y_mm)
    assert pose.point(point) == pytest.approx((there.x, there.y), abs=EXACT_MM)


@given(first=poses(), then=poses(), point=POINTS)
def test_after_is_one_pose_for_two(first: Pose, then: Pose, point: tuple[float, float]) -> None:
    """Doing the composed pose is doing one, then the other."""
    assert then.after(first).point(point) == pytest.approx(then.point(first.point(point)), abs=EXACT_MM)


@given(first=poses(), then=poses(), last=poses())
def test_composition_may_be_bracketed_either_way(first: Pose, then: Pose, last: Pose) -> None:
    """Three poses in a row give one result."""
    early, late = last.after(then).after(first), last.after(then.after(first))
    for point in ((0.0, 0.0), (100.0, 0.0), (0.0, 100.0)):
        assert early.point(point) == pytest.approx(late.point(point), abs=EXACT_MM)


@given(first=poses(), then=poses())
@example(first=Pose(turn_deg=1e-20), then=Pose(mirrored=True))
def test_a_composed_turn_stays_within_the_circle(first: Pose, then: Pose) -> None:
    """Turns are given from 0 up to, not including, 360 degrees."""
    assert 0 <= then.after(first).turn_deg < 360


@given(path=bulged_paths(), pose=poses())
def test_what_is_placed_keeps_its_size_and_its_way_round(path: Path, pose: Pose) -> None:
    """Area (with its sign) and length are the same wherever a closed path lies, mirrored too."""
    there = placed(path, pose)
    assert area(there) == pytest.approx(area(path), rel=1e-9)
    assert length(there) == pytest.approx(length(path), rel=1e-9)


@given(pose=poses(), point=POINTS)
def test_the_inverse_takes_everything_back(pose: Pose, point: tuple[float, float]) -> None:
    """Whichever of the two comes first."""
    assert pose.inverse().point(pose.point(point)) == pytest.approx(point, abs=EXACT_MM)
    assert pose.point(pose.inverse().point(point)) == pytest.approx(point, abs=EXACT_MM)


@given(path=bulged_paths(), pose=poses())
def test_placing_a_path_places_each_of_its_points(path: Path, pose: Pose) -> None:
    """Also the points between the ends of an arc lie where the pose takes them."""
    mine = chords(placed(path, pose), stray_mm=0.5)
    expected = [pose.point(point) for point in chords(path, stray_mm=0.5)]
    for point in expected:
        assert min(math.dist(point, other) for other in mine) < EXACT_MM
    assert len(mine) == len(expected)


@given(path=bulged_paths(), x=st.floats(-9, 9))
def test_an_open_path_keeps_its_direction_when_mirrored(path: Path, x: float) -> None:
    """A drawn line still starts where it started."""
    pose = Pose(x, 0.0, 0.0, mirrored=True)
    drawn = Path(path.vertices, closed=False)
    there = placed(drawn, pose)
    first = path.vertices[0]
    assert length(there) == pytest.approx(length(drawn), rel=1e-9)
    assert (there.vertices[0].x, there.vertices[0].y) == pose.point((first.x, first.y))


@given(pose=poses())
def test_a_placed_circle_stays_a_circle(pose: Pose) -> None:
    """Its middle moves, its radius does not."""
    there = placed(Circle(3.0, 4.0, 5.0), pose)
    assert isinstance(there, Circle)
    assert there.radius == 5.0
    assert (there.x, there.y) == pytest.approx(pose.point((3.0, 4.0)), abs=EXACT_MM)


@pytest.mark.parametrize("turn", [-360.0, -90.0, -1e-20, 0.0, 90.0, 180.0, 270.0, 360.0, 450.0])
def test_quarter_turns_are_exact(turn: float) -> None:
    """No 6e-17 is left behind by a quarter turn."""
    assert set(cos_sin(turn)) <= {-1.0, 0.0, 1.0}
    assert cos_sin(turn) == pytest.approx(
        (math.cos(math.radians(turn)), math.sin(math.radians(turn))), abs=1e-9
    )


def test_a_quarter_turn_keeps_a_rectangle_upright() -> None:
    """Turned about the origin, width and height change places to the last bit."""
    there = placed(ring((1, 2), (4, 2), (4, 9), (1, 9)), Pose(turn_deg=90.0))
    assert bounds(there) == (-9.0, 1.0, -2.0, 4.0)
