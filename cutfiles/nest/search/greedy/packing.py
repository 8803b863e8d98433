"""Pieces in one rectangle, laid one at a time on positions where they touch what lies there already.

A position is a place of an item's origin: a corner of the room its bounds leave in the rectangle, or a point
where the edges of that room and of no-fit polygons meet. Some best layout uses only such positions, as every
piece can be pushed until it touches something in two directions.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import accumulate

import numpy as np
import shapely

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.crossings import Box, crossings, on_room
from cutfiles.nest.base.oriented_item import Array, OrientedItem
from cutfiles.nest.base.placed_item import Flags, PlacedItem, Rings
from cutfiles.nest.search.greedy.shelves import Free, on_shelves
from cutfiles.nest.search.nofit.regions import NoFit, NoFitRegion, no_fit_between, no_fit_region

# Scores positions, shape (m, 2), of an item; the least is taken.
Rule = Callable[[OrientedItem, Array], Array]
Stop = Callable[[], bool]  # asked before each piece whether to break off
_ORIGIN = np.zeros(2)
_TOUCH = np.array(((-TOUCH_MM, -TOUCH_MM), (TOUCH_MM, TOUCH_MM)))


def never() -> bool:
    """Never break off."""
    return False


class NoFits:
    """Where items keep out of each other and of obstacles, made when first asked for."""

    def __init__(self, items: Sequence[OrientedItem], *, gap_mm: float) -> None:
        self.items = tuple(items)
        self.gap_mm = gap_mm
        self._known: dict[tuple[int, int], NoFit] = {}
        self._around: dict[tuple[Rings, int], NoFitRegion] = {}

    def between(self, fixed: int, orbiting: int) -> NoFit:
        """Return where item `orbiting` must not be when item `fixed` lies at the origin."""
        key = (fixed, orbiting)
        if key not in self._known:
            self._known[key] = no_fit_between(self.items[fixed], self.items[orbiting], gap_mm=self.gap_mm)
        return self._known[key]

    def around(self, obstacles: Rings, orbiting: int) -> NoFitRegion:
        """Return where item `orbiting` must not be lest it enter an obstacle; it may touch one."""
        key = (obstacles, orbiting)
        if key not in self._around:
            fixed = [np.array(ring) for ring in obstacles]
            self._around[key] = no_fit_region(fixed, self.items[orbiting].parts, gap_mm=0.0)
        return self._around[key]


class Packing:
    """A rectangle that fills up; its lower left corner is (0, 0).

    An item's positions are only brought up to date when it is asked for: in a mixture most items are laid
    first and never looked at again.
    """

    def __init__(
        self,
        no_fits: NoFits,
        *,
        width_mm: float,
        height_mm: float,
        obstacles: Rings = (),
        stop: Stop = never,
    ) -> None:
        """Begin with nothing but obstacles; `stop` is asked before each piece whether time has run out."""
        self._stop, self._size = stop, (width_mm, height_mm)
        self._no_fits = no_fits
        self._obstacles = obstacles
        self._tracks = [_Track(_room(item, width_mm, height_mm)) for item in no_fits.items]
        self._indices: list[int] = []  # of the items laid
        self.placed: list[PlacedItem] = []
        self.items = no_fits.items

    def copy(self) -> Packing:
        """Return a packing that goes on from here by itself."""
        twin = object.__new__(Packing)
        twin._no_fits, twin.items, twin._obstacles = self._no_fits, self.items, self._obstacles
        twin._stop, twin._size = self._stop, self._size
        twin._tracks = [track.copy() for track in self._tracks]
        twin._indices, twin.placed = list(self._indices), list(self.placed)
        return twin

    def lay(self, index: int, x_mm: float, y_mm: float) -> None:
        """Lay item `index` with its origin there; the caller knows that it may lie there."""
        self.placed.append(PlacedItem(self._no_fits.items[index], x_mm, y_mm))
        self._indices.append(index)

    def best(self, indices: Sequence[int], rule: Rule) -> tuple[int, float, float] | None:
        """Return the item among `indices` and the position with the least score, or None if none fits."""
        best: tuple[float, float, float, int] | None = None
        for index in indices:
            positions = self._positions(index)
            if not len(positions):
                continue
            # Rounded, so that the last bit never decides: the same layout on every machine.
            scores = rule(self._no_fits.items[index], positions).round(6)
            first = np.lexsort((positions[:, 0], positions[:, 1], scores))[0]
            candidate = (float(scores[first]), float(positions[first, 1]), float(positions[first, 0]), index)
            if best is None or candidate[0] < best[0]:
                best = candidate
        return None if best is None else (best[3], best[2], best[1])

    def fill(self, indices: Sequence[int], rule: Rule, *, most: float = math.inf) -> int:
        """Lay up to `most` pieces of any of the items, each on its best position; return how many.

        Told to stop, it lays what is left on shelves beside the rest.
        """
        count = 0
        while count < most:
            choice = None if self._stop() else self.best(indices, rule)
            # A position that was found while time ran out may not have seen all pieces.
            if self._stop():
                return count + self._on_shelves(indices, most - count)
            if choice is None:
                break
            self.lay(*choice)
            count += 1
        return count

    def _on_shelves(self, indices: Sequence[int], most: float) -> int:
        gap = self._no_fits.gap_mm
        left = max(
            (placed_item.x_mm + placed_item.item.bounds[2] + gap for placed_item in self.placed), default=0.0
        )
        low = max(
            (placed_item.y_mm + placed_item.item.bounds[3] + gap for placed_item in self.placed), default=0.0
        )
        free = Free(*self._size, left, low, self._obstacles)
        shelved = on_shelves([self.items[index] for index in indices], free, gap_mm=gap, most=most)
        for item, x, y in shelved:
            self.lay(self.items.index(item), x, y)
        return len(shelved)

    def _positions(self, item: int) -> Array:
        track = self._tracks[item]
        if self._obstacles and not track.fenced and len(track.positions):
            track.fenced = True
            track.add(self._no_fits.around(self._obstacles, item), _ORIGIN)
        # An item without a position has no room at all, and laying more gives it none.
        while track.seen < len(self.placed) and len(track.positions) and not self._stop():
            placed_item = self.placed[track.seen]
            no_fit = self._no_fits.between(self._indices[track.seen], item)
            track.add(no_fit, np.array((placed_item.x_mm, placed_item.y_mm)))
            track.seen += 1
        return track.positions


class _Track:
    """Where one item may still be laid, after the first `seen` pieces; `fenced` once obstacles are known.

    Every piece laid comes by here for every item that is asked for, so it is written for the few dozen
    numbers that each array holds: what numpy spends on a call counts, not what it spends on a number.
    """

    __slots__ = ("_boxes", "_edges", "_insides", "_room", "_room_and_touch", "fenced", "positions", "seen")

    def __init__(self, room: Array | None) -> None:
        self._room = room
        self._room_and_touch = None if room is None else room + _TOUCH
        self.positions = _corners(room)
        self.seen = 0
        self.fenced = False
        # The no-fit regions where they lie: edges with the way to the next, what is inside, and bounds.
        self._edges: list[tuple[Array, Array]] = []
        self._insides: list[_Inside] = []
        self._boxes = _Boxes()

    def copy(self) -> _Track:
        twin = _Track(self._room)
        # Arrays are replaced, never written into.
        twin.positions, twin.seen, twin.fenced = self.positions, self.seen, self.fenced
        twin._edges, twin._insides, twin._boxes = list(self._edges), list(self._insides), self._boxes.copy()
        return twin

    def add(self, no_fit: NoFit, at: Array) -> None:
        """Take one more piece into account: its no-fit region for this item, moved to where it lies."""
        room = self._room
        if room is None or self._room_and_touch is None:
            return
        starts, ends, inside = _moved(no_fit, at)
        positions = self.positions[~_inside(self.positions, inside)]
        left, low = np.minimum.reduce(starts).tolist()
        right, high = np.maximum.reduce(starts).tolist()
        box = (left, low, right, high)
        near = self._boxes.near(box)
        fresh = [starts, on_room(starts, ends, no_fit.along, room)]
        if near:
            fresh.append(crossings((starts, no_fit.along), [self._edges[i] for i in near], box))
        added = np.concatenate(fresh)
        added = added[_in_room(added, self._room_and_touch)]
        if near and len(added):
            added = added[~_inside_any(added, [self._insides[i] for i in near])]
        self._edges.append((starts, no_fit.along))
        self._insides.append(inside)
        self._boxes.append(box)
        self.positions = np.concatenate((positions, np.minimum(np.maximum(added, room[0]), room[1])))


class _Boxes:
    """Upright boxes in the order in which they came, in one array: it is searched for every piece laid."""

    __slots__ = ("_count", "_rows")

    def __init__(self) -> None:
        self._rows: Array = np.empty((4, 16))
        self._count = 0

    def copy(self) -> _Boxes:
        twin = _Boxes()
        twin._rows, twin._count = self._rows.copy(), self._count
        return twin

    def append(self, box: Box) -> None:
        if self._count == self._rows.shape[1]:
            self._rows = np.concatenate((self._rows, np.empty_like(self._rows)), axis=1)
        self._rows[:, self._count] = box
        self._count += 1

    def near(self, box: Box) -> list[int]:
        """Which of them meet a box, in their order."""
        left, low, right, high = self._rows[:, : self._count]
        meets = left <= box[2]
        meets &= right >= box[0]
        meets &= low <= box[3]
        meets &= high >= box[1]
        indices: list[int] = meets.nonzero()[0].tolist()
        return indices


# The inside of a no-fit region where it lies: half planes (normals and reach), or a region and its place.
_Inside = tuple[Array, Array] | tuple[NoFitRegion, Array]


def _moved(no_fit: NoFit, at: Array) -> tuple[Array, Array, _Inside]:
    """The edges' starts and ends, and the inside, of a no-fit region that lies at `at`."""
    if isinstance(no_fit, NoFitRegion):
        return no_fit.starts + at, no_fit.ends + at, (no_fit, at)
    starts = no_fit.ring + at
    reach = no_fit.reach + no_fit.normals[:, 0] * at[0] + no_fit.normals[:, 1] * at[1]
    return starts, np.concatenate((starts[1:], starts[:1])), (no_fit.normals, reach)


