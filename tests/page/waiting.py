"""Waiting for what another process does."""

from __future__ import annotations

import time
from collections.abc import Callable

LONGEST_S = 120.0  # on a computer that has other work as well


def wait(is_so: Callable[[], bool]) -> None:
    """Return once something is so; that it never is fails the test."""
    until = time.monotonic() + LONGEST_S
    while not is_so():
        assert time.monotonic() < until
        time.sleep(0.02)
