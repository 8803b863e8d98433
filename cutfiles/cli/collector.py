"""How often Python looks for objects that only hold on to each other."""

from __future__ import annotations

import gc

_NEW_OBJECTS = 100_000  # between two looks; Python's own 700 is for programs that make few


def collect_seldom() -> None:
    """Look for such objects after many new ones only.

    A plan and a file read back are a million small objects without circles: looking through them over and
    over took up to a quarter of a large job's time. What nothing refers to is freed at once all the same.
    """
    gc.set_threshold(_NEW_OBJECTS)
