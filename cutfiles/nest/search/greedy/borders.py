"""The borders of no-fit regions where they lie, in one table: which are near, and what is inside.

Every piece laid comes by here for every item that is asked for, so it is written for the few dozen numbers
that there are at a time: what numpy spends on a call counts, not what it spends on a number. One array for
all borders takes fewer calls than an array for each.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.crossings import ROWS, WAY, edges_of
from cutfiles.geometry.outline import Bounds
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.base.placed_item import Flags
from cutfiles.nest.search.nofit.regions import NoFit, NoFitRegion

# Below an edge's own rows: the half plane that it bounds, its outward normal and how far it reaches.
_ALL_ROWS = ROWS + 3
_NORMAL_X, _NORMAL_Y, _REACH = ROWS, ROWS + 1, ROWS + 2
_FEW = 60  # borders: up to here each box by itself takes less time than arrays of them do
_SPARSE = 3  # of borders asked for, among so many times more each is copied by itself


@dataclass(frozen=True, slots=True, eq=False)
class Border:
    """The border of a no-fit region: its edges as columns, bounds, and what is inside if not half planes."""

    columns: Array
    box: Bounds
    core: BaseGeometry | None

    def lying_at(self, x_mm: float, y_mm: float) -> Border:
        """Return it moved; the core stays where it was."""
        columns = self.columns.copy()
        points = columns[:WAY].reshape(WAY // 2, 2, -1)
        points += np.array(((x_mm,), (y_mm,)))
        reach = columns[_REACH]
        reach += columns[_NORMAL_X] * x_mm
        reach += columns[_NORMAL_Y] * y_mm
        left, low, right, high = self.box
        return Border(columns, (left + x_mm, low + y_mm, right + x_mm, high + y_mm), self.core)

    def holds(self, positions: Array, x_mm: float, y_mm: float) -> Flags:
        """Return which positions, rows of x and y, lie strictly inside: by more than a touch.

        Args:
            positions: to be looked at.
            x_mm: where the border was moved to.
            y_mm: likewise.
        """
        if self.core is not None:
            return _in_core(self.core, positions, x_mm, y_mm)
        within: Flags = np.maximum.reduce(_behind(positions, self.columns), axis=1) < -TOUCH_MM
        return within


def border_of(no_fit: NoFit) -> Border:
    """Return the border of a no-fit region that lies at the origin."""
    if isinstance(no_fit, NoFitRegion):
        edges, core = edges_of(no_fit.starts, no_fit.ends), no_fit.core
        # Nothing is inside such half planes.
        normals, reach = np.zeros_like(no_fit.along), np.full(len(no_fit.along), -np.inf)
    else:
        edges, core = edges_of(no_fit.ring, np.roll(no_fit.ring, -1, axis=0)), None
        normals, reach = no_fit.normals, no_fit.reach
    (left, low), (right, high) = edges[:2].min(axis=1).tolist(), edges[:2].max(axis=1).tolist()
    return Border(np.concatenate((edges, normals.T, reach[None])), (left, low, right, high), core)


class Borders:
    """Borders in the order in which they came."""

    __slots__ = ("_box_columns", "_boxes", "_columns", "_cores", "_firsts")

    def __init__(self) -> None:
        """Begin with none."""
        self._boxes: list[Bounds] = []
        self._box_columns: Array = np.empty((4, 16))  # the same
        self._columns: Array = np.empty((_ALL_ROWS, 128))
        self._firsts = [0]  # the column at which each begins, and where the next will
        self._cores: list[tuple[BaseGeometry, float, float] | None] = []

    def copy(self) -> Borders:
        """Return borders that go on from here by themselves."""
        twin = object.__new__(Borders)
        twin._boxes, twin._box_columns = list(self._boxes), self._box_columns.copy()
        twin._columns = self._columns.copy()
        twin._firsts, twin._cores = list(self._firsts), list(self._cores)
        return twin

    def append(self, border: Border, x_mm: float, y_mm: float) -> None:
        """Add a border that was moved there."""
        count, first = len(self._boxes), self._firsts[-1]
        last = first + border.columns.shape[1]
        if count == self._box_columns.shape[1]:
            self._box_columns = np.concatenate((self._box_columns, np.empty_like(self._box_columns)), axis=1)
        while last > self._columns.shape[1]:
            self._columns = np.concatenate((self._columns, np.empty_like(self._columns)), axis=1)
        self._box_columns[:, count] = border.box
        self._boxes.append(border.box)
        self._columns[:, first:last] = border.columns
        self._firsts.append(last)
        self._cores.append(None if border.core is None else (border.core, x_mm, y_mm))

    def near(self, box: Bounds) -> Near | None:
        """Return those whose bounds meet a box, None if there are none."""
        indices = self._meeting(box)
        if not indices:
            return None
        cores = [core for index in indices if (core := self._cores[index]) is not None]
        first, last = indices[0], indices[-1]
        if last - first < _SPARSE * len(indices):
            # Borders in between that don't meet the box are copied too: they exclude nothing there.
            begin = self._firsts[first]
            firsts = [column - begin for column in self._firsts[first : last + 1]]
            return Near(self._columns[:, begin : self._firsts[last + 1]], firsts, cores)
        picked = [np.arange(self._firsts[index], self._firsts[index + 1]) for index in indices]
        firsts = [0]
        for columns in picked[:-1]:
            firsts.append(firsts[-1] + len(columns))
        return Near(self._columns.take(np.concatenate(picked), axis=1), firsts, cores)

    def _meeting(self, box: Bounds) -> list[int]:
        least_x, least_y, most_x, most_y = box
        if len(self._boxes) <= _FEW:
            return [
                index
                for index, (left, low, right, high) in enumerate(self._boxes)
                if left <= most_x and right >= least_x and low <= most_y and high >= least_y
            ]
        lefts, lows, rights, highs = self._box_columns[:, : len(self._boxes)]
        meets = lefts <= most_x
        meets &= rights >= least_x
        meets &= lows <= most_y
        meets &= highs >= least_y
        indices: list[int] = meets.nonzero()[0].tolist()
        return indices


@dataclass(frozen=True, slots=True, eq=False)
class Near:
    """Borders near to a place: their edges as columns, at which of these each begins, and cores."""

    columns: Array
    firsts: list[int]
    cores: list[tuple[BaseGeometry, float, float]]

    def hold(self, positions: Array) -> Flags:
        """Return which positions, rows of x and y, lie strictly inside one of them."""
        nearest = np.maximum.reduceat(_behind(positions, self.columns), self.firsts, axis=1)
        inside: Flags = np.minimum.reduce(nearest, axis=1) < -TOUCH_MM
        for core, x_mm, y_mm in self.cores:
            inside |= _in_core(core, positions, x_mm, y_mm)
        return inside


def _behind(positions: Array, columns: Array) -> Array:
    """How far positions lie before the lines of edges, outwards; a row for each position."""
    # Written out, not as a matrix product: that one's rounding depends on the machine.
    behind: Array = positions[0, :, None] * columns[_NORMAL_X]
    behind += positions[1, :, None] * columns[_NORMAL_Y]
    behind -= columns[_REACH]
    return behind


def _in_core(core: BaseGeometry, positions: Array, x_mm: float, y_mm: float) -> Flags:
    within: Flags = shapely.contains_xy(core, positions[0] - x_mm, positions[1] - y_mm)
    return within
