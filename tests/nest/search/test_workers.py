"""Help from other processes never changes the answer."""

from __future__ import annotations

import os
import signal

import pytest

from cutfiles.core.units import MM_PER_INCH as IN
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.orientations import plain
from cutfiles.nest.overlap.insert import Attempt
from cutfiles.nest.search.solver import Solver
from cutfiles.nest.search.workers import Workers
from tests.nest.shapes import HALF, wedge

EFFORT = Effort(3, 120)


def solver() -> Solver:
    """A solver that minimises overlap a little."""
    return Solver((wedge(),), gap_mm=0.05 * IN, clock=Clock(effort=EFFORT))


def sheet(width: float, length: float, turns: tuple[float, ...] = HALF) -> Container:
    """A sheet in inches."""
    return Container(width * IN, length * IN, 0.25 * IN, turns, mirrored=False)


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    """Even where there is but one."""
    monkeypatch.setattr("cutfiles.nest.search.workers.cores", lambda: 2)


def test_with_help_and_without_the_layout_is_the_same() -> None:
    """Quarter turns: two narrower rules are solved ahead, and insertions start in several processes."""
    container = sheet(12, 14, (0.0, 90.0, 180.0, 270.0))
    alone, helped = solver(), solver()
    with Workers((wedge(),), helped, gap_mm=0.05 * IN):
        found = helped.maximise(container, "blade")
    assert plain(found) == plain(alone.maximise(container, "blade"))
    assert len(found) >= 12


def test_grounds_are_solved_ahead_and_then_at_hand() -> None:
    """Two sheets at once; asked afterwards, nothing is searched any more."""
    questions = [(sheet(9, 11), (("blade", 100),)), (sheet(11, 9, (0.0,)), (("blade", 3),))]
    helped = solver()
    with Workers((wedge(),), helped, gap_mm=0.05 * IN):
        helped.ahead(questions)
        assert all(helped.is_solved(*question) for question in questions)
    alone = solver()
    for container, wanted in questions:
        assert plain(helped.fill(container, wanted)) == plain(alone.fill(container, wanted))


def test_of_several_starts_the_first_that_finds_room_counts() -> None:
    """One wedge and room for many: every start finds room for a second, and the first is taken."""
    container, alone = sheet(12, 12), solver()
    first = (("blade", 0.0, False, 40.0, 0.0),)
    attempts = [Attempt(container, ("blade",), first, "blade", seed, 200) for seed in (5, 6, 7)]
    helped = solver()
    with Workers((wedge(),), helped, gap_mm=0.05 * IN) as workers:
        assert workers.attempts(attempts) == alone.in_turn(attempts[:1])


def test_stopped_by_the_user_nobody_is_waited_for() -> None:
    """The clock is up before the work begins: no answer, and the processes end."""
    helped = solver()
    helped.clock.stop()
    with Workers((wedge(),), helped, gap_mm=0.05 * IN) as workers:
        helped.ahead([(sheet(24, 24), (("blade", 100),)), (sheet(22, 22), (("blade", 100),))])
        first = (("blade", 0.0, False, 40.0, 0.0),)
        attempts = [Attempt(sheet(12, 12), ("blade",), first, "blade", seed, 200) for seed in (5, 6)]
        assert workers.attempts(attempts) is None
    assert not helped.is_solved(sheet(24, 24), (("blade", 100),))


def test_a_worker_that_is_killed_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The work is done here instead."""
    monkeypatch.setattr("cutfiles.nest.search.workers._attempt", _killed)
    monkeypatch.setattr("cutfiles.nest.search.workers._solve", _killed)
    alone, helped = solver(), solver()
    with Workers((wedge(),), helped, gap_mm=0.05 * IN):
        helped.ahead([(sheet(9, 11), (("blade", 100),)), (sheet(11, 9), (("blade", 3),))])
        assert plain(helped.maximise(sheet(9, 11), "blade")) == plain(alone.maximise(sheet(9, 11), "blade"))


def _killed(*_: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)
