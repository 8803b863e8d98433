"""The process that lays out: a first layout at once, then the best; each is saved, checked and pictured.

It is told a job, its folder and where to write; it tells in lines of JSON on its output how far it is. "stop"
on its input ends the search with the best so far; the end of its input means that nobody listens any more.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from cutfiles.core.errors import CutfilesError, UnmetError
from cutfiles.job.parse.read import parse_job
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.progress import Progress
from cutfiles.page.processes.shown import shown_of
from cutfiles.page.processes.telling import end, leave_ctrl_c, listen, tell
from cutfiles.pipeline import Options, make, save, size

# A first layout is made in a hurry, so that there is something to see; if that is too little, in less of one.
_HURRIES_S = (0.4, 2.0)


class StoppedError(CutfilesError):
    """The search was stopped before it had found a layout."""


class _StoppableSearch:
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


def _progress(progress: Progress) -> None:
    tell("progress", fabric=progress.fabric, placed=progress.placed, of=progress.of)


def _lay_out(text: str, folder: Path, out: Path, search: _StoppableSearch) -> None:
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
        tell("layout", name=name)


def main(job: Path, folder: Path, out: Path) -> int:
    """Lay out a job whose paths begin in a folder, and tell of it; return an exit status."""
    search = _StoppableSearch()
    listen(lambda words: search.stop() if b"stop" in words else None)
    try:
        _lay_out(job.read_text(encoding="utf-8"), folder, out, search)
    except CutfilesError as error:
        tell("failed", says=str(error))
    except OSError as error:
        tell("failed", says=f"The disk refused ({error.strerror}); make room and lay out again.")
    except MemoryError:
        tell("failed", says="This computer ran out of memory; close other programs and lay out again.")
    tell("over")
    return 0


if __name__ == "__main__":
    leave_ctrl_c()
    end(main(*(Path(argument) for argument in sys.argv[1:4])))
