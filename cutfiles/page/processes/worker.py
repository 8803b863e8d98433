"""The process that lays out: a first layout at once, then the best unless the first is that; each is checked.

Its arguments are a job, its folder and where to write; on its output it reports in lines of JSON. "stop" on
its input ends the search with the best so far; the end of its input means that nobody listens any more.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from cutfiles.core.errors import CutfilesError, JobError, UnmetError
from cutfiles.job.parse.read import parse_job
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.progress import Progress
from cutfiles.page.processes.shown import Json, drawn_of, with_files
from cutfiles.page.processes.telling import end, leave_ctrl_c, listen, tell
from cutfiles.pipeline import Laid, Made, Options, Sized, make, save, size

# A first layout is made in a hurry, so that there is something to see; if that is too little, in less of one.
# A slow computer with other work finds none in two seconds, and the whole search there takes minutes.
_HURRIES_S = (0.8, 2.0, 8.0)
_FIRST, _BEST = "first", "best"


class StoppedError(CutfilesError):
    """The search was stopped before it had found a layout."""


class _StoppableSearch:
    """The clock of the search that is on, so that another thread can stop it."""

    def __init__(self) -> None:
        self.stopped = False
        self.ended_by_itself = True  # the latest: without a limit it would have found the same
        self._clock: Clock | None = None

    @contextmanager
    def around(self, clock: Clock) -> Iterator[None]:
        self._clock = clock
        if self.stopped:
            clock.stop()
        try:
            yield
        finally:
            # Processes that help have the same end: with time left, it has cut short none of them either.
            in_time = clock.left_s is None or clock.left_s > 0
            self.ended_by_itself = in_time and not clock.cut_short and not clock.went_on

    def stop(self) -> None:
        self.stopped = True
        if self._clock is not None:
            self._clock.stop()


def _progress(progress: Progress) -> None:
    tell("progress", fabric=progress.fabric, placed=progress.placed, of=progress.of)


@dataclass(slots=True)
class _Show:
    """Pictures of what a search has found, reported by a name: the best, or the first of two."""

    sized: Sized
    out: Path
    search: _StoppableSearch
    limited: bool
    early: bool  # before the files: nothing else is there to be seen
    name: str = ""
    drawn: Json | None = None

    def laid(self, laid: Laid) -> None:
        """Draw where every piece lies."""
        self.name = _FIRST if self.limited and not self.search.ended_by_itself else _BEST
        self.drawn = drawn_of(self.sized, laid, self.out, self.name, final=self.name == _BEST)
        if self.early:
            self._tell(self.drawn, f"{self.name}-drawn.json", is_whole=False)

    def made(self, made: Made) -> None:
        """Save all files, have them checked, and report them."""
        folder = self.out / self.name
        save(folder, made)
        assert self.drawn is not None
        self._tell(with_files(self.drawn, made, folder), f"{self.name}.json", is_whole=True)

    def _tell(self, shown: Json, file: str, *, is_whole: bool) -> None:
        (self.out / file).write_text(json.dumps(shown), encoding="utf-8")
        tell("layout", name=self.name, shown=file, whole=is_whole)


def _lay_out(text: str, folder: Path, out: Path, search: _StoppableSearch) -> None:
    sized = size(parse_job(text, folder=folder))
    laid = False
    for limit_s in (*_HURRIES_S, None):
        if laid and (search.stopped or limit_s is not None):
            continue
        show = _Show(sized, out, search, limited=limit_s is not None, early=not laid)
        try:
            options = Options(
                time_s=limit_s, progress=_progress, around_search=search.around, on_laid=show.laid
            )
            made = make(sized, options)
        except UnmetError:
            # In a hurry it may not have found what there is; stopped, what was found before stays.
            if limit_s is None and search.stopped and not laid:
                raise StoppedError(
                    "Stopped before anything was found; lay out again, and wait longer"
                ) from None
            if not laid and (limit_s is None or search.ended_by_itself):
                raise
            continue
        show.made(made)
        if search.ended_by_itself:
            return
        laid = True


def main(job: Path, folder: Path, out: Path) -> int:
    """Lay out a job whose paths begin in a folder, and report on it; return an exit status."""
    search = _StoppableSearch()
    listen(lambda words: search.stop() if b"stop" in words else None)
    try:
        _lay_out(job.read_text(encoding="utf-8"), folder, out, search)
    except JobError as error:
        tell("failed", says=error.says, where=error.where)
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
