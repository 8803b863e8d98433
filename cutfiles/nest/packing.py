"""Pieces in one rectangle, laid one at a time on spots where they touch what lies there already.

A spot is a place of a form's origin: a corner of the room its bounds leave in the rectangle, or a point
where the edges of that room and of no-fit polygons meet. Some best layout uses only such spots, as every
piece can be pushed until it touches something in two directions.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.collide import NoFit, no_fit
from cutfiles.nest.form import Array, Form


@dataclass(frozen=True, slots=True)
class Laid:
    """A form with its origin at (x, y) in the rectangle."""

    form: Form
    x_mm: float
    y_mm: float


# Scores spots, shape (m, 2), of a form; the least is taken.
Rule = Callable[[Form, Array], Array]
Flags = np.ndarray[Any, np.dtype[np.bool_]]
Box = tuple[float, float, float, float]


class Fences:
    """The no-fit polygons of all pairs among some forms, made when first asked for."""

    def __init__(self, forms: Sequence[Form], *, gap_mm: float) -> None:
        self.forms = tuple(forms)
        self.gap_mm = gap_mm
        self._known: dict[tuple[int, int], NoFit] = {}

    def between(self, fixed: int, laid: int) -> NoFit:
        """Return where form `laid` must not be when form `fixed` lies at the origin."""
        key = (fixed, laid)
        if key not in self._known:
            self._known[key] = no_fit(self.forms[fixed], self.forms[laid], gap_mm=self.gap_mm)
        return self._known[key]


class Packing:
    """A rectangle that fills up; its lower left corner is (0, 0)."""

    def __init__(self, fences: Fences, *, width_mm: float, height_mm: float) -> None:
        self._fences = fences
        self._rooms = [_room(form, width_mm, height_mm) for form in fences.forms]
        self._spots = [_corners(room) for room in self._rooms]
        # By form: the no-fit rings where they lie, their normals and reaches, and their bounds.
        self._rings: list[list[Array]] = [[] for _ in fences.forms]
        self._planes: list[list[tuple[Array, Array]]] = [[] for _ in fences.forms]
        self._boxes: list[list[Box]] = [[] for _ in fences.forms]
        self.laid: list[Laid] = []
        self.forms = fences.forms

    def lay(self, index: int, x_mm: float, y_mm: float) -> None:
        """Lay form `index` with its origin there; the caller knows that it may lie there."""
        self.laid.append(Laid(self._fences.forms[index], x_mm, y_mm))
        for other, room in enumerate(self._rooms):
            if room is not None:
                self._fence(other, room, self._fences.between(index, other), np.array((x_mm, y_mm)))

    def best(self, indices: Sequence[int], rule: Rule) -> tuple[int, float, float] | None:
        """Return the form among `indices` and the spot with the least score, or None if none fits."""
        best: tuple[float, float, float, int] | None = None
        for index in indices:
            spots = self._spots[index]
            if not len(spots):
                continue
            # Rounded, so that the last bit never decides: the same layout on every machine.
            scores = np.round(rule(self._fences.forms[index], spots), 6)
            first = np.lexsort((spots[:, 0], spots[:, 1], scores))[0]
            found = (float(scores[first]), float(spots[first, 1]), float(spots[first, 0]), index)
            if best is None or found[0] < best[0]:
                best = found
        return None if best is None else (best[3], best[2], best[1])

    def fill(self, indices: Sequence[int], rule: Rule, *, most: int) -> int:
        """Lay up to `most` pieces of any of the forms, each on its best spot; return how many."""
        for count in range(most):
            found = self.best(indices, rule)
            if found is None:
                return count
            self.lay(*found)
        return most

    def _fence(self, form: int, room: Array, fence: NoFit, at: Array) -> None:
        ring = fence.ring + at
        reach = fence.reach + fence.normals[:, 0] * at[0] + fence.normals[:, 1] * at[1]
        spots = self._spots[form]
        spots = spots[~_inside(spots, fence.normals, reach)]
        (left, low), (right, high) = ring.min(axis=0), ring.max(axis=0)
        box = (float(left), float(low), float(right), float(high))
        near = [i for i, other in enumerate(self._boxes[form]) if _overlap(box, other)]
        fresh = [ring, _on_room(ring, room)]
        if near:
            fresh.append(_crossings(ring, [self._rings[form][i] for i in near]))
        found = np.concatenate(fresh)
        found = found[_in_room(found, room)]
        for i in near:
            if not len(found):
                break
            found = found[~_inside(found, *self._planes[form][i])]
        self._rings[form].append(ring)
        self._planes[form].append((fence.normals, reach))
        self._boxes[form].append(box)
        self._spots[form] = np.concatenate((spots, np.clip(found, room[0], room[1])))


def _room(form: Form, width_mm: float, height_mm: float) -> Array | None:
    """Where the form's origin may be so that its bounds stay inside: rows lower left, upper right."""
    left, low, right, high = form.bounds
    least = np.array((-left, -low))
    most = np.array((width_mm - right, height_mm - high))
    if (most < least - TOUCH_MM).any():
        return None
    return np.stack((least, np.maximum(least, most)))


def _corners(room: Array | None) -> Array:
    if room is None:
        return np.empty((0, 2))
    (left, low), (right, high) = room
    return np.array(((left, low), (right, low), (right, high), (left, high)))


def _in_room(spots: Array, room: Array) -> Flags:
    inside: Flags = ((spots >= room[0] - TOUCH_MM) & (spots <= room[1] + TOUCH_MM)).all(axis=1)
    return inside


def _inside(spots: Array, normals: Array, reach: Array) -> Flags:
    """Which spots lie strictly inside the ring: behind every edge by more than a touch."""
    # Written out, not as a matrix product: that one's rounding depends on the machine.
    behind = spots[:, :1] * normals[:, 0] + spots[:, 1:] * normals[:, 1] - reach
    inside: Flags = behind.max(axis=1, initial=-np.inf) < -TOUCH_MM
    return inside


def _overlap(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _on_room(ring: Array, room: Array) -> Array:
    """Where the ring's edges cross the lines of the room's sides."""
    ahead = np.roll(ring, -1, axis=0)
    found = []
    for axis in (0, 1):
        for value in (room[0, axis], room[1, axis]):
            start, end = ring[:, axis], ahead[:, axis]
            crosses = (start - value) * (end - value) < 0
            share = (value - start[crosses]) / (end[crosses] - start[crosses])
            points = ring[crosses] + share[:, None] * (ahead[crosses] - ring[crosses])
            points[:, axis] = value
            found.append(points)
    return np.concatenate(found)


def _crossings(ring: Array, others: list[Array]) -> Array:
    """Where the ring's edges cross edges of other rings."""
    start = ring[:, None, :]
    along = np.roll(ring, -1, axis=0)[:, None, :] - start
    other_start = np.concatenate(others)
    other_along = np.concatenate([np.roll(other, -1, axis=0) for other in others]) - other_start
    across = along[..., 0] * other_along[:, 1] - along[..., 1] * other_along[:, 0]
    offset = other_start - start
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (offset[..., 0] * other_along[:, 1] - offset[..., 1] * other_along[:, 0]) / across
        other_share = (offset[..., 0] * along[..., 1] - offset[..., 1] * along[..., 0]) / across
        meets = (share > 0) & (share < 1) & (other_share > 0) & (other_share < 1)
    rows, _ = np.nonzero(meets)
    crossings: Array = ring[rows] + share[meets][:, None] * along[rows, 0]
    return crossings
