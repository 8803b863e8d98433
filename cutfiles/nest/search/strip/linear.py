"""The least of a linear function within linear bounds, by HiGHS (simplex, one thread).

No clock decides what comes out, unless a limit says so: then a program that takes too long is given up.
"""

from __future__ import annotations

from dataclasses import dataclass

import highspy
import numpy as np

from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.search.nofit.half_planes import Indices

_WITHIN = 1e-9  # how far a bound may be passed, in the bound's unit


@dataclass(frozen=True, slots=True)
class Rows:
    """Sums of some variables that must not fall below a bound; every row has the same number of terms.

    `columns` and `factors` have the shape (rows, terms), `least` (rows,).
    """

    columns: Indices
    factors: Array
    least: Array


class _Quiet(highspy.Highs):
    def enableCallbacks(self) -> None:  # noqa: N802
        # It greets on standard output, which may be somebody's JSON, unless told beforehand.
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]


class LinearProgram:
    """Solves programs one after the other, each given up when the clock's time is over; None has no end."""

    def __init__(self, clock: Clock | None = None) -> None:
        self._clock = clock
        self.rows = 0  # of all programs so far
        self._solver = _Quiet()  # type: ignore[no-untyped-call]
        self._solver.setOptionValue("threads", 1)
        self._solver.setOptionValue("solver", "simplex")
        self._solver.setOptionValue("primal_feasibility_tolerance", _WITHIN)

    def least(self, cost: Array, low: Array, high: Array, rows: tuple[Rows, ...]) -> Array | None:
        """Return the variables at which the cost is least, or None where no least was found, or not in time.

        Args:
            cost: of one of each variable, shape (n,).
            low: what each variable must not fall below, shape (n,).
            high: what it must not exceed.
            rows: what else must hold.
        """
        program = highspy.HighsLp()
        terms = np.concatenate([np.full(len(block.least), block.columns.shape[1]) for block in rows])
        program.num_col_, program.num_row_ = len(cost), len(terms)
        self.rows += len(terms)
        program.col_cost_, program.col_lower_, program.col_upper_ = cost, low, high
        program.row_lower_ = np.concatenate([block.least for block in rows])
        program.row_upper_ = np.full(len(terms), highspy.kHighsInf)
        program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        program.a_matrix_.start_ = np.concatenate([[0], np.cumsum(terms)])
        program.a_matrix_.index_ = np.concatenate([block.columns.ravel() for block in rows])
        program.a_matrix_.value_ = np.concatenate([block.factors.ravel() for block in rows])
        self._solver.passModel(program)
        left_s = None if self._clock is None else self._clock.left_with_grace_s
        if left_s is not None:
            # The solver counts the seconds of all its programs together.
            self._solver.setOptionValue("time_limit", self._solver.getRunTime() + left_s)
        self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        variables: Array = np.array(self._solver.getSolution().col_value)
        return variables
