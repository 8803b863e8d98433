"""Several shapes on one ground, flaws, and shapes with bays: squeezed like any others."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
import shapely

from cutfiles.geometry.outline import Circle, ring
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.ground import Ground
from cutfiles.nest.base.placed import Laid
from cutfiles.nest.search.fill import Filler
from cutfiles.nest.search.mixture import trimmed
from cutfiles.pieces.shape import Shape
from tests.nest.concave_shapes import ELL
from tests.nest.search.test_squeeze import wedge

QUARTERS = (0.0, 90.0, 180.0, 270.0)
DISC = Shape("disc", Circle(0, 0, 20), (), symmetric=True)
EFFORT = Effort(4, 300)


def where(laid: Laid) -> shapely.Polygon:
    """The piece as it lies."""
    return shapely.Polygon(laid.form.ring + np.array((laid.x_mm, laid.y_mm)))


def clashes(laid: tuple[Laid, ...], gap_mm: float) -> list[tuple[int, int]]:
    """Pairs that lie nearer than the gap, by shapely."""
    pieces = [where(one) for one in laid]
    return [
        (i, j)
        for i, one in enumerate(pieces)
        for j, other in enumerate(pieces[:i])
        if one.distance(other) < gap_mm - 2e-2 or one.intersection(other).area > 1e-2
    ]


def test_a_mixture_is_squeezed_to_hold_what_is_wanted() -> None:
    """Five discs of 40 mm in a square of 98 mm: four in the corners, and one in the middle is fifth."""
    ground = Ground(98.0, 98.0, 0.0, (0.0,), mirrored=False)
    square = Shape("square", ring((-2, -2), (2, -2), (2, 2), (-2, 2)), (), symmetric=True)
    counts = {}
    for effort in (Effort(0, 0), EFFORT):
        filler = Filler((DISC, square), gap_mm=0.0, clock=Clock(effort=effort))
        laid = filler.fill(ground, (("disc", 5), ("square", 1)))
        assert clashes(laid, 0.0) == []
        counts[effort] = Counter(one.form.shape for one in laid)
    assert counts[EFFORT] == {"disc": 5, "square": 1}


def test_pieces_are_squeezed_in_beside_a_flaw() -> None:
    """A flaw in the middle of the sheet: no cut line enters it, and at least as many are laid as without."""
    flaw = ((140.0, 140.0), (170.0, 140.0), (170.0, 170.0), (140.0, 170.0))
    ground = Ground(310.0, 310.0, 0.0, (0.0, 180.0), mirrored=False, obstacles=(flaw,))
    plain = Filler((wedge(),), gap_mm=1.0, clock=Clock()).full(ground, "blade")
    laid = Filler((wedge(),), gap_mm=1.0, clock=Clock(effort=Effort(2, 120))).full(ground, "blade")
    assert len(laid) >= len(plain)
    assert clashes(laid, 1.0) == []
    assert all(where(one).intersection(shapely.Polygon(flaw)).area < 1e-2 for one in laid)
    assert all(shapely.box(-1e-6, -1e-6, 310 + 1e-6, 310 + 1e-6).covers(where(one)) for one in laid)


def test_shapes_with_bays_are_squeezed_too() -> None:
    """Ells on a sheet: none clash, and there are at least as many as the greedy rules lay."""
    ground = Ground(229.0, 241.0, 0.0, QUARTERS, mirrored=False)
    plain = Filler((ELL,), gap_mm=1.5, clock=Clock()).full(ground, "ell")
    laid = Filler((ELL,), gap_mm=1.5, clock=Clock(effort=Effort(2, 100))).full(ground, "ell")
    assert len(laid) >= len(plain)
    assert clashes(laid, 1.5) == []


@pytest.mark.parametrize("most", [0, 1, 3])
def test_a_layout_is_trimmed_to_what_is_wanted(most: int) -> None:
    """What stays lies near the corner; what is not wanted at all goes."""
    ground = Ground(200.0, 200.0, 0.0, (0.0,), mirrored=False)
    filler = Filler((DISC, ELL), gap_mm=0.0, clock=Clock())
    laid = filler.fill(ground, (("disc", 4), ("ell", 4)))
    kept = trimmed(laid, (("disc", most),))
    assert Counter(one.form.shape for one in kept) == Counter({"disc": most} if most else {})
    assert set(kept) <= set(laid)


def test_what_was_found_for_more_serves_for_fewer() -> None:
    """Asked for all it holds, then for just as many as it gave: it gives them."""
    ground = Ground(200.0, 150.0, 0.0, (0.0,), mirrored=False)
    filler = Filler((DISC, ELL), gap_mm=0.5, clock=Clock())
    most = Counter(one.form.shape for one in filler.fill(ground, (("ell", 2), ("disc", 1000))))
    again = Counter(one.form.shape for one in filler.fill(ground, (("ell", 2), ("disc", most["disc"]))))
    assert again == most
