"""All cores at once: containers solved in other processes, and several starts of one overlap minimisation.

What is asked and what is answered are plain values, each answer depends on its question alone, and where
several are answered the order of the questions decides: the layout is the same on one core and on many.
"""

from __future__ import annotations

import multiprocessing
import signal
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import Any, TypeVar

from cutfiles.nest.base.clock import Clock, Effort, cores
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.context import Attempt, Outcome, Question
from cutfiles.nest.base.orientations import PlainLayout
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape

MOST_WORKERS = 8  # each takes some 80 MB
_LOOK_S = 0.1  # how often the clock is looked at while others work
_FEW_MOVES = 100  # an attempt of fewer is made here: asking somebody else takes as long
Answer = TypeVar("Answer")
Task = TypeVar("Task")
# A fork has everything loaded and starts at once; elsewhere processes start empty.
_CONTEXT = multiprocessing.get_context("fork" if sys.platform == "linux" else "spawn")


@dataclass(frozen=True, slots=True)
class _Setup:
    """What a worker needs to know to begin with."""

    shapes: tuple[Shape, ...]
    gap_mm: float
    effort: Effort
    left_s: float | None


_here: list[Solver] = []  # in a worker: its own solver
_rounds: list[Any] = []  # in a worker: the round of attempts that is on, a number in shared memory


def _begin(setup: _Setup, round_: Any) -> None:
    # Ctrl-C reaches every process of a terminal; the process that asked decides what to do about it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    clock = Clock(setup.left_s, effort=setup.effort)
    _rounds[:] = [round_]
    _here[:] = [Solver(setup.shapes, gap_mm=setup.gap_mm, clock=clock, extends=False)]


def _solve(container: Container, wanted: Wanted) -> PlainLayout:
    """What a worker finds for a container."""
    return _here[0].solve(container, wanted)


def _attempt(attempt: Attempt, round_: int) -> PlainLayout | None:
    """What a worker finds from one start; it gives up once another round is on."""
    solver, on = _here[0], _rounds[0]
    return solver.attempt(attempt, lambda: solver.clock.poll() or on.value > round_)


class Workers:
    """Processes that help a search; there are none before there is something to do for two."""

    def __init__(
        self, shapes: Sequence[Shape], *, gap_mm: float, clock: Clock, processes: int | None = None
    ) -> None:
        """Help with at most so many processes: as many as there are cores if None, none at all if 1.

        Where processes start empty (all but Linux), a program without a main guard must ask for 1.
        """
        self._shapes, self._gap_mm, self._clock = tuple(shapes), gap_mm, clock
        self._count = min(MOST_WORKERS, cores() if processes is None else processes)
        self._pool: ProcessPoolExecutor | None = None
        self._round = _CONTEXT.Value("q", 0, lock=False) if self._count > 1 else None

    def __enter__(self) -> Workers:
        return self

    def __exit__(self, *_: object) -> None:
        self._count = 1
        if self._pool is not None:
            # A worker that is busy with a question no longer asked need not be waited for; but the thread
            # that manages the pool must be: it closes a pipe that the end of the program writes to, and where
            # both happen at once a traceback is printed.
            for process in list((self._pool._processes or {}).values()):
                process.terminate()
            # Ended half-way through an answer, a worker leaves that thread waiting for the rest: the pipe
            # must end, and it does once nobody can write to it.
            answers: Any = self._pool._result_queue
            answers._writer.close()
            self._pool.shutdown(wait=True)

    def solve(self, questions: Sequence[Question]) -> Sequence[PlainLayout | None]:
        """Return what is found for each container, several at once; None is left to the caller."""
        answers: list[PlainLayout | None] = [None] * len(questions)
        if len(questions) < 2 or self._count < 2:
            return answers
        try:
            pool = self._ready()
            futures = [pool.submit(_solve, *question) for question in questions]
            for index, future in enumerate(futures):
                answers[index] = self._wait(future)
        except BrokenProcessPool:
            self._count = 1  # a worker was killed, for want of memory perhaps; the answers are the same
        return answers

    def each(self, answer: Callable[[Task], Answer], tasks: Sequence[Task]) -> list[Answer]:
        """Return the answer to each task, several at once.

        Args:
            answer: a function of a module, whose answer depends on the task alone.
            tasks: plain values, as the answers must be.
        """
        if self._count > 1 and len(tasks) > 1:
            try:
                return list(self._ready().map(answer, tasks))
            except BrokenProcessPool:
                self._count = 1
        return [answer(task) for task in tasks]

    def attempt(self, attempts: Sequence[Attempt]) -> Outcome | None:
        """Return what the first attempt that finds room has found; None leaves all to the caller."""
        if self._count < 2 or len(attempts) < 2 or attempts[0].moves < _FEW_MOVES:
            return None
        try:
            return Outcome(self._first_found(attempts))
        except BrokenProcessPool:
            self._count = 1
            return None

    def _first_found(self, attempts: Sequence[Attempt]) -> PlainLayout | None:
        pool = self._ready()
        assert self._round is not None
        left = list(attempts)
        running: list[Future[PlainLayout | None]] = []
        layout: PlainLayout | None = None
        while layout is None and (running or left) and not self._clock.poll():
            while left and len(running) < self._count:
                running.append(pool.submit(_attempt, left.pop(0), self._round.value))
            layout = self._wait(running.pop(0))
        self._round.value += 1  # attempts still being made may stop
        return layout

    def _ready(self) -> ProcessPoolExecutor:
        if self._pool is None:
            setup = _Setup(self._shapes, self._gap_mm, self._clock.effort, self._clock.left_s)
            self._pool = ProcessPoolExecutor(
                self._count, mp_context=_CONTEXT, initializer=_begin, initargs=(setup, self._round)
            )
        return self._pool

    def _wait(self, future: Future[Answer]) -> Answer | None:
        """The answer; None where the time is up or the user wants no more."""
        while not self._clock.poll():
            done, _ = wait([future], timeout=_LOOK_S)
            if done:
                return future.result()
        # Not cancelled: a pool whose processes are ended fails on questions that were.
        return None
