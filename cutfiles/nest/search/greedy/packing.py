"""Pieces in one rectangle, laid one at a time on positions where they touch what lies there already.

A position is a place of an item's origin: a corner of the room its bounds leave in the rectangle, or a point
where the edges of that room and of no-fit polygons meet. Some best layout uses only such positions, as every
piece can be pushed until it touches something in two directions.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.crossings import crossings, edges_in, on_room
from cutfiles.geometry.outline import Bounds
from cutfiles.nest.base.clock import ShouldStop
from cutfiles.nest.base.oriented_item import Array, OrientedItem
from cutfiles.nest.base.placed_item import Flags, PlacedItem, Rings
from cutfiles.nest.search.greedy.borders import Border, Borders, border_of
from cutfiles.nest.search.greedy.shelves import Free, on_shelves
from cutfiles.nest.search.nofit.regions import no_fit_between, no_fit_region

# Scores positions, shape (m, 2), of an item; the least is taken.
PositionRule = Callable[[OrientedItem, Array], Array]
_TOUCH = np.array((-TOUCH_MM, TOUCH_MM))


def never() -> bool:
    """Never break off."""
    return False


class NoFits:
    """Where items keep out of each other and of obstacles, made when first asked for."""

    def __init__(self, items: Sequence[OrientedItem], *, gap_mm: float) -> None:
        self.items = tuple(items)
        self.gap_mm = gap_mm
        self._known: dict[tuple[int, int], Border] = {}
        self._around: dict[tuple[Rings, int], Border] = {}

    def between(self, fixed: int, orbiting: int) -> Border:
        """Return where item `orbiting` must not be when item `fixed` lies at the origin."""
        key = (fixed, orbiting)
        if key not in self._known:
            no_fit = no_fit_between(self.items[fixed], self.items[orbiting], gap_mm=self.gap_mm)
            self._known[key] = border_of(no_fit)
        return self._known[key]

    def around(self, obstacles: Rings, orbiting: int) -> Border:
        """Return where item `orbiting` must not be, so that it enters no obstacle; it may touch one."""
        key = (obstacles, orbiting)
        if key not in self._around:
            fixed = [np.array(ring) for ring in obstacles]
            self._around[key] = border_of(no_fit_region(fixed, self.items[orbiting].parts, gap_mm=0.0))
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
        stop: ShouldStop = never,
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

    def best(self, indices: Sequence[int], rule: PositionRule) -> tuple[int, float, float] | None:
        """Return the item among `indices` and the position with the least score, or None if none fits."""
        best: tuple[float, float, float, int] | None = None
        for index in indices:
            positions = self._positions(index)
            if not positions.shape[1]:
                continue
            # Rounded, so that the last bit never decides: the same layout on every machine.
            scores = rule(self._no_fits.items[index], positions.T).round(6)
            first = np.lexsort((positions[0], positions[1], scores))[0]
            candidate = (float(scores[first]), float(positions[1, first]), float(positions[0, first]), index)
            if best is None or candidate[0] < best[0]:
                best = candidate
        return None if best is None else (best[3], best[2], best[1])

    def fill(self, indices: Sequence[int], rule: PositionRule, *, most: float = math.inf) -> int:
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
        if self._obstacles and not track.knows_obstacles and track.positions.shape[1]:
            track.knows_obstacles = True
            track.add(self._no_fits.around(self._obstacles, item), 0.0, 0.0)
        # An item without a position has no room at all, and laying more gives it none.
        while track.seen < len(self.placed) and track.positions.shape[1] and not self._stop():
            placed_item = self.placed[track.seen]
            no_fit = self._no_fits.between(self._indices[track.seen], item)
            track.add(no_fit, placed_item.x_mm, placed_item.y_mm)
            track.seen += 1
        return track.positions


class _Track:
    """Where one item may still be laid, after the first `seen` pieces; whether it `knows_obstacles`.

    Positions, and corners of the room, are columns: rows are x and y.
    """

    __slots__ = ("_borders", "_room", "_touch", "_within", "knows_obstacles", "positions", "seen")

    def __init__(self, room: Array | None) -> None:
        self._room = room
        self._touch = touch = None if room is None else room + _TOUCH
        self._within: Bounds = (0.0, 0.0, 0.0, 0.0) if touch is None else tuple(touch.T.ravel().tolist())
        self.positions = _corners(room)
        self.seen = 0
        self.knows_obstacles = False
        self._borders = Borders()

    def copy(self) -> _Track:
        twin = _Track(self._room)
        # Arrays are replaced, never written into.
        twin.positions, twin.seen, twin.knows_obstacles = self.positions, self.seen, self.knows_obstacles
        twin._borders = self._borders.copy()
        return twin

    def add(self, no_fit: Border, x_mm: float, y_mm: float) -> None:
        """Take one more piece into account: the border of its no-fit region for this item, where it lies."""
        room, touch = self._room, self._touch
        if room is None or touch is None:
            return
        border = no_fit.lying_at(x_mm, y_mm)
        positions = self.positions
        positions = positions.compress(~border.holds(positions, x_mm, y_mm), axis=1)
        # Rooms are often low, as those of rows are: most edges never come into them.
        box = _common(border.box, self._within)
        edges = edges_in(border.columns, box)
        near = self._borders.near(box)
        self._borders.append(border, x_mm, y_mm)
        fresh = [edges[:2], on_room(edges, room.reshape(4, 1))]
        if near is not None:
            fresh.append(crossings(edges, near.columns, box))
        added = np.concatenate(fresh, axis=1)
        added = added.compress(_in_room(added, touch), axis=1)
        if added.shape[1]:
            if near is not None:
                added = added.compress(~near.hold(added), axis=1)
            added = np.minimum(np.maximum(added, room[:, :1]), room[:, 1:])
            positions = np.concatenate((positions, added), axis=1)
        self.positions = positions


def _common(box: Bounds, other: Bounds) -> Bounds:
    """What two boxes have in common; where that is nothing, its low sides lie above its high ones."""
    return max(box[0], other[0]), max(box[1], other[1]), min(box[2], other[2]), min(box[3], other[3])


def _room(item: OrientedItem, width_mm: float, height_mm: float) -> Array | None:
    """Where the item's origin may be so that its bounds stay inside: columns lower left, upper right."""
    left, low, right, high = item.bounds
    least = np.array((-left, -low))
    most = np.array((width_mm - right, height_mm - high))
    if (most < least - TOUCH_MM).any():
        return None
    return np.stack((least, np.maximum(least, most)), axis=1)


def _corners(room: Array | None) -> Array:
    if room is None:
        return np.empty((2, 0))
    (left, right), (low, high) = room
    return np.array(((left, right, right, left), (low, low, high, high)))


def _in_room(positions: Array, room: Array) -> Flags:
    inside = positions >= room[:, :1]
    inside &= positions <= room[:, 1:]
    both: Flags = inside[0] & inside[1]
    return both
