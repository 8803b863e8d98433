"""Pieces in one rectangle, laid one at a time on spots where they touch what lies there already.

A spot is a place of a form's origin: a corner of the room its bounds leave in the rectangle, or a point
where the edges of that room and of no-fit polygons meet. Some best layout uses only such spots, as every
piece can be pushed until it touches something in two directions.
"""

from __future__ import annotations

import math
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

_MANY_PAIRS = 2000  # of edges: from here on it pays to look which can meet at all


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
    """A rectangle that fills up; its lower left corner is (0, 0).

    A form's spots are only brought up to date when it is asked for: in a mixture most forms are laid
    first and never looked at again.
    """

    def __init__(self, fences: Fences, *, width_mm: float, height_mm: float) -> None:
        self._fences = fences
        self._tracks = [_Track(_room(form, width_mm, height_mm)) for form in fences.forms]
        self._indices: list[int] = []  # of the forms laid
        self.laid: list[Laid] = []
        self.forms = fences.forms

    def copy(self) -> Packing:
        """Return a packing that goes on from here by itself."""
        twin = object.__new__(Packing)
        twin._fences, twin.forms = self._fences, self.forms
        twin._tracks = [track.copy() for track in self._tracks]
        twin._indices, twin.laid = list(self._indices), list(self.laid)
        return twin

    def lay(self, index: int, x_mm: float, y_mm: float) -> None:
        """Lay form `index` with its origin there; the caller knows that it may lie there."""
        self.laid.append(Laid(self._fences.forms[index], x_mm, y_mm))
        self._indices.append(index)

    def best(self, indices: Sequence[int], rule: Rule) -> tuple[int, float, float] | None:
        """Return the form among `indices` and the spot with the least score, or None if none fits."""
        best: tuple[float, float, float, int] | None = None
        for index in indices:
            spots = self._spots(index)
            if not len(spots):
                continue
            # Rounded, so that the last bit never decides: the same layout on every machine.
            scores = np.round(rule(self._fences.forms[index], spots), 6)
            first = np.lexsort((spots[:, 0], spots[:, 1], scores))[0]
            found = (float(scores[first]), float(spots[first, 1]), float(spots[first, 0]), index)
            if best is None or found[0] < best[0]:
                best = found
        return None if best is None else (best[3], best[2], best[1])

    def fill(self, indices: Sequence[int], rule: Rule, *, most: float = math.inf) -> int:
        """Lay up to `most` pieces of any of the forms, each on its best spot; return how many."""
        count = 0
        while count < most:
            found = self.best(indices, rule)
            if found is None:
                break
            self.lay(*found)
            count += 1
        return count

    def _spots(self, form: int) -> Array:
        track = self._tracks[form]
        # A form without a spot has no room at all, and laying more gives it none.
        while track.seen < len(self.laid) and len(track.spots):
            one = self.laid[track.seen]
            fence = self._fences.between(self._indices[track.seen], form)
            track.add(fence, np.array((one.x_mm, one.y_mm)))
        return track.spots