def _room(item: OrientedItem, width_mm: float, height_mm: float) -> Array | None:
    """Where the item's origin may be so that its bounds stay inside: rows lower left, upper right."""
    left, low, right, high = item.bounds
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


def _in_room(positions: Array, room: Array) -> Flags:
    inside = positions >= room[0]
    inside &= positions <= room[1]
    both: Flags = inside[:, 0] & inside[:, 1]
    return both


def _inside(positions: Array, inside: _Inside) -> Flags:
    """Which positions lie strictly inside a no-fit region: behind every edge by more than a touch."""
    first, second = inside
    if isinstance(first, NoFitRegion):
        return _in_region(positions, first, second)
    # Written out, not as a matrix product: that one's rounding depends on the machine.
    behind = positions[:, :1] * first[:, 0] + positions[:, 1:] * first[:, 1] - second
    within: Flags = np.maximum.reduce(behind, axis=1, initial=-np.inf) < -TOUCH_MM
    return within


def _in_region(positions: Array, region: NoFitRegion, at: Array) -> Flags:
    within: Flags = shapely.contains_xy(region.core, positions[:, 0] - at[0], positions[:, 1] - at[1])
    return within


def _inside_any(positions: Array, insides: list[_Inside]) -> Flags:
    """Which positions lie strictly inside one of the no-fit regions."""
    half_planes = [(first, second) for first, second in insides if not isinstance(first, NoFitRegion)]
    if half_planes:
        normals = np.concatenate([normals for normals, _ in half_planes])
        reach = np.concatenate([reach for _, reach in half_planes])
        behind = positions[:, :1] * normals[:, 0] + positions[:, 1:] * normals[:, 1] - reach
        starts = list(accumulate((len(reach) for _, reach in half_planes[:-1]), initial=0))
        nearest = np.maximum.reduceat(behind, starts, axis=1)
        inside: Flags = np.minimum.reduce(nearest, axis=1) < -TOUCH_MM
    else:
        inside = np.zeros(len(positions), dtype=np.bool_)
    for first, second in insides:
        if isinstance(first, NoFitRegion):
            inside |= _in_region(positions, first, second)
    return inside
