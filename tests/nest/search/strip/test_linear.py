"""Linear programs: the least is that of the best corner, found by trying them all."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.nest.base.clock import Clock
from cutfiles.nest.search.strip.linear import LinearProgram, Rows

SIZE = 10.0
numbers = st.integers(-5, 5).map(float)


class GivenTime(Clock):
    """A clock that says what a test sets."""

    seconds = 0.0

    @property
    def left_with_grace_s(self) -> float | None:
        return self.seconds


def brute(cost: list[float], lines: list[tuple[float, float, float]]) -> float | None:
    """The least cost at a corner of a polygon of half planes a·x + b·y ≥ c, None where there is no corner."""
    lines = [*lines, (1, 0, -SIZE), (-1, 0, -SIZE), (0, 1, -SIZE), (0, -1, -SIZE)]
    costs = []
    for (a, b, c), (d, e, f) in combinations(lines, 2):
        cross = a * e - b * d
        if cross:
            x, y = (c * e - b * f) / cross, (a * f - c * d) / cross
            if all(p * x + q * y >= r - 1e-9 for p, q, r in lines):
                costs.append(cost[0] * x + cost[1] * y)
    return min(costs, default=None)


@given(
    cost=st.lists(numbers, min_size=2, max_size=2),
    lines=st.lists(st.tuples(numbers, numbers, numbers), min_size=1, max_size=5),
)
def test_the_least_is_that_of_the_best_corner(
    cost: list[float], lines: list[tuple[float, float, float]]
) -> None:
    """Two variables within a square and some half planes, all corners tried by hand."""
    rows = Rows(
        np.tile([0, 1], (len(lines), 1)),
        np.array([(a, b) for a, b, _ in lines]),
        np.array([c for *_, c in lines]),
    )
    low, high = np.full(2, -SIZE), np.full(2, SIZE)
    least = LinearProgram().least(np.array(cost), low, high, (rows,))
    # A half plane of no direction is everything or nothing.
    if any(a == 0 and b == 0 and c > 0 for a, b, c in lines):
        assert least is None
        return
    expected = brute(cost, [line for line in lines if line[:2] != (0, 0)])
    assert (least is None) == (expected is None)
    if least is not None:
        assert float(np.dot(cost, least)) == pytest.approx(expected, abs=1e-6)


def test_rows_of_different_lengths_hold_together() -> None:
    """With x + y ≥ 3 and x ≥ 1, y as large as it likes: the least of 2x + y is 1·2 + 2."""
    both = Rows(np.array([[0, 1]]), np.array([[1.0, 1.0]]), np.array([3.0]))
    single = Rows(np.array([[0]]), np.array([[1.0]]), np.array([1.0]))
    least = LinearProgram().least(np.array([2.0, 1.0]), np.zeros(2), np.full(2, 9.0), (both, single))
    assert least is not None
    assert least.tolist() == pytest.approx([1.0, 2.0])


def test_nothing_is_said_on_standard_output(capfd: pytest.CaptureFixture[str]) -> None:
    """It may be somebody's JSON; the library greets there if it isn't told not to."""
    single = Rows(np.array([[0]]), np.array([[1.0]]), np.array([1.0]))
    LinearProgram().least(np.ones(1), np.zeros(1), np.full(1, 9.0), (single,))
    assert capfd.readouterr() == ("", "")


def test_a_program_is_given_up_where_there_is_no_time() -> None:
    """And with time enough the next of the same solver is solved: its seconds count together."""
    clock = GivenTime()
    program = LinearProgram(clock)
    dice = np.random.default_rng(7)
    count = 300
    columns = np.stack([dice.permutation(count)[:6] for _ in range(3 * count)])
    rows = (Rows(columns, dice.random(columns.shape), dice.random(len(columns))),)
    cost, low, high = dice.random(count), np.zeros(count), np.full(count, 9.0)
    assert program.least(cost, low, high, rows) is None
    clock.seconds = 60.0
    assert program.least(cost, low, high, rows) is not None
