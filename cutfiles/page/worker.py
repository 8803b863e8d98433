"""The process that lays out: a first layout at once, then the best; each is saved, checked and pictured.

It is told a job, its folder and where to write; it tells in lines of JSON on its output how far it is. "stop"
on its input ends the search with the best so far; the end of its input means that nobody listens any more.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from cutfiles.core.errors import CutfilesError, UnmetError
from cutfiles.job.parse.read import parse_job
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.progress import Progress
from cutfiles.page.shown import shown_of
from cutfiles.pipeline import Options, make, save, size

# A first layout is made in a hurry, so that there is something to see; if that is too little, in less of one.
_HURRIES_S = (0.3, 2.0)


class StoppedError(CutfilesError):
    """The search was stopped before it had found a layout."""


class _Search:
    """The clock of the search that is on, for whoever stops it."""

    def __init__(self) -> None:
        self.stopped = False
        self._clock: Clock | None = None

    @contextmanager
    def around(self, clock: Clock) -> Iterator[None]:
        self._clock = clock
        if self.stopped:
            clock.stop()
        yield

    def stop(self) -> None:
        self.stopped = True
        if self._clock is not None:
            self._clock.stop()


def _tell(kind: str, **says: Any) -> None:
    sys.stdout.write(json.dumps({"kind": kind, **says}) + "\n")
    sys.stdout.flush()


def _progress(progress: Progress) -> None:
    _tell("progress", fabric=progress.fabric, placed=progress.placed, of=progress.of)


def _listen(search: _Search) -> None:
    # Not through sys.stdin: helpers are forked while we wait here, and would wait for its lock for ever.
    while words := os.read(0, 1024):
        if b"stop" in words:
            search.stop()
    # Nobody listens any more: the processes that help us have the same group, and must not stay behind.
    if hasattr(os, "killpg"):
        os.killpg(0, signal.SIGKILL)
    os._exit(1)


def _lay_out(text: str, folder: Path, out: Path, search: _Search) -> None:
    sized = size(parse_job(text, folder=folder))
    laid = False
    for limit_s in (*_HURRIES_S, None):
        if laid and (search.stopped or limit_s is not None):
            continue
        name = "best" if limit_s is None else "first"
        try:
            made = make(sized, Options(time_s=limit_s, progress=_progress, around_search=search.around))
        except UnmetError:
            # In a hurry it may not have found what there is; stopped, what was found before stays.
            if limit_s is None and search.stopped and not laid:
                raise StoppedError(
                    "Stopped before anything was found; lay out again, and wait longer"
                ) from None
            if limit_s is None and not laid:
                raise
            continue
        made_folder = out / name
        save(made_folder, made)
        shown = shown_of(sized, made, made_folder, final=limit_s is None)
        (out / f"{name}.json").write_text(json.dumps(shown), encoding="utf-8")
        laid = True
        _tell("layout", name=name)


def main(job: Path, folder: Path, out: Path) -> int:
    """Lay out a job whose paths begin in a folder, and tell of it; return an exit status."""
    search = _Search()
    threading.Thread(target=_listen, args=(search,), daemon=True).start()
    try:
        _lay_out(job.read_text(encoding="utf-8"), folder, out, search)
    except CutfilesError as error:
        _tell("failed", says=str(error))
    except OSError as error:
        _tell("failed", says=f"The disk refused ({error.strerror}); make room and lay out again.")
    except MemoryError:
        _tell("failed", says="This computer ran out of memory; close other programs and lay out again.")
    _tell("over")
    return 0


if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C in the terminal: who started us decides
    status = main(*(Path(argument) for argument in sys.argv[1:4]))
    sys.stdout.flush()
    os._exit(status)  # the thread that listens is asleep on a pipe
