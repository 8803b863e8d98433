"""Against the true optimum where it can be had: small rectangles in small sheets, by trying everything.

Rectangles of whole sides that lie upright can all be pushed down and left until each touches: then every
corner is at whole numbers. So trying all whole places, in order, tries everything.
"""

from __future__ import annotations

from functools import cache

import pytest

from cutfiles.geometry.outline import ring
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.container import Container
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape

UNIT_MM = 20.0
ONE_WAY, QUARTERS = (0.0,), (0.0, 90.0)
# A layout without a hair to spare is found by few starts of many.
PATIENT = Effort(40, 600)


def optimum(piece: tuple[int, int], sheet: tuple[int, int], *, turned: bool) -> int:
    """Return how many rectangles fit, by trying every cell as a lower left corner or as waste."""
    wide, high = sheet
    sizes = {piece, piece[::-1]} if turned else {piece}

    @cache
    def best(filled: tuple[int, ...]) -> int:
        # Rows of cells already filled: the first free cell, row by row, is a corner or stays free.
        for y in range(high):
            for x in range(wide):
                if not filled[y] >> x & 1:
                    return max(_tried(filled, x, y))
        return 0

    def _tried(filled: tuple[int, ...], x: int, y: int) -> list[int]:
        rows = list(filled)
        rows[y] |= 1 << x
        counts = [best(tuple(rows))]
        for across, up in sizes:
            mask = ((1 << across) - 1) << x
            if x + across > wide or y + up > high or any(row & mask for row in filled[y : y + up]):
                continue
            rows = [row | mask if y <= at < y + up else row for at, row in enumerate(filled)]
            counts.append(1 + best(tuple(rows)))
        return counts

    return best((0,) * high)


@pytest.mark.parametrize("turns", [ONE_WAY, QUARTERS])
@pytest.mark.parametrize(
    ("piece", "sheet"),
    [
        ((2, 1), (5, 3)),
        ((3, 2), (5, 5)),
        ((3, 2), (7, 5)),
        ((4, 1), (6, 5)),
    ],
)
def test_as_many_rectangles_are_laid_as_can_be(
    piece: tuple[int, int], sheet: tuple[int, int], turns: tuple[float, ...]
) -> None:
    """Never more than the optimum, and the optimum itself, with corners that meet in pinwheels too."""
    wide, high = (side * UNIT_MM for side in piece)
    shape = Shape("tile", ring((0, 0), (wide, 0), (wide, high), (0, high)), (), symmetric=True)
    container = Container(sheet[0] * UNIT_MM, sheet[1] * UNIT_MM, 0.0, turns, mirrored=False)
    effort = PATIENT if len(turns) > 1 else Effort(2, 100)
    placed = Solver((shape,), gap_mm=0.0, clock=Clock(effort=effort)).maximise(container, "tile")
    assert len(placed) == optimum(piece, sheet, turned=len(turns) > 1)
