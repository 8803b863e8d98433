"""Drawn lines lie inside of pieces, each of them in one."""

from __future__ import annotations

import pytest

from cutfiles.check.rules.marks import marks_outside
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.formats.model.strokes import StrokeCollector
from cutfiles.geometry.outline import ring

# Two squares that touch at x = 50.
SQUARES = [
    Item(Layer.CUT, "cut", ring((x, 0), (x + 50, 0), (x + 50, 50), (x, 50)), None, f"at {x}") for x in (0, 50)
]


@pytest.mark.parametrize(
    ("corners", "is_stray"),
    [
        ([(10, 10), (50, 25), (90, 10)], False),  # two lines that meet where their pieces do
        ([(10, 10), (40, 20), (50, 25), (60, 20), (90, 10)], False),
        ([(10, 10), (49.9, 25), (90, 10)], True),
        ([(10, 10), (90, 10)], True),
        ([(10, 10), (50, 25), (90, 60)], True),
    ],
)
def test_a_chain_may_pass_a_joint_in_a_corner_alone(
    corners: list[tuple[float, float]], *, is_stray: bool
) -> None:
    """Where pieces touch, lines of both may meet: formats without names join them."""
    collector = StrokeCollector()
    collector.add([number for corner in corners for number in corner], 7)
    faults = list(marks_outside([], collector.strokes(lambda order: f"line {order}"), SQUARES))
    assert [fault.place for fault in faults] == ["line 7"] * is_stray
