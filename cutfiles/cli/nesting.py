"""What a person sees of a long search, and how they end it."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any, TypeVar

import click

from cutfiles.core.words import counted
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.progress import Progress, ProgressListener

_Command = TypeVar("_Command", bound=Callable[..., Any])

_REDRAWN_S = 0.1  # a terminal over a slow line keeps up with ten lines a second
_STOPPING = b"\nstopping: the best layout found so far is kept; Ctrl-C once more to leave without it\n"


def time_option(says: str) -> Callable[[_Command], _Command]:
    """Return the option that limits the seconds of a search, with its help."""
    return click.option(
        "--time", "time_s", metavar="SECONDS", type=click.FloatRange(min=0, min_open=True), help=says
    )


@contextmanager
def bar() -> Iterator[ProgressListener | None]:
    """A bar on a terminal; nothing in a pipe."""
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(
        length=1, label="nesting", file=sys.stderr, item_show_func=_shown, show_eta=False, show_percent=False
    ) as drawn:
        last_s = float("-inf")

        def report(progress: Progress) -> None:
            nonlocal last_s
            moved = progress.placed - drawn.pos
            now_s = time.monotonic()
            if progress.fabrics_left and not moved and now_s - last_s < _REDRAWN_S:
                return
            last_s = now_s
            drawn.length = max(progress.of, 1)
            drawn.make_step(moved)
            drawn.current_item = progress
            drawn.render_progress()

        yield report


def _shown(progress: Progress | None) -> str:
    if progress is None:
        return ""
    best = f" {progress.best}" if progress.best else ""
    fabrics = counted(progress.fabrics_left, "fabric")
    left = (
        f"{progress.left} of {progress.of} pieces and {fabrics} left"
        if progress.fabrics_left
        else "all placed"
    )
    return f"{progress.fabric}{best}, {left}"


@contextmanager
def stopped_by_ctrl_c(clock: Clock) -> Iterator[None]:
    """While this lasts, the first Ctrl-C ends the search with the best it has; the second stops at once."""
    before = signal.getsignal(signal.SIGINT)
    # Only the main thread may be sent signals; and a run that was started deaf to them stays so.
    if threading.current_thread() is not threading.main_thread() or before is not signal.default_int_handler:
        yield
        return

    def stop(_number: int, _frame: FrameType | None) -> None:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        clock.stop()
        if sys.stderr.isatty():
            # Not through Python's stream: the bar may be in the middle of writing to it.
            os.write(2, _STOPPING)

    signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
