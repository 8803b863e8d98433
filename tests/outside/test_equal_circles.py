"""Equal circles in a square, against the published best packings.

The greatest radius of n equal circles in a unit square, n = 1 to 30: E. Specht, "The best known packings of
equal circles in a square" (Packomania), with proofs of optimality by Markót and Csendes for n up to 30, and
R. L. Graham and B. D. Lubachevsky, "Repeated patterns of dense packings of equal disks in a square" (1996).
The decimals are written down from memory; those with a closed form are checked against it here.
"""

from __future__ import annotations

import math

import pytest

from cutfiles.geometry.outline import Circle
from cutfiles.nest.base.bound import most_in
from cutfiles.nest.base.clock import USUAL, Clock
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape

RADII = (
    0.5, 0.292893218813, 0.254333095030, 0.25, 0.207106781187, 0.187680601147, 0.174457630187,
    0.170540688701, 0.166666666667, 0.148204322565, 0.142399237696, 0.139958844038, 0.133993513500,
    0.129331793710, 0.127166547515, 0.125, 0.117196742782, 0.115521432463, 0.112265437571,
    0.111382347512, 0.106860237390, 0.105665189235, 0.102803232228, 0.101381800431, 0.1,
    0.096362339500, 0.095420117180, 0.093672830823, 0.092463144274, 0.091671057986,
)  # fmt: skip
CLOSED = {
    1: 1 / 2,
    2: 1 / (2 + math.sqrt(2)),
    3: 1 / (2 + math.sqrt(2) / 2 + math.sqrt(6) / 2),
    4: 1 / 4,
    5: (math.sqrt(2) - 1) / 2,
    6: math.sqrt(13) / (2 * (6 + math.sqrt(13))),
    7: 1 / (4 + math.sqrt(3)),
    8: 1 / (2 + math.sqrt(2) + math.sqrt(6)),
    9: 1 / 6,
    16: 1 / 8,
    25: 1 / 10,
}
RADIUS_MM = 100.0


def fitted(side_mm: float, *, enough: int | None = None) -> int:
    """Return how many circles of 100 mm radius are laid in a square, no gap, no margin.

    With `enough` the search ends where it has found so many: for one more it could go on for seconds.
    """
    shape = Shape("centre", Circle(0.0, 0.0, RADIUS_MM), (), symmetric=True)
    container = Container(side_mm, side_mm, 0.0, (0.0,), mirrored=False)
    clock = Clock(effort=USUAL)
    if enough is not None:
        clock.watch(lambda best: clock.stop() if best >= enough else None)
    return len(Solver((shape,), gap_mm=0.0, clock=clock).maximise(container, "centre"))


@pytest.mark.parametrize(("count", "radius"), sorted(CLOSED.items()))
def test_the_table_agrees_with_the_closed_forms(count: int, radius: float) -> None:
    """Where a formula is known the remembered decimals are right."""
    assert RADII[count - 1] == pytest.approx(radius, abs=1e-11)


@pytest.mark.parametrize("count", range(1, 31))
def test_as_many_circles_are_laid_as_are_known_to_fit_into_a_little_less(count: int) -> None:
    """In a square 2 % above the best known side for n circles, n are found."""
    assert fitted(1.02 * RADIUS_MM / RADII[count - 1], enough=count) >= count


@pytest.mark.parametrize("count", [*range(1, 11), 20])
def test_no_more_circles_are_laid_than_the_best_known(count: int) -> None:
    """At the exact side for n circles never more than n are claimed to fit."""
    assert fitted(RADIUS_MM / RADII[count - 1]) <= count


@pytest.mark.parametrize("count", range(1, 31))
def test_the_bound_lies_between_what_fits_and_what_areas_allow(count: int) -> None:
    """At the exact side for n circles at least n are said to be possible, and no more than areas allow.

    Oler's inequality (Acta Mathematica 105, 1961) is sharp for triangular numbers in a triangle; in a square
    it leaves a few.
    """
    side = RADIUS_MM / RADII[count - 1]
    shape = Shape("centre", Circle(0.0, 0.0, RADIUS_MM), (), symmetric=True)
    items = [oriented_item(shape, turn_deg=0.0, mirrored=False)]
    most = most_in(shape, items, width_mm=side, height_mm=side, gap_mm=0.0)
    assert count <= most <= math.floor(side * side / (math.pi * RADIUS_MM**2) + 1e-9)
    assert most <= count + 3
