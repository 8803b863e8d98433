"""Pieces laid one by one and in rows: apart, inside, and no more than the bound."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Side, chords
from cutfiles.geometry.pose import Pose
from cutfiles.nest.base.bound import most_in
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.search.greedy.packing import NoFits, Packing
from cutfiles.nest.search.greedy.rows import StackedRows
from cutfiles.nest.search.greedy.rules import RULES
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import Shape
from cutfiles.tips.registry import Tip
from tests.nest.item_strategies import shapes
from tests.nest.jobs import blade_of
from tests.nest.measured import laid_at


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
            shapely.Polygon(
                laid_at(points, Pose(placed_item.x_mm, placed_item.y_mm, placed_item.item.turn_deg))
            )
            for placed_item in placed
        ]
        for index, placed_item in enumerate(placed):
            left, low, right, high = placed_item.item.bounds
            assert placed_item.x_mm + left >= -1e-6
            assert placed_item.y_mm + low >= -1e-6
            assert placed_item.x_mm + right <= width + 1e-6
            assert placed_item.y_mm + high <= height + 1e-6
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
    packing.fill((0,), lambda _form, positions: -positions[:, axis], most=1)
    end = (packing.placed[0].x_mm, packing.placed[0].y_mm)[axis] + blade.bounds[axis + 2]
    assert end == pytest.approx(300, abs=1e-9)
