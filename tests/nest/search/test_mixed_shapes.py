"""Several shapes on one container, flaws, and shapes with bays: inserted like any others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import pytest
import shapely

from cutfiles.geometry.outline import Circle, ring
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.container import Container
from cutfiles.nest.search.greedy.packing import Packing, PositionRule
from cutfiles.nest.search.mixed_shapes import trimmed
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape
from tests.nest.concave_shapes import ELL
from tests.nest.shapes import QUARTERS, clashes, wedge, where

DISC = Shape("disc", Circle(0, 0, 20), (), symmetric=True)
EFFORT = Effort(4, 300)


def test_a_mixture_is_packed_to_hold_what_is_wanted() -> None:
    """Five discs of 40 mm in a square of 98 mm: four in the corners, and one in the middle is fifth."""
    container = Container(98.0, 98.0, 0.0, (0.0,), mirrored=False)
    square = Shape("square", ring((-2, -2), (2, -2), (2, 2), (-2, 2)), (), symmetric=True)
    counts = {}
    for effort in (Effort(0, 0), EFFORT):
        solver = Solver((DISC, square), gap_mm=0.0, clock=Clock(effort=effort))
        placed = solver.fill(container, (("disc", 5), ("square", 1)))
        assert clashes(placed, 0.0) == []
        counts[effort] = Counter(placed_item.item.shape for placed_item in placed)
    assert counts[EFFORT] == {"disc": 5, "square": 1}


def test_pieces_are_inserted_beside_a_flaw() -> None:
    """A flaw in the middle of the sheet: no cut line enters it, and at least as many are laid as without."""
    flaw = ((140.0, 140.0), (170.0, 140.0), (170.0, 170.0), (140.0, 170.0))
    container = Container(310.0, 310.0, 0.0, (0.0, 180.0), mirrored=False, obstacles=(flaw,))
    plain = Solver((wedge(),), gap_mm=1.0, clock=Clock()).maximise(container, "blade")
    placed = Solver((wedge(),), gap_mm=1.0, clock=Clock(effort=Effort(2, 120))).maximise(container, "blade")
    assert len(placed) >= len(plain)
    assert clashes(placed, 1.0) == []
    assert all(where(placed_item).intersection(shapely.Polygon(flaw)).area < 1e-2 for placed_item in placed)
    assert all(
        shapely.box(-1e-6, -1e-6, 310 + 1e-6, 310 + 1e-6).covers(where(placed_item)) for placed_item in placed
    )


def test_shapes_with_bays_are_inserted_too() -> None:
    """Ells on a sheet: none clash, and there are at least as many as the greedy rules lay."""
    container = Container(145.0, 145.0, 0.0, QUARTERS, mirrored=False)
    plain = Solver((ELL,), gap_mm=1.5, clock=Clock()).maximise(container, "ell")
    placed = Solver((ELL,), gap_mm=1.5, clock=Clock(effort=Effort(1, 60))).maximise(container, "ell")
    assert len(placed) >= len(plain)
    assert clashes(placed, 1.5) == []


@pytest.mark.parametrize("most", [0, 1, 3])
def test_a_layout_is_trimmed_to_what_is_wanted(most: int) -> None:
    """What stays lies near the corner; what is not wanted at all goes."""
    container = Container(200.0, 200.0, 0.0, (0.0,), mirrored=False)
    solver = Solver((DISC, ELL), gap_mm=0.0, clock=Clock())
    placed = solver.fill(container, (("disc", 4), ("ell", 4)))
    kept = trimmed(placed, (("disc", most),))
    assert Counter(placed_item.item.shape for placed_item in kept) == Counter({"disc": most} if most else {})
    assert set(kept) <= set(placed)


def test_what_was_found_for_more_serves_for_fewer() -> None:
    """Asked for all it holds, then for just as many as it gave: it gives them."""
    container = Container(200.0, 150.0, 0.0, (0.0,), mirrored=False)
    solver = Solver((DISC, ELL), gap_mm=0.5, clock=Clock())
    most = Counter(
        placed_item.item.shape for placed_item in solver.fill(container, (("ell", 2), ("disc", 1000)))
    )
    again = Counter(
        placed_item.item.shape for placed_item in solver.fill(container, (("ell", 2), ("disc", most["disc"])))
    )
    assert again == most


def test_where_numbers_alone_are_asked_the_first_layout_that_holds_them_will_do(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Three discs where nine have room: one rule is tried, not all for the one that leaves most."""
    filled: list[int] = []
    fill = Packing.fill

    def counted(packing: Packing, indices: Sequence[int], rule: PositionRule, *, most: int) -> int:
        filled.append(most)
        return fill(packing, indices, rule, most=most)

    monkeypatch.setattr(Packing, "fill", counted)
    container = Container(125.0, 125.0, 0.0, (0.0,), mirrored=False)
    for numbers, least, most in ((True, 1, 1), (False, 2, 99)):
        filled.clear()
        solver = Solver((DISC,), gap_mm=0.0, clock=Clock(effort=Effort(0, 0, numbers=numbers)))
        assert len(solver.fill(container, (("disc", 3),))) == 3
        assert least <= len(filled) <= most
