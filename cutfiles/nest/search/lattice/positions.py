"""The positions of items on a lattice: few and known beforehand, and so is which two clash.

Whether pieces at two positions are too near depends only on how many repeats they lie apart: each pair of
items has one table of that, made from their exact no-fit region.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.oriented_item import Array, OrientedItem
from cutfiles.nest.base.placed_item import Flags, PlacedItem, Rings
from cutfiles.nest.cutting_rules.repeat import Lattice
from cutfiles.nest.search.nofit.regions import NoFit, NoFitRegion, no_fit_between, no_fit_region

Indices = np.ndarray[Any, np.dtype[np.intp]]


@dataclass(frozen=True, slots=True, eq=False)
class Clash:
    """How many repeats (across, along) item B lies from item A where the two are too near.

    `hits` has shape (along, across) and is true where they are; its first cell stands for `least`.
    """

    least: tuple[int, int]
    hits: Flags


class Clashes:
    """The tables of pairs of items, made when first asked for."""

    def __init__(self, *, gap_mm: float) -> None:
        self.gap_mm = gap_mm
        self._known: dict[tuple[OrientedItem, OrientedItem, float, float], Clash] = {}
        self._around: dict[tuple[Rings, OrientedItem], NoFitRegion] = {}

    def between(self, fixed: OrientedItem, orbiting: OrientedItem, lattice: Lattice) -> Clash:
        """Return where `orbiting` clashes with `fixed`; with the two exchanged it is the same, negated."""
        steps = lattice.width_mm, lattice.length_mm
        if (fixed, orbiting, *steps) not in self._known:
            clash = _clash(no_fit_between(fixed, orbiting, gap_mm=self.gap_mm), *steps)
            self._known[(fixed, orbiting, *steps)] = clash
            self._known.setdefault((orbiting, fixed, *steps), _from_the_other(clash))
        return self._known[(fixed, orbiting, *steps)]

    def around(self, obstacles: Rings, item: OrientedItem) -> NoFitRegion:
        """Return where an item's origin must not be, so that it enters no obstacle; it may touch one."""
        key = (obstacles, item)
        if key not in self._around:
            self._around[key] = no_fit_region([np.array(ring) for ring in obstacles], item.parts, gap_mm=0.0)
        return self._around[key]


def _clash(no_fit: NoFit, width_mm: float, length_mm: float) -> Clash:
    border = no_fit.starts if isinstance(no_fit, NoFitRegion) else no_fit.ring
    (left, low), (right, high) = border.min(axis=0), border.max(axis=0)
    across = np.arange(math.floor(left / width_mm), math.ceil(right / width_mm) + 1)
    along = np.arange(math.floor(low / length_mm), math.ceil(high / length_mm) + 1)
    x, y = (grid.ravel() for grid in np.meshgrid(across * width_mm, along * length_mm))
    hits = _inside(no_fit, x, y).reshape(len(along), len(across))
    return Clash((int(across[0]), int(along[0])), hits)


def _inside(no_fit: NoFit, x: Array, y: Array) -> Flags:
    """Which points lie inside a no-fit region by more than a touch."""
    if isinstance(no_fit, NoFitRegion):
        inside: Flags = shapely.contains_xy(no_fit.core, x, y)
        return inside
    # Written out, not as a matrix product: that one's rounding depends on the machine.
    behind = x[:, None] * no_fit.normals[:, 0] + y[:, None] * no_fit.normals[:, 1] - no_fit.reach
    within: Flags = behind.max(axis=1) < -TOUCH_MM
    return within


def _from_the_other(clash: Clash) -> Clash:
    along, across = clash.hits.shape
    least = (-(clash.least[0] + across - 1), -(clash.least[1] + along - 1))
    return Clash(least, clash.hits[::-1, ::-1])


@dataclass(frozen=True, slots=True, eq=False)
class PositionGrid:
    """An item's positions in a room: how many across and along, the first, which are free of obstacles."""

    item: OrientedItem
    x_mm: float  # of the first position, from the room's lower left corner
    y_mm: float
    first: tuple[int, int]  # its number on the lattice, across and along
    free: Flags  # shape (along, across)

    def xy(self, lattice: Lattice) -> Array:
        """Return the places of all positions, row by row, shape (n, 2)."""
        along, across = self.free.shape
        x = self.x_mm + np.arange(across) * lattice.width_mm
        y = self.y_mm + np.arange(along) * lattice.length_mm
        return np.stack([grid.ravel() for grid in np.meshgrid(x, y)], axis=1)


