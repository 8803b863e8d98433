"""The largest rectangle left: against every rectangle there is, and clear of every piece."""

from __future__ import annotations

import time
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.geometry.pose import Pose
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.leftover import area_mm2, largest_beside, largest_left
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.reach import Rect
from cutfiles.pieces.plate_shapes import blade_shape
from tests.nest.concave_shapes import ELL
from tests.nest.jobs import IN, blade_of, centre_circle
from tests.nest.measured import laid_at, points_of

Box = tuple[float, float, float, float]


def _box(left: float, low: float, right: float, top: float) -> np.ndarray:
    return np.array([(left, low), (right, low), (right, top), (left, top)])


def _best_of_all(width: float, length: float, boxes: list[Box]) -> float:
    """Every rectangle between any two sides that there are."""
    xs = sorted({0.0, width, *(side for box in boxes for side in (box[0], box[2]) if 0 < side < width)})
    ys = sorted({0.0, length, *(side for box in boxes for side in (box[1], box[3]) if 0 < side < length)})
    return max(
        (
            (right - left) * (top - low)
            for left, right in combinations(xs, 2)
            for low, top in combinations(ys, 2)
            if all(box[0] >= right or box[2] <= left or box[1] >= top or box[3] <= low for box in boxes)
        ),
        default=0.0,
    )


_SIDES = st.integers(-10, 110).map(float)


@settings(max_examples=80, deadline=None)
@given(boxes=st.lists(st.tuples(_SIDES, _SIDES, st.integers(1, 60), st.integers(1, 60)), max_size=5))
@example(boxes=[])
@example(boxes=[(0.0, 0.0, 100, 90)])
@example(boxes=[(-10.0, -10.0, 200, 200)])
def test_among_rectangles_it_is_the_best_there_is(boxes: list[tuple[float, float, int, int]]) -> None:
    """On a piece of 100 by 90, tried against all rectangles between sides."""
    taken: list[Box] = [(x, y, x + width, y + height) for x, y, width, height in boxes]
    left_over = largest_beside(100.0, 90.0, [_box(*box) for box in taken])
    assert area_mm2(left_over) == pytest.approx(_best_of_all(100.0, 90.0, taken), abs=1e-3)
    if left_over is not None:
        inside = shapely.box(
            left_over.x_mm,
            left_over.y_mm,
            left_over.x_mm + left_over.width_mm,
            left_over.y_mm + left_over.height_mm,
        )
        assert shapely.box(0, 0, 100, 90).buffer(1e-6).covers(inside)
        assert all(inside.intersection(shapely.box(*box)).area < 1e-6 for box in taken)


@settings(max_examples=25, deadline=None)
@given(
    poses=st.lists(
        st.tuples(
            st.sampled_from(range(3)),
            st.floats(0, 300),
            st.floats(0, 300),
            st.sampled_from([0.0, 90.0, 180.0]),
        ),
        min_size=1,
        max_size=6,
    )
)
@example(poses=[(1, 137.6484375, 0.0, 0.0), (2, 98.0, 108.0, 0.0)])
def test_it_is_clear_of_every_cut_line_and_touches_on_all_sides(
    poses: list[tuple[int, float, float, float]],
) -> None:
    """Blades, circles and shapes with bays anywhere, even over each other."""
    shapes = (blade_shape(blade_of()), centre_circle(1.5), ELL)
    container = Container(350.0, 330.0, 5.0, None, mirrored=False)
    placed = [
        PlacedItem(oriented_item(shapes[kind], turn_deg=turn, mirrored=False), x, y)
        for kind, x, y, turn in poses
    ]
    left_over = largest_left(container, placed)
    pieces = shapely.union_all(
        [
            shapely.Polygon(laid_at(points_of(shapes[kind].cut), Pose(x, y, turn))).buffer(0)
            for kind, x, y, turn in poses
        ]
    )
    if left_over is None:
        return
    left, low = left_over.x_mm, left_over.y_mm
    right, top = left + left_over.width_mm, low + left_over.height_mm
    assert pieces.intersection(shapely.box(left, low, right, top)).area < 1e-3
    # Pushed out by a tenth of a mm, every side leaves the fabric or enters a piece.
    whole = shapely.box(0, 0, 350, 330)
    for strip in (
        shapely.box(left - 0.1, low, left, top),
        shapely.box(right, low, right + 0.1, top),
        shapely.box(left, low - 0.1, right, low),
        shapely.box(left, top, right, top + 0.1),
    ):
        assert not whole.covers(strip) or strip.intersects(pieces)


def test_beside_a_slanted_edge_it_is_nearly_the_best() -> None:
    """Of a right triangle's other half the best rectangle is half of it: closed form."""
    triangle = np.array([(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)])
    left_over = largest_beside(100.0, 100.0, [triangle])
    assert area_mm2(left_over) == pytest.approx(2500.0, rel=2e-2)
    assert area_mm2(left_over) <= 2500.0 + 1e-3


def test_obstacles_are_taken_and_the_margin_is_not() -> None:
    """A flaw of 1 by 1 in the corner of the room of a piece of 10 by 10 with a margin of 1."""
    flaw = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    container = Container(10.0, 10.0, 1.0, None, mirrored=False, obstacles=(flaw,))
    assert largest_left(container, ()) == Rect(2.0, 0.0, 8.0, 10.0)


def test_nothing_left_is_nothing() -> None:
    """Not a rectangle of no area."""
    assert largest_beside(10.0, 10.0, [_box(-1, -1, 11, 11)]) is None
    assert area_mm2(None) == 0


def test_thousands_of_pieces_take_a_moment() -> None:
    """Ten times the time it takes is allowed."""
    item = oriented_item(blade_shape(blade_of()), turn_deg=0.0, mirrored=False)
    placed = [
        PlacedItem(item, 2 * IN + (number % 50) * 2.5 * IN, (number // 50) * 5 * IN - IN)
        for number in range(2400)
    ]
    container = Container(130 * IN, 250 * IN, 0.0, None, mirrored=False)
    start = time.process_time()
    left_over = largest_left(container, placed)
    spent = time.process_time() - start
    assert left_over is not None
    assert left_over.height_mm >= 9 * IN
    assert spent < 3.0, spent
