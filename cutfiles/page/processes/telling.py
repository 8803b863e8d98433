"""What the processes beside the page have in common: lines of JSON out, words in, an end with the page."""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
from collections.abc import Callable
from typing import Any


def tell(kind: str, **says: Any) -> None:
    """Tell the page something, as a line."""
    sys.stdout.write(json.dumps({"kind": kind, **says}) + "\n")
    sys.stdout.flush()


def listen(heard: Callable[[bytes], None]) -> None:
    """Hear what the page says, in a thread of its own; once the page is gone, end with all who help."""
    threading.Thread(target=_listen, args=(heard,), daemon=True).start()


def _listen(heard: Callable[[bytes], None]) -> None:
    # Not through sys.stdin: helpers are forked while we wait here, and would wait for its lock for ever.
    while words := os.read(0, 1024):
        heard(words)
    # Nobody listens any more: the processes that help us have the same group, and must not stay behind.
    if hasattr(os, "killpg"):
        os.killpg(0, signal.SIGKILL)
    os._exit(1)


def leave_ctrl_c() -> None:
    """Leave Ctrl-C in the terminal to the page: it decides what ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def end(status: int) -> None:
    """End this process at once; the thread that listens is asleep on a pipe."""
    sys.stdout.flush()
    os._exit(status)
