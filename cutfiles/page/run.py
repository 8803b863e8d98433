"""A layout that is on its way in a process of its own: how far it is, what it has found, how it is ended."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

Json = dict[str, Any]
_PATIENCE_S = 5.0  # for a process that was killed to be gone


@dataclass(slots=True)
class Run:
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
    found: str = ""  # the folder of the best so far
    failed: str = ""
    over: bool = False
    stopping: bool = False
    given_up: bool = False
    version: int = 0  # counts changes, for whoever watches
    _shown: Json | None = None
    _process: subprocess.Popen[str] | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def start(self) -> None:
        """Start the process."""
        # A group of its own: Ctrl-C in the terminal is ours to handle, and it can be ended with its helpers.
        self._process = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "cutfiles.page.worker",
                str(self.job),
                str(self.folder_of_job),
                str(self.out),
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
            start_new_session=True,
        )
        threading.Thread(target=self._read, daemon=True).start()
        threading.Thread(target=self._wait, daemon=True).start()

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
        """Return what is to be shown of the best so far."""
        return self._shown

    def stop(self) -> None:
        """Ask the search to end soon with the best that it has."""
        process = self._process
        self.stopping = True
        self.version += 1
        if process and process.stdin and process.poll() is None:
            with contextlib.suppress(OSError):
                process.stdin.write("stop\n")
                process.stdin.flush()

    def kill(self) -> None:
        """End the process and all that help it, now."""
        process = self._process
        if process is None:
            return
        self.given_up = True
        _end_group(process)
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(_PATIENCE_S)

    def _read(self) -> None:
        assert self._process is not None
        assert self._process.stdout is not None
        for line in self._process.stdout:
            with self._lock:
                self._take(json.loads(line))
                self.version += 1
        self._end()

    def _wait(self) -> None:
        assert self._process is not None
        self._process.wait()
        # Were it killed, its helpers would keep its output open and wait for ever.
        _end_group(self._process)

    def _take(self, told: Json) -> None:
        if told["kind"] == "progress":
            self.placed, self.of, self.fabric = told["placed"], told["of"], told["fabric"]
        elif told["kind"] == "layout":
            shown = (self.out / f"{told['name']}.json").read_text(encoding="utf-8")
            self._shown, self.found = json.loads(shown), told["name"]
        elif told["kind"] == "failed":
            self.failed = told["says"]
        else:
            self.over = True

    def _end(self) -> None:
        with self._lock:
            if not self.over:
                self.over = True
                self.failed = self.failed or ("" if self.given_up else _ended(found=bool(self.found)))
            self.version += 1


def _ended(*, found: bool) -> str:
    what = "what it had found is kept" if found else "it had found nothing yet"
    return f"The laying out was ended from outside; {what}. Lay out again."


def _end_group(process: subprocess.Popen[str]) -> None:
    if hasattr(os, "killpg"):
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    elif process.poll() is None:
        process.kill()
