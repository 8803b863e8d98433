"""Proposals for a strip from an outside solver, in processes of its own; none where it isn't installed.

Only asked where the user gave a time limit, as it stops by the clock: without one the same job must give the
same layout. What it proposes is never trusted: `improve.py` pushes the pieces apart and measures them anew.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.util import find_spec

import numpy as np

from cutfiles.geometry.pose import cos_sin
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.base.placed_item import PlacedItem

_GRACE_S = 5.0  # it was seen to take a little longer than told
# It refuses what is exactly as wide as the strip, the commonest case here.
_WIDER_MM = 2e-3


@dataclass(frozen=True, slots=True)
class StripTask:
    """Oriented items, how many of each shape, the strip's width and the gap, mm, and a seed for the dice."""

    items: tuple[OrientedItem, ...]
    counts: tuple[tuple[str, int], ...]
    width_mm: float
    gap_mm: float
    seed: int = 0


def is_there() -> bool:
    """Return whether the solver is installed."""
    return find_spec("spyrrow") is not None


class Proposal:
    """A process at work on a task; ask `answer` for what came of it."""

    def __init__(self, task: StripTask, *, seconds: int, workers: int) -> None:
        """Begin with so many threads; it ends by itself after so many whole seconds."""
        self._task, self._seconds = task, seconds
        # Turns count from the first item of each shape.
        self._bases = [next(item for item in task.items if item.shape == shape) for shape, _ in task.counts]
        self._middles = [_middle(base) for base in self._bases]
        self._process = subprocess.Popen(
            [sys.executable, "-m", "cutfiles.nest.search.strip.proposal_child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            start_new_session=True,  # Ctrl-C is for us, and we stop it
        )
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(self._words(workers)))
        self._process.stdin.close()
        self._process.stdin = None

    def _words(self, workers: int) -> dict[str, object]:
        items = []
        for (shape, count), base, (x, y) in zip(self._task.counts, self._bases, self._middles, strict=True):
            turns = [
                (item.turn_deg - base.turn_deg) % 360.0 for item in self._task.items if item.shape == shape
            ]
            # Its strip runs along x: everything lies a quarter turn clockwise, and near the origin.
            points = [(float(py - y), float(x - px)) for px, py in base.ring]
            items.append({"points": points, "count": count, "turns_deg": turns})
        return {
            "items": items,
            "width": self._task.width_mm + _WIDER_MM,
            "gap": self._task.gap_mm,
            "seconds": self._seconds,
            "workers": workers,
            "seed": self._task.seed,
        }

    def is_done(self) -> bool:
        """Return whether it has ended."""
        return self._process.poll() is not None

    def stop(self) -> None:
        """End it; there will be no answer."""
        self._process.kill()
        self._process.wait()

    def answer(self) -> tuple[PlacedItem, ...] | None:
        """Return what it proposes, pieces slightly too near or outside at places; None where it gave up."""
        try:
            words, _ = self._process.communicate(timeout=self._seconds + _GRACE_S)
        except subprocess.TimeoutExpired:
            self.stop()
            return None
        if self._process.returncode:
            return None
        try:
            return self._placed(json.loads(words)["placed"])
        except (ValueError, KeyError, TypeError, StopIteration):
            return None

    def _placed(self, answer: Sequence[tuple[int, float, float, float]]) -> tuple[PlacedItem, ...]:
        placed = []
        for number, turn_deg, along, across in answer:
            base, (x, y) = self._bases[number], self._middles[number]
            turned = (base.turn_deg + turn_deg) % 360.0
            item = next(
                item
                for item in self._task.items
                if item.shape == base.shape and abs((item.turn_deg - turned + 180.0) % 360.0 - 180.0) < 1e-3
            )
            cos, sin = cos_sin((item.turn_deg - base.turn_deg) % 360.0)
            # Their (along, across) is our (across + width, −along), a quarter turn back.
            placed.append(
                PlacedItem(
                    item,
                    self._task.width_mm - across - (x * cos - y * sin),
                    along - (x * sin + y * cos),
                )
            )
        return tuple(placed)


def _middle(item: OrientedItem) -> tuple[float, float]:
    left, low, right, high = item.bounds
    return float(np.round((left + right) / 2, 6)), float(np.round((low + high) / 2, 6))
