"""How deep areas lie in each other, arcs and all."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, chords, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.geometry.solid import Solid, outside_mm, overlap_mm
from tests import strategies

SQUARE = ring((0, 0), (10, 0), (10, 10), (0, 10))
# A square whose right side bulges inwards by a half circle of radius 3 about (10, 5).
BITTEN = Path(
    (Vertex(0, 0), Vertex(10, 0), Vertex(10, 2, -1.0), Vertex(10, 8), Vertex(10, 10), Vertex(0, 10)), True
)


def _moved(contour: Contour, x_mm: float, y_mm: float) -> Contour:
    return placed(contour, Pose(x_mm, y_mm))


@pytest.mark.parametrize(
    ("contour", "point", "depth"),
    [
        (Circle(0, 0, 5), (0, 4.999), 0.001),
        (Circle(0, 0, 5), (3.0009, 4.0012), -0.0015),
        (SQUARE, (2, 5), 2),
        (SQUARE, (13, 14), -5),
        (BITTEN, (7.001, 5), -0.001),
        (BITTEN, (6.999, 5), 0.001),
    ],
)
def test_depths_by_hand(contour: Contour, point: tuple[float, float], depth: float) -> None:
    """Of a circle the radius less the distance; within a thousandth of an arc, on either side of it."""
    assert Solid(contour).depth_mm(point) == pytest.approx(depth, abs=1e-9)


@pytest.mark.parametrize(
    ("shape", "neighbour", "deep"),
    [
        (Circle(0, 0, 5), Circle(10 - 1e-4, 0, 5), True),
        (Circle(0, 0, 5), Circle(10, 0, 5), False),
        (SQUARE, _moved(SQUARE, 10, 3), False),
        (SQUARE, _moved(SQUARE, 10 - 1e-4, 3), True),
        (SQUARE, SQUARE, True),
        (SQUARE, ring((2, 2), (3, 2), (3, 3)), True),
        (SQUARE, ring((0, 4), (10, 4), (10, 6), (0, 6)), True),  # its ends run on the other's sides
        (BITTEN, Circle(10, 5, 3), False),  # fills the bite
        (BITTEN, Circle(10 - 1e-4, 5, 3), True),
        (BITTEN, Circle(10, 5, 2.5), False),
    ],
)
def test_an_overlap_of_a_ten_thousandth_is_seen_and_touching_is_none(
    shape: Contour, neighbour: Contour, *, deep: bool
) -> None:
    """Whichever of the two comes first."""
    for first, second in ((shape, neighbour), (neighbour, shape)):
        assert (overlap_mm(Solid(first), Solid(second)) > 1e-6) is deep


@settings(max_examples=60, deadline=None)
@given(first=strategies.bulged_paths(), second=strategies.bulged_paths(), pose=strategies.poses())
@example(first=BITTEN, second=BITTEN, pose=Pose(12.0, 1.0, 90.0))
def test_overlaps_are_those_of_fine_polygons(first: Path, second: Path, pose: Pose) -> None:
    """The common area of chords within a tenth of a micron, eroded, tells how deep they lie."""
    # Somewhere on one another, now more, now less.
    second = placed(second, Pose(pose.x_mm / 10, pose.y_mm / 10, pose.turn_deg))
    fine = [shapely.Polygon(chords(path, stray_mm=1e-4)) for path in (first, second)]
    if not all(polygon.is_valid for polygon in fine):
        return  # arcs that cross each other are no outline
    common = fine[0].intersection(fine[1])
    depth = overlap_mm(Solid(first), Solid(second))
    if not common.buffer(-1e-3).is_empty:
        assert depth > 5e-4
    if common.is_empty:
        assert depth <= 2e-4


@given(radius=st.floats(1, 40), share=st.floats(0, 1), over=st.sampled_from([-1e-4, 0.0, 1e-4]))
def test_a_disc_in_a_disc_reaches_out_by_what_closed_form_says(
    radius: float, share: float, over: float
) -> None:
    """Distance of the centres plus the inner radius, less the outer."""
    inner, outer = Circle(0, 0, radius * share + 0.5), Circle(0, 0, radius + 1)
    away = outer.radius - inner.radius + over
    turn = 2 * math.pi * share
    moved = Circle(away * math.cos(turn), away * math.sin(turn), inner.radius)
    assert (outside_mm(Solid(moved), Solid(outer)) > 1e-6) is (over > 0)
