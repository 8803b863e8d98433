"""May it lie here: the no-fit polygon against the distance that an independent library measures."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import affinity

from cutfiles.core.tolerance import NEST_ARC_MM, NEST_ARC_MOST_MM
from cutfiles.geometry.outline import Side, chords
from cutfiles.geometry.pose import Pose
from cutfiles.nest.base.bound import most_in
from cutfiles.nest.base.oriented_item import OrientedItem, oriented_item
from cutfiles.nest.greedy.packing import NoFits, Packing
from cutfiles.nest.greedy.rows import StackedRows
from cutfiles.nest.greedy.rules import RULES
from cutfiles.nest.nofit.regions import no_fit_polygon
from cutfiles.pieces.own_outline import outline_shape
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import Shape
from cutfiles.tips.registry import Tip
from tests import strategies
from tests.nest.jobs import blade_of, centre_circle
from tests.nest.measured import laid_at, points_of

QUARTERS = (0.0, 90.0, 180.0, 270.0)


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    """Blades of every tip, circles, and outlines with and without bays."""
    kind = draw(st.sampled_from(["blade", "centre", "leaf"]))
    if kind == "centre":
        return centre_circle(draw(st.floats(0.4, 2.5)))
    if kind == "blade":
        return blade_shape(blade_of(draw(st.integers(6, 30)), tip=draw(st.sampled_from(Tip))))
    return outline_shape(draw(strategies.outline_specs()))


@st.composite
def items(draw: st.DrawFn) -> OrientedItem:
    """Any shape at a quarter turn, mirrored or not."""
    return oriented_item(
        draw(shapes()), turn_deg=draw(st.sampled_from(QUARTERS)), mirrored=draw(st.booleans())
    )


CIRCLE = oriented_item(centre_circle(2.0612), turn_deg=90.0, mirrored=True)


@settings(max_examples=60, deadline=None)
@given(fixed=items(), orbiting=items(), gap=st.sampled_from([0.0, 0.8, 3.0]), share=st.floats(0, 1))
@example(fixed=CIRCLE, orbiting=CIRCLE, gap=0.8, share=0.0)
@example(fixed=CIRCLE, orbiting=CIRCLE, gap=0.8, share=0.3)
def test_on_the_no_fit_ring_two_pieces_are_just_the_gap_apart(
    fixed: OrientedItem, orbiting: OrientedItem, gap: float, share: float
) -> None:
    """Anywhere on the ring the convex outlines keep the gap, and waste one per cent of it at most."""
    no_fit = no_fit_polygon(fixed, orbiting, gap_mm=gap)
    place = share * len(no_fit.ring)
    index = int(place) % len(no_fit.ring)
    spot = no_fit.ring[index] + (place - int(place)) * no_fit.along[index]
    one = shapely.Polygon(fixed.corners)
    other = affinity.translate(shapely.Polygon(orbiting.corners), *spot)
    assert one.distance(other) == pytest.approx(gap, abs=0.0126 * gap + 1e-6)
    assert one.distance(other) >= gap - 1e-6
    assert one.intersection(other).area < 1e-3


@settings(max_examples=40, deadline=None)
@given(fixed=items(), orbiting=items(), gap=st.sampled_from([0.0, 3.0]), data=st.data())
def test_inside_the_half_planes_is_too_near_and_outside_is_not(
    fixed: OrientedItem, orbiting: OrientedItem, gap: float, data: st.DataObject
) -> None:
    """At any offset the answer is that of a measured distance, but for a hair at the ring."""
    no_fit = no_fit_polygon(fixed, orbiting, gap_mm=gap)
    low, high = no_fit.ring.min(axis=0) - 5, no_fit.ring.max(axis=0) + 5
    spot = np.array([data.draw(st.floats(low[axis], high[axis])) for axis in (0, 1)])
    inside = float((no_fit.normals @ spot - no_fit.reach).max())
    other = affinity.translate(shapely.Polygon(orbiting.corners), *spot)
    apart = shapely.Polygon(fixed.corners).distance(other)
    if inside > 1e-6:
        assert apart >= gap - 1e-6
    elif inside < -0.02 * gap - 1e-6:
        # Up to a corner's rounding, within the ring the two are nearer than the gap.
        assert apart < gap or gap == 0


@settings(max_examples=40, deadline=None)
@given(shape=shapes(), turn=st.sampled_from(QUARTERS), mirrored=st.booleans())
def test_a_form_holds_the_cut_outline_and_its_bounds_are_exact(
    shape: Shape, turn: float, mirrored: bool
) -> None:
    """Every point of the true outline lies in the convex ring, and touches all four sides of the bounds."""
    item = oriented_item(shape, turn_deg=turn, mirrored=mirrored)
    assert item.mirrored == (mirrored and not shape.symmetric)
    points = laid_at(points_of(shape.cut), Pose(turn_deg=turn, mirrored=item.mirrored))
    corners = shapely.Polygon(item.corners)
    assert corners.buffer(1e-6, join_style="mitre").covers(
        shapely.MultiPoint(points[:: 1 + len(points) // 400])
    )
    assert (*points.min(axis=0), *points.max(axis=0)) == pytest.approx(item.bounds, abs=2e-6)
    hull = shapely.MultiPoint(points).convex_hull
    # Arcs of an outline of very many corners may stray further.
    many = len(chords(shape.cut, stray_mm=NEST_ARC_MM, side=Side.OUTSIDE)) > 64
    stray = NEST_ARC_MOST_MM if many else NEST_ARC_MM
    assert -1e-3 <= corners.area - hull.area <= 2.2 * stray * hull.length


@settings(max_examples=8, deadline=None)
@example(shape=blade_shape(blade_of(length=2.0)), width=150.0, height=170.0, gap=2.0)
@example(shape=blade_shape(blade_of(16, tip=Tip.ROUND)), width=107.0, height=121.0, gap=2.0)
@given(shape=shapes(), width=st.floats(60, 220), height=st.floats(60, 220), gap=st.sampled_from([0.0, 2.0]))
def test_no_rule_and_no_stack_of_strips_passes_the_bound(
    shape: Shape, width: float, height: float, gap: float
) -> None:
    """What is laid keeps apart and inside, and is no more than the areas allow."""
    turned = [oriented_item(shape, turn_deg=turn, mirrored=False) for turn in (0.0, 180.0)]
    points = np.array(chords(shape.cut, stray_mm=1e-4, side=Side.INSIDE))
    bound = most_in(shape, turned, width_mm=width, height_mm=height, gap_mm=gap)
    strips = StackedRows(NoFits(turned, gap_mm=gap))
    packing = Packing(strips.no_fits, width_mm=width, height_mm=height)
    packing.fill((0, 1), RULES[0])
    for placed in (packing.placed, *strips.layouts(width_mm=width, height_mm=height, most=bound)):
        assert len(placed) <= bound
        # The outlines themselves: what stands for their arcs may come nearer by what it strays.
        pieces = [
            shapely.Polygon(laid_at(points, Pose(one.x_mm, one.y_mm, one.item.turn_deg))) for one in placed
        ]
        for index, one in enumerate(placed):
            left, low, right, high = one.item.bounds
            assert one.x_mm + left >= -1e-6
            assert one.y_mm + low >= -1e-6
            assert one.x_mm + right <= width + 1e-6
            assert one.y_mm + high <= height + 1e-6
            for other in pieces[:index]:
                assert pieces[index].distance(other) >= gap - 1e-6


def test_a_copy_goes_on_by_itself() -> None:
    """What is laid on a copy is not laid on the packing it came from, nor the other way round."""
    blade = oriented_item(blade_shape(blade_of()), turn_deg=0.0, mirrored=False)
    packing = Packing(NoFits([blade], gap_mm=1.0), width_mm=300, height_mm=300)
    packing.fill((0,), RULES[0], most=2)
    copy = packing.copy()
    assert copy.fill((0,), RULES[0]) > 0
    assert len(packing.placed) == 2
    packing.fill((0,), RULES[0])
    assert packing.placed == copy.placed


@pytest.mark.parametrize("axis", [0, 1])
def test_a_piece_pushed_to_the_far_edge_ends_just_there(axis: int) -> None:
    """The room's far sides are as exact as its near ones."""
    blade = oriented_item(blade_shape(blade_of()), turn_deg=0.0, mirrored=False)
    packing = Packing(NoFits([blade], gap_mm=1.0), width_mm=300, height_mm=300)
    packing.fill((0,), lambda _form, spots: -spots[:, axis], most=1)
    end = (packing.placed[0].x_mm, packing.placed[0].y_mm)[axis] + blade.bounds[axis + 2]
    assert end == pytest.approx(300, abs=1e-9)


def test_the_bound_of_squares_is_exact_without_a_gap() -> None:
    """Squares tile: what the areas allow is what fits."""
    from cutfiles.geometry.outline import ring

    square = Shape("tile", ring((0, 0), (30, 0), (30, 30), (0, 30)), (), symmetric=False)
    item = oriented_item(square, turn_deg=0.0, mirrored=False)
    assert most_in(square, [item], width_mm=90, height_mm=60, gap_mm=0) == 6
    assert most_in(square, [item], width_mm=29, height_mm=600, gap_mm=0) == 0
    assert most_in(square, [item], width_mm=90 - 1e-3, height_mm=60, gap_mm=0) == 5
    # Steiner: 30² + 120·2/2 + π·2²/4 = 1023.14 each, in 92 × 62.
    assert most_in(square, [item], width_mm=90, height_mm=60, gap_mm=2) == math.floor(92 * 62 / 1023.1416)