def position_grid(
    item: OrientedItem, container: Container, lattice: Lattice, clashes: Clashes
) -> PositionGrid | None:
    """Return where an item's origin may lie so that its bounds stay in the room; None if nowhere."""
    left, low, right, high = item.bounds
    width, height = container.room
    margin = container.margin_mm
    columns = _between(lattice.x_mm - margin, lattice.width_mm, -left, width - right)
    rows = _between(lattice.y_mm - margin, lattice.length_mm, -low, height - high)
    if columns is None or rows is None:
        return None
    (i, across), (j, along) = columns, rows
    x = lattice.x_mm - margin + i * lattice.width_mm
    y = lattice.y_mm - margin + j * lattice.length_mm
    grid = PositionGrid(item, x, y, (i, j), np.ones((along, across), dtype=np.bool_))
    if container.obstacles:
        positions = grid.xy(lattice)
        blocked = _inside(clashes.around(container.obstacles, item), positions[:, 0], positions[:, 1])
        grid.free[:] = ~blocked.reshape(along, across)
    return grid


def _between(start: float, step: float, least: float, most: float) -> tuple[int, int] | None:
    """The first whole number i with start + i·step in the span, and how many there are; None for none."""
    first = math.ceil((least - start - TOUCH_MM) / step)
    count = math.floor((most - start + TOUCH_MM) / step) - first + 1
    return None if count < 1 else (first, count)


class LatticePositions:
    """All positions of some items in a room, numbered item by item and row by row."""

    def __init__(
        self, container: Container, lattice: Lattice, items: Sequence[OrientedItem], clashes: Clashes
    ) -> None:
        grids = (position_grid(item, container, lattice, clashes) for item in items)
        self.grids = [grid for grid in grids if grid is not None]
        sizes = [grid.free.size for grid in self.grids]
        self._starts = [int(start) for start in np.cumsum([0, *sizes])]
        self._clashes, self._lattice, self._margin_mm = clashes, lattice, container.margin_mm
        self.gap_mm = clashes.gap_mm
        self._near: dict[int, Indices] = {}
        free = (grid.free.ravel() for grid in self.grids)
        self.free: Flags = np.concatenate([np.empty(0, np.bool_), *free])
        self.xy: Array = np.concatenate([np.empty((0, 2)), *(grid.xy(lattice) for grid in self.grids)])
        self.grid_of: Indices = np.repeat(np.arange(len(sizes)), sizes)  # which grid a position is of

    def near(self, position: int) -> Indices:
        """Return the same as `taken_by`, and remember it: rules come back to a few positions."""
        if position not in self._near:
            self._near[position] = self.taken_by(position)
        return self._near[position]

    def taken_by(self, position: int) -> Indices:
        """Return the positions that a piece at one position takes from others; that one is among them."""
        grid_index = int(self.grid_of[position])
        mine = self.grids[grid_index]
        row, column = divmod(position - self._starts[grid_index], mine.free.shape[1])
        taken = []
        for other, start in zip(self.grids, self._starts, strict=False):
            clash = self._clashes.between(mine.item, other.item, self._lattice)
            # Where the table's first cell lies in the other's columns and rows.
            left = mine.first[0] + column + clash.least[0] - other.first[0]
            low = mine.first[1] + row + clash.least[1] - other.first[1]
            along, across = other.free.shape
            from_row, from_column = max(0, -low), max(0, -left)
            part = clash.hits[from_row : max(0, along - low), from_column : max(0, across - left)]
            rows, columns = np.nonzero(part)
            taken.append(start + (rows + from_row + low) * across + columns + from_column + left)
        return np.concatenate(taken)

    def shape(self, position: int) -> str:
        """Return the name of the shape that a position is for."""
        return self.grids[int(self.grid_of[position])].item.shape

    def of_shape(self, shape: str) -> Flags:
        """Return which positions are for a shape."""
        flags = np.array([grid.item.shape == shape for grid in self.grids], dtype=np.bool_)
        of_shape: Flags = flags[self.grid_of]
        return of_shape

    def position_of(self, placed: PlacedItem) -> int:
        """Return the position of a piece of one of the items, or of one that occupies the same."""
        for grid, start in zip(self.grids, self._starts, strict=False):
            if grid.item is placed.item or grid.item.alike(placed.item):
                column = round((placed.x_mm - self._margin_mm - grid.x_mm) / self._lattice.width_mm)
                row = round((placed.y_mm - self._margin_mm - grid.y_mm) / self._lattice.length_mm)
                return int(start + row * grid.free.shape[1] + column)
        raise ValueError(f"{placed.item.shape} at {placed.item.turn_deg} degrees has no positions here")

    def placed(self, position: int) -> PlacedItem:
        """Return the piece at a position, counted from the container's lower left corner."""
        x, y = self.xy[position]
        margin = self._margin_mm
        return PlacedItem(self.grids[int(self.grid_of[position])].item, float(x) + margin, float(y) + margin)
