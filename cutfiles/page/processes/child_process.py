"""A process beside the page that works for it and tells in lines of JSON; it can be asked, and killed."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

Json = dict[str, Any]
_PATIENCE_S = 5.0  # for a process that was killed to be gone


class ChildProcess:
    """A module run by another Python, with its helpers in a group of their own.

    Args:
        module: what is run.
        words: its arguments.
        take: gets each line that it tells, in a thread of this object.
        end: called there once no more will come, whatever became of the process.

    Raises:
        OSError: no process could be started.
    """

    def __init__(
        self,
        module: str,
        words: Sequence[str | Path],
        *,
        take: Callable[[Json], None],
        end: Callable[[], None],
    ) -> None:
        self._take, self._end = take, end
        # A group of its own: Ctrl-C in the terminal is ours to handle, and it can be ended with its helpers.
        self._process = subprocess.Popen(
            [sys.executable, "-m", module, *map(str, words)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
            start_new_session=True,
        )
        self._reading = threading.Thread(target=self._read, daemon=True)
        self._reading.start()
        threading.Thread(target=self._wait, daemon=True).start()

    @property
    def pid(self) -> int:
        """Return the process's id, which is that of its group."""
        return self._process.pid

    def say(self, words: str) -> None:
        """Tell the process something, if it is still there."""
        if self._process.stdin and self._process.poll() is None:
            with contextlib.suppress(OSError):
                self._process.stdin.write(f"{words}\n")
                self._process.stdin.flush()

    def kill(self) -> None:
        """End the process and all that help it, now."""
        _end_group(self._process)
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(_PATIENCE_S)

    def _read(self) -> None:
        assert self._process.stdout is not None
        with self._process.stdout as lines:
            for line in lines:
                self._take(json.loads(line))
        self._end()

    def _wait(self) -> None:
        self._process.wait()
        # Were it killed, its helpers would keep its output open and wait for ever.
        _end_group(self._process)
        if self._process.stdin:
            with contextlib.suppress(OSError):
                self._process.stdin.close()


def _end_group(process: subprocess.Popen[str]) -> None:
    if hasattr(os, "killpg"):
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    elif process.poll() is None:
        process.kill()