class _Track:
    """Where one form may still be laid, after the first `seen` pieces."""

    __slots__ = ("_boxes", "_edges", "_planes", "_room", "seen", "spots")

    def __init__(self, room: Array | None) -> None:
        self._room = room
        self.spots = _corners(room)
        self.seen = 0
        # The no-fit rings where they lie: corners with the way to the next, half planes, and bounds.
        self._edges: list[tuple[Array, Array]] = []
        self._planes: list[tuple[Array, Array]] = []
        self._boxes: list[Box] = []

    def copy(self) -> _Track:
        twin = _Track(self._room)
        twin.spots, twin.seen = self.spots, self.seen  # arrays are replaced, never written into
        twin._edges, twin._planes, twin._boxes = list(self._edges), list(self._planes), list(self._boxes)
        return twin

    def add(self, fence: NoFit, at: Array) -> None:
        """Take one more piece into account: its fence for this form, moved to where it lies."""
        room = self._room
        if room is None:
            return
        self.seen += 1
        ring = fence.ring + at
        reach = fence.reach + fence.normals[:, 0] * at[0] + fence.normals[:, 1] * at[1]
        spots = self.spots[~_inside(self.spots, fence.normals, reach)]
        (left, low), (right, high) = ring.min(axis=0), ring.max(axis=0)
        box = (float(left), float(low), float(right), float(high))
        near = [i for i, other in enumerate(self._boxes) if _overlap(box, other)]
        fresh = [ring, _on_room(ring, fence.along, room)]
        if near:
            fresh.append(_crossings((ring, fence.along), [self._edges[i] for i in near], box))
        found = np.concatenate(fresh)
        found = found[_in_room(found, room)]
        if near and len(found):
            found = found[~_inside_any(found, [self._planes[i] for i in near])]
        self._edges.append((ring, fence.along))
        self._planes.append((fence.normals, reach))
        self._boxes.append(box)
        self.spots = np.concatenate((spots, np.clip(found, room[0], room[1])))


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


def _inside_any(spots: Array, rings: list[tuple[Array, Array]]) -> Flags:
    """Which spots lie strictly inside one of the rings."""
    normals = np.concatenate([normals for normals, _ in rings])
    reach = np.concatenate([reach for _, reach in rings])
    behind = spots[:, :1] * normals[:, 0] + spots[:, 1:] * normals[:, 1] - reach
    starts = np.cumsum([0, *(len(reach) for _, reach in rings[:-1])])
    nearest: Array = np.maximum.reduceat(behind, starts, axis=1)
    inside: Flags = nearest.min(axis=1) < -TOUCH_MM
    return inside


def _overlap(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _on_room(ring: Array, along: Array, room: Array) -> Array:
    """Where the ring's edges cross the lines of the room's sides."""
    past = ring[:, None, :] - room  # by corner, side (lower or upper) and axis
    rows, sides, axes = np.nonzero(past * np.roll(past, -1, axis=0) < 0)
    share = -past[rows, sides, axes] / along[rows, axes]
    points: Array = ring[rows] + share[:, None] * along[rows]
    points[np.arange(len(rows)), axes] = room[sides, axes]
    return points


def _crossings(one: tuple[Array, Array], others: list[tuple[Array, Array]], box: Box) -> Array:
    """Where a ring's edges, which fill a box, cross edges of other rings."""
    other_start = np.concatenate([start for start, _ in others])
    other_along = np.concatenate([along for _, along in others])
    other_start, other_along = _edges_in(other_start, other_along, box)
    if not len(other_start):
        return np.empty((0, 2))
    start, along = one
    if len(start) * len(other_start) > _MANY_PAIRS:
        ends = np.concatenate((other_start, other_start + other_along))
        (left, low), (right, high) = ends.min(axis=0), ends.max(axis=0)
        start, along = _edges_in(start, along, (left, low, right, high))
    start, along = start[:, None, :], along[:, None, :]
    across = along[..., 0] * other_along[:, 1] - along[..., 1] * other_along[:, 0]
    offset_x, offset_y = other_start[:, 0] - start[..., 0], other_start[:, 1] - start[..., 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (offset_x * other_along[:, 1] - offset_y * other_along[:, 0]) / across
        other_share = (offset_x * along[..., 1] - offset_y * along[..., 0]) / across
        meets = (share > 0) & (share < 1) & (other_share > 0) & (other_share < 1)
    rows, _ = np.nonzero(meets)
    crossings: Array = start[rows, 0] + share[meets][:, None] * along[rows, 0]
    return crossings


def _edges_in(start: Array, along: Array, within: Box) -> tuple[Array, Array]:
    """Those edges that may reach into the box."""
    end = start + along
    low, high = np.minimum(start, end), np.maximum(start, end)
    reaches = ((low <= within[2:]) & (high >= within[:2])).all(axis=1)
    return start[reaches], along[reaches]
