"""Push overlapping pieces apart, all at once, as long as that gets anywhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutfiles.core.outline import Bounds
from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.form import Array, Form
from cutfiles.nest.planes import APART_MM, Indices, Planes

_MOMENTUM, _STEP = 0.8, 0.3
# Rounds between looks at the progress, the share of the squared depths that must be gone by then, and
# rounds in all: quick at first, patient once little is left.
_QUICK = (30, 0.75, 900)
_PATIENT = (100, 0.9, 4000)
_LITTLE_LEFT = 0.03  # of a piece's narrower side
_NEIGHBOURS = 1.0  # of a piece's narrower side: pairs further apart than this are not looked at


@dataclass(slots=True)
class Pieces:
    """Kinds (indices of forms) and origins, mm; shape (n,) each."""

    kinds: Indices
    x: Array
    y: Array


@dataclass(frozen=True, slots=True)
class Room:
    """Where the origin of each form may lie in a rectangle, shape (forms, 4)."""

    bounds: Array

    @staticmethod
    def of(forms: Sequence[Form], size: tuple[float, float]) -> Room:
        """Return the room that a rectangle of that width and height leaves."""
        rows = [(-f.bounds[0], -f.bounds[1], size[0] - f.bounds[2], size[1] - f.bounds[3]) for f in forms]
        return Room(np.array(rows, dtype=np.float64))

    def holds(self, kind: int) -> bool:
        """Return whether a form fits at all."""
        low_x, low_y, high_x, high_y = self.bounds[kind]
        return bool(low_x <= high_x + TOUCH_MM and low_y <= high_y + TOUCH_MM)

    def of_kind(self, kind: int) -> Bounds:
        """Return the room of one form, never inside out."""
        low_x, low_y, high_x, high_y = self.bounds[kind].tolist()
        return (low_x, low_y, max(low_x, high_x), max(low_y, high_y))


def pushed_apart(planes: Planes, room: Room, at: Pieces) -> Pieces | None:
    """Return the pieces pushed apart until none is too near, or None where that gets nowhere.

    Each pair moves along the edge of its no-fit polygon that it lies least deep behind; with some
    momentum, as that gets many pieces to share out little room.
    """
    form = planes.forms[int(at.kinds[0])]
    side = min(form.width_mm, form.height_mm)
    pairs = _Pairs(planes, at, side * _NEIGHBOURS)
    found, deepest = _rounds(pairs, room, at, _QUICK)
    if APART_MM < deepest < side * _LITTLE_LEFT:
        found, deepest = _rounds(pairs, room, found, _PATIENT)
    if deepest > APART_MM or planes.all_depths(found.kinds, found.x, found.y).max() > APART_MM:
        return None
    return found


class _Pairs:
    """The pairs that lie near enough to touch, and their half planes."""

    def __init__(self, planes: Planes, at: Pieces, near_mm: float) -> None:
        one, other = np.triu_indices(len(at.kinds), 1)
        a, b = at.kinds[one], at.kinds[other]
        slack = (
            planes.reach[a, b]
            - planes.normal_x[a, b] * (at.x[other] - at.x[one])[:, None]
            - planes.normal_y[a, b] * (at.y[other] - at.y[one])[:, None]
        ).min(axis=1)
        near = slack > -near_mm
        self.one, self.other = one[near], other[near]
        a, b = a[near], b[near]
        self.normal_x, self.normal_y, self.reach = (
            planes.normal_x[a, b],
            planes.normal_y[a, b],
            planes.reach[a, b],
        )
        self.rows = np.arange(len(self.one))


def _rounds(pairs: _Pairs, room: Room, at: Pieces, patience: tuple[int, float, int]) -> tuple[Pieces, float]:
    look, share, most = patience
    count, one, other = len(at.kinds), pairs.one, pairs.other
    low_x, low_y, high_x, high_y = room.bounds[at.kinds].T
    x, y = at.x.copy(), at.y.copy()
    speed_x, speed_y = np.zeros(count), np.zeros(count)
    last, done = np.inf, 0
    while len(one):
        slack = pairs.reach - pairs.normal_x * (x[other] - x[one])[:, None]
        slack -= pairs.normal_y * (y[other] - y[one])[:, None]
        edge = slack.argmin(axis=1)
        depth = np.maximum(slack[pairs.rows, edge], 0.0)
        deepest = float(depth.max())
        if deepest < APART_MM or done >= most:
            return Pieces(at.kinds, x, y), deepest
        if done % look == 0:
            left = float((depth * depth).sum())
            if left > share * last:
                return Pieces(at.kinds, x, y), deepest
            last = left
        done += 1
        push_x, push_y = pairs.normal_x[pairs.rows, edge] * depth, pairs.normal_y[pairs.rows, edge] * depth
        speed_x = _MOMENTUM * speed_x + _STEP * (
            np.bincount(other, push_x, count) - np.bincount(one, push_x, count)
        )
        speed_y = _MOMENTUM * speed_y + _STEP * (
            np.bincount(other, push_y, count) - np.bincount(one, push_y, count)
        )
        wish_x, wish_y = x + speed_x, y + speed_y
        x, y = np.clip(wish_x, low_x, high_x), np.clip(wish_y, low_y, high_y)
        speed_x[x != wish_x], speed_y[y != wish_y] = 0.0, 0.0
    return Pieces(at.kinds, x, y), 0.0
