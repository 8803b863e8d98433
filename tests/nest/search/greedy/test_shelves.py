"""Layouts for when time has run out: plain, but whole, apart and inside."""

from __future__ import annotations

import itertools

import pytest
import shapely

from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.greedy.packing import NoFits, Packing
from cutfiles.nest.search.greedy.rules import RULES
from cutfiles.nest.search.greedy.shelves import Free, on_shelves
from tests.nest.concave_shapes import ELL
from tests.nest.shapes import square, wedge, where

FLAW = ((100.0, 100.0), (130.0, 100.0), (130.0, 140.0), (100.0, 140.0))


def test_shelves_hold_what_rows_and_columns_count() -> None:
    """Squares of 30 mm, 2 mm apart, on 94 × 62 mm: three across and two up, and no more than asked."""
    item = oriented_item(square(30.0), turn_deg=0.0, mirrored=False)
    free = Free(94.0, 62.0, 0.0, 0.0)
    laid = on_shelves([item], free, gap_mm=2.0, most=100)
    assert sorted((x, y) for _, x, y in laid) == [(x, y) for x in (0.0, 32.0, 64.0) for y in (0.0, 32.0)]
    assert len(on_shelves([item], free, gap_mm=2.0, most=5)) == 5
    assert len(on_shelves([item], Free(93.9, 62.0, 0.0, 0.0), gap_mm=2.0, most=100)) == 4


@pytest.mark.parametrize("obstacles", [(), (FLAW,)])
@pytest.mark.parametrize("after", [0, 1, 4, 9])
def test_where_time_runs_out_the_rest_lies_on_shelves(
    after: int, obstacles: tuple[tuple[tuple[float, float], ...], ...]
) -> None:
    """Whenever that is, all that is asked is laid, inside, the gap apart, and clear of the flaw."""
    items = [oriented_item(shape, turn_deg=0.0, mirrored=False) for shape in (wedge(), ELL)]
    asked = itertools.count()
    packing = Packing(
        NoFits(items, gap_mm=1.0),
        width_mm=600,
        height_mm=900,
        obstacles=obstacles,
        stop=lambda: next(asked) >= 3 * after,
    )
    assert packing.fill((0,), RULES[0], most=8) == 8
    assert packing.fill((1,), RULES[0], most=5) == 5
    pieces = [where(placed_item) for placed_item in packing.placed]
    assert _near(packing.placed, 1.0) == []
    assert all(shapely.box(-1e-6, -1e-6, 600 + 1e-6, 900 + 1e-6).covers(piece) for piece in pieces)
    for ring in obstacles:
        assert all(shapely.Polygon(ring).intersection(piece).area < 1e-6 for piece in pieces)


def _near(placed: list[PlacedItem], gap_mm: float) -> list[tuple[int, int]]:
    pieces = [where(placed_item) for placed_item in placed]
    return [
        (first, second)
        for first, second in itertools.combinations(range(len(pieces)), 2)
        if pieces[first].distance(pieces[second]) < gap_mm - 1e-6
    ]
