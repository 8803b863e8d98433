"""How fabric is rough-cut for a small mat: the grid that yields most, found without looking at all."""

from __future__ import annotations

import math

import pytest

from cutfiles.nest.cutting_rules.reach import Reach, Rect
from cutfiles.nest.fabric.supply import CellYields, RepeatGrid, RepeatGrids, Spans, cells_of, cuts_of

WHOLE = Rect(0.0, 0.0, 1000.0, 1200.0)
GRIDS = RepeatGrid(70.0, (5.0, 20.0, 33.0, 60.0)), RepeatGrid(110.0, (1.0, 50.0, 80.0))


def _reach() -> Reach:
    return Reach((Rect(0.0, 0.0, 300.0, 500.0),), ())


def _in_span(start: float, side: float) -> float:
    """How many squares of 70 lie on a lattice of their own side along one side of a cell."""
    return max(0.0, math.floor((start + side - 5.0) / 70.0) - math.ceil((start - 5.0) / 70.0))


def _squares(rect: Rect) -> float:
    return _in_span(rect.x_mm, rect.width_mm) * _in_span(rect.y_mm, rect.height_mm)


def _bound(columns: Spans, rows: Spans, slack: float = 0.0) -> float:
    across, along = (sum(_in_span(*span) for span in spans) for spans in (columns, rows))
    return across * along + slack


def _all_grids(grids: RepeatGrids) -> list[list[Rect]]:
    """Every grid of rough cuts there is, either way round."""
    assert grids is not None
    found = []
    for width, height in ((300.0, 500.0), (500.0, 300.0)):
        for columns in cuts_of(0.0, WHOLE.width_mm, width, grids[0]):
            for rows in cuts_of(0.0, WHOLE.height_mm, height, grids[1]):
                ends = [sum(rows[:index]) for index in range(len(rows))]
                begins = [sum(columns[:index]) for index in range(len(columns))]
                found.append(
                    [
                        Rect(x, y, column, row)
                        for y, row in zip(ends, rows, strict=True)
                        for x, column in zip(begins, columns, strict=True)
                    ]
                )
    return found


@pytest.mark.parametrize("slack", [0.0, 1.0], ids=["exact", "loose"])
def test_a_bound_finds_the_grid_that_looking_at_all_finds(slack: float) -> None:
    """And looks at a fraction of them; a bound that is one too high does as well here."""
    looked_at: list[Rect] = []

    def found(rect: Rect) -> float:
        looked_at.append(rect)
        return _squares(rect)

    cells = cells_of(WHOLE, _reach(), CellYields(found, lambda x, y: _bound(x, y, slack)), GRIDS)
    every = _all_grids(GRIDS)
    assert sum(map(_squares, cells)) == max(sum(map(_squares, grid)) for grid in every)
    assert len(looked_at) < 0.5 * sum(map(len, every))


def test_without_a_bound_all_grids_are_looked_at() -> None:
    """The same grid comes out."""
    bounded = cells_of(WHOLE, _reach(), CellYields(_squares, _bound), GRIDS)
    assert cells_of(WHOLE, _reach(), CellYields(_squares), GRIDS) == bounded


def test_no_more_than_some_dozens_are_looked_at() -> None:
    """However little a bound says: the order of equals decides, the same every time."""
    looked_at: list[Rect] = []

    def found(rect: Rect) -> float:
        looked_at.append(rect)
        return _squares(rect)

    yields = CellYields(found, lambda x, y: 1e6)
    cells = cells_of(WHOLE, _reach(), yields, GRIDS)
    most = max(map(len, _all_grids(GRIDS)))
    assert len(looked_at) <= 48 * most
    assert cells == cells_of(WHOLE, _reach(), yields, GRIDS)
