"""A layout that is on its way in a process of its own: how far it is, what it has found, how it is ended."""

from __future__ import annotations

import json
import threading
from dataclasses import dataclass, field
from pathlib import Path

from cutfiles.page.processes.child_process import ChildProcess, Json

WORKER = "cutfiles.page.processes.worker"
# What it leaves beside the folders with the files, by number:
STROKES = "strokes-{}.json"  # of a load, after the folder's name and a hyphen
LAID_CLOTH = "cloth-{}"  # a picture


@dataclass(slots=True)
class LayoutRun:
    """One laying out. Whatever becomes of its process, what it had found stays.

    Args:
        number: tells it from other runs.
        text: the job as it was then.
        job: a file with that text.
        out: a folder of its own.
        folder_of_job: where paths in the job begin.
    """

    number: int
    text: str
    job: Path
    out: Path
    folder_of_job: Path
    placed: int = 0
    of: int = 0
    fabric: str = ""
    drawn: str = ""  # the name of what is shown
    found: str = ""  # the folder of the best so far, once its files are there
    layouts: int = 0  # how often there was something else to be shown
    failed: str = ""
    failed_at: str = ""  # the key of the job that it is about, as messages name it
    over: bool = False
    stopping: bool = False
    given_up: bool = False
    version: int = 0  # counts changes, so that a watcher sees them
    _shown: Json | None = None
    _process: ChildProcess | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def start(self) -> None:
        """Start the process."""
        words = (self.job, self.folder_of_job, self.out)
        self._process = ChildProcess(WORKER, words, take=self._take, end=self._end)

    @property
    def pid(self) -> int:
        """Return the process's id, 0 before it is started."""
        return self._process.pid if self._process else 0

    @property
    def folder(self) -> Path | None:
        """Return where the files of the best so far are."""
        return self.out / self.found if self.found else None

    @property
    def shown(self) -> Json | None:
        """Return what is to be shown of the best so far.

        Before its files are there it holds no "files", "notes" and "check"; nothing is shown of what never
        gets any.
        """
        return self._shown if self.found or not self.over else None

    def stop(self) -> None:
        """Ask the search to end soon with the best that it has."""
        self.stopping = True
        self.version += 1
        if self._process:
            self._process.say("stop")

    def kill(self) -> None:
        """End the process and all that help it, now."""
        if self._process:
            self.given_up = True
            self._process.kill()

    def _take(self, message: Json) -> None:
        with self._lock:
            if message["kind"] == "progress":
                self.placed, self.of, self.fabric = message["placed"], message["of"], message["fabric"]
            elif message["kind"] == "layout":
                self._shown = json.loads((self.out / message["shown"]).read_text(encoding="utf-8"))
                self.drawn = message["name"]
                self.found = message["name"] if message["whole"] else self.found
                self.layouts += 1
            elif message["kind"] == "failed":
                self.failed, self.failed_at = message["says"], message.get("where", "")
            else:
                self.over = True
            self.version += 1

    def _end(self) -> None:
        with self._lock:
            if not self.over:
                self.over = True
                self.failed = self.failed or ("" if self.given_up else _ended(found=bool(self.found)))
            self.version += 1


def _ended(*, found: bool) -> str:
    what = "what it had found is kept" if found else "it had found nothing yet"
    return f"The laying out was ended from outside; {what}. Lay out again."
