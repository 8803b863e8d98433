"""Help from other processes never changes the answer."""

from __future__ import annotations

import os
import signal
import struct
import sys
import threading
import time
from collections.abc import Callable

import pytest

from cutfiles.core.units import MM_PER_INCH as IN
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.context import ALONE, Attempt, Helpers, Outcome
from cutfiles.nest.base.orientations import plain
from cutfiles.nest.search.solver import Solver
from cutfiles.nest.search.workers import Workers
from tests.nest.shapes import HALF, wedge

EFFORT = Effort(3, 50)


def solver(helpers: Helpers = ALONE) -> Solver:
    """A solver that minimises overlap a little."""
    return Solver((wedge(),), gap_mm=0.05 * IN, clock=Clock(effort=EFFORT), helpers=helpers)


def workers_of(clock: Clock | None = None, processes: int | None = None) -> Workers:
    """Two processes."""
    clock = Clock(effort=EFFORT) if clock is None else clock
    return Workers((wedge(),), gap_mm=0.05 * IN, clock=clock, processes=processes)


def sheet(width: float, length: float, turns: tuple[float, ...] = HALF) -> Container:
    """A sheet in inches."""
    return Container(width * IN, length * IN, 0.25 * IN, turns, mirrored=False)


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    """Even where there is but one."""
    monkeypatch.setattr("cutfiles.nest.search.workers.cores", lambda: 2)


def test_with_help_and_without_the_layout_is_the_same() -> None:
    """Quarter turns: two narrower rules are solved ahead, and insertions start in several processes."""
    container = sheet(8, 11, (0.0, 90.0, 180.0, 270.0))
    alone = solver()
    with workers_of() as workers:
        helped = solver(workers)
        placed = helped.maximise(container, "blade")
    assert plain(placed) == plain(alone.maximise(container, "blade"))
    assert len(placed) >= 7


def test_grounds_are_solved_ahead_and_then_at_hand() -> None:
    """Two sheets at once; asked afterwards, nothing is searched any more."""
    questions = [(sheet(9, 11), (("blade", 100),)), (sheet(11, 9, (0.0,)), (("blade", 3),))]
    with workers_of() as workers:
        helped = solver(workers)
        helped.solve_ahead(questions)
        assert all(helped.is_solved(*question) for question in questions)
    alone = solver()
    for container, wanted in questions:
        assert plain(helped.fill(container, wanted)) == plain(alone.fill(container, wanted))


def test_of_several_starts_the_first_that_finds_room_counts() -> None:
    """One wedge and room for many: every start finds room for a second, and the first is taken."""
    container, alone = sheet(12, 12), solver()
    first = (("blade", 0.0, False, 40.0, 0.0),)
    attempts = [Attempt(container, ("blade",), first, "blade", seed, 200) for seed in (5, 6, 7)]
    with workers_of() as workers:
        assert workers.attempt(attempts) == Outcome(alone.attempt(attempts[0], alone.clock.poll))


def test_stopped_by_the_user_nobody_is_waited_for() -> None:
    """The clock is up before the work begins: no answer, and the processes end."""
    clock = Clock(effort=EFFORT)
    clock.stop()
    with workers_of(clock) as workers:
        helped = solver(workers)
        helped.solve_ahead([(sheet(24, 24), (("blade", 100),)), (sheet(22, 22), (("blade", 100),))])
        first = (("blade", 0.0, False, 40.0, 0.0),)
        attempts = [Attempt(sheet(12, 12), ("blade",), first, "blade", seed, 200) for seed in (5, 6)]
        assert workers.attempt(attempts) == Outcome(None)
    assert not helped.is_solved(sheet(24, 24), (("blade", 100),))


def test_a_worker_that_is_killed_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The work is done here instead."""
    monkeypatch.setattr("cutfiles.nest.search.workers._attempt", _killed)
    monkeypatch.setattr("cutfiles.nest.search.workers._solve", _killed)
    alone = solver()
    with workers_of() as workers:
        helped = solver(workers)
        helped.solve_ahead([(sheet(9, 11), (("blade", 100),)), (sheet(11, 9), (("blade", 3),))])
        assert plain(helped.maximise(sheet(9, 11), "blade")) == plain(alone.maximise(sheet(9, 11), "blade"))


def test_told_to_be_one_it_starts_no_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program without a main guard may ask for that: all is left to the caller."""
    monkeypatch.setattr("cutfiles.nest.search.workers.ProcessPoolExecutor", _never_made)
    attempts = [
        Attempt(sheet(12, 12), ("blade",), (("blade", 0.0, False, 40.0, 0.0),), "blade", seed, 200)
        for seed in (5, 6)
    ]
    with workers_of(processes=1) as workers:
        assert workers.solve([(sheet(9, 11), (("blade", 9),)), (sheet(11, 9), (("blade", 3),))]) == [
            None,
            None,
        ]
        assert workers.attempt(attempts) is None
    with workers_of(processes=2) as workers, pytest.raises(AssertionError, match="a pool"):
        workers.attempt(attempts)


def _never_made(*_: object, **__: object) -> None:
    raise AssertionError("a pool was made")


def _killed(*_: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def _slow(*_: object) -> None:
    time.sleep(60)


def _half_an_answer(*_: object) -> None:
    """Say that an answer of 1000 bytes follows, and send none of it."""
    frame = sys._getframe()
    while "result_queue" not in frame.f_locals:
        assert frame.f_back is not None
        frame = frame.f_back
    os.write(frame.f_locals["result_queue"]._writer.fileno(), struct.pack("!i", 1000))
    _slow()


@pytest.mark.parametrize("solve", [_slow, _half_an_answer])
def test_nothing_of_the_pool_is_left_and_no_thread_fails(
    solve: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped with questions that wait: its thread has ended too, which a program's end would trip over."""
    failed: list[object] = []
    monkeypatch.setattr(threading, "excepthook", failed.append)
    monkeypatch.setattr("cutfiles.nest.search.workers._solve", solve)
    before, clock = set(threading.enumerate()), Clock(effort=EFFORT)
    stop = threading.Timer(0.3, clock.stop)
    with workers_of(clock) as workers:
        stop.start()
        assert set(workers.solve([(sheet(9 + n, 11), (("blade", 100),)) for n in range(8)])) == {None}
        stop.join()
    assert set(threading.enumerate()) == before
    assert failed == []
