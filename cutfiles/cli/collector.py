"""How often Python's collector of cyclic garbage runs."""

from __future__ import annotations

import gc

_NEW_OBJECTS = 100_000  # between two runs; Python's own 700 is for programs that make few


def collect_seldom() -> None:
    """Let the collector run only after many new objects.

    A plan and a file read back are a million small objects without circles: looking through them over and
    over took up to a quarter of a large job's time. What nothing refers to is freed at once all the same.
    """
    gc.set_threshold(_NEW_OBJECTS)
