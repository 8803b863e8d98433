"""Straight strokes by the hundred thousand, packed into arrays: lettering, mostly. Lengths in mm, y up.

Objects of their own would take a kilobyte and ten microseconds each; a load of labelled pieces holds
hundreds of thousands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from cutfiles.core.tolerance import MOST_MM, SAME_POINT_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.geometry.outline import Bounds, Path, line

Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
Ints = np.ndarray[tuple[int, ...], np.dtype[np.int64]]
Flags = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Open chains of straight edges.

    Args:
        points: x and y of all corners, one row each.
        starts: where each stroke begins among them, and at last how many there are.
        order: the place of each among all lines of the file.
        name: tells a person where the stroke with that order is.
    """

    points: Floats
    starts: Ints
    order: Ints
    name: Callable[[int], str]

    def __len__(self) -> int:
        return len(self.order)

    def place(self, index: int) -> str:
        """Return where a stroke is, for a person."""
        return self.name(int(self.order[index]))

    def path(self, index: int) -> Path:
        """Return one stroke as a path."""
        rows = self.points[self.starts[index] : self.starts[index + 1]].tolist()
        return line(*((x, y) for x, y in rows))

    def lines(self, first: int, last: int) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
        """Return some of the strokes for the geometry library."""
        begin, end = int(self.starts[first]), int(self.starts[last])
        of = np.repeat(np.arange(last - first), np.diff(self.starts[first : last + 1]))
        return np.asarray(shapely.linestrings(self.points[begin:end], indices=of), dtype=object)

    def edges(self) -> tuple[Floats, Floats]:
        """Return the first and the last point of every edge."""
        inner = np.ones(len(self.points), dtype=bool)
        inner[self.starts[1:] - 1] = False
        first = np.flatnonzero(inner)
        return self.points[first], self.points[first + 1]

    def about(self, box: Bounds) -> Strokes:
        """Return those whose upright rectangle meets another: all that may have to do with it."""
        if not len(self):
            return self
        left, low, right, high = box
        begin = self.starts[:-1]
        x, y = self.points.T
        across = (np.minimum.reduceat(x, begin) <= right) & (np.maximum.reduceat(x, begin) >= left)
        return self.kept(
            across & (np.minimum.reduceat(y, begin) <= high) & (np.maximum.reduceat(y, begin) >= low)
        )

    def kept(self, keep: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Strokes:
        """Return only some of the strokes."""
        if keep.all():
            return self
        counts = np.diff(self.starts)
        starts = np.concatenate([[0], np.cumsum(counts[keep])])
        return Strokes(self.points[np.repeat(keep, counts)], starts, self.order[keep], self.name)


def no_strokes() -> Strokes:
    """Return none."""
    return Strokes(np.empty((0, 2)), np.zeros(1, dtype=np.int64), np.empty(0, dtype=np.int64), str)


@dataclass(slots=True)
class StrokeCollector:
    """Collects strokes while a file is read."""

    corners: int = 0
    _points: list[Floats] = field(default_factory=list)
    _counts: list[Ints] = field(default_factory=list)
    _order: list[Ints] = field(default_factory=list)
    _flat: list[float] = field(default_factory=list)  # x, y, x, y … of strokes that came one by one
    _flat_counts: list[int] = field(default_factory=list)
    _flat_order: list[int] = field(default_factory=list)

    def add(self, flat: Sequence[float], order: int) -> None:
        """Take one stroke, its corners one after the other."""
        count = len(flat) // 2
        self._flat += flat
        self._flat_counts.append(count)
        self._flat_order.append(order)
        self.corners += count
        if len(self._flat) > 1_000_000:
            self._settle()

    def add_all(self, points: Floats, counts: Ints, order: Ints) -> None:
        """Take strokes that follow each other in the file: all their corners, and how many each has."""
        self._settle()
        self._points.append(points)
        self._counts.append(counts)
        self._order.append(order)
        self.corners += len(points)

    def add_lines(self, ends: Floats, order: Ints) -> None:
        """Take edges that follow each other in the file: rows of x, y, x, y, each with its order.

        Where one begins at the end of the one before it goes on its stroke.
        """
        self._settle()
        if not len(ends):
            return
        long = np.abs(ends[:, 2:] - ends[:, :2]).max(axis=1) > SAME_POINT_MM
        on = np.all(ends[1:, :2] == ends[:-1, 2:], axis=1) & long[1:] & long[:-1]
        first = np.concatenate([[True], ~on])
        begin = np.flatnonzero(first)
        edges = np.diff(np.concatenate([begin, [len(ends)]]))
        # A stroke is its first point and then the end of each of its edges.
        end_rows = np.arange(len(ends)) + np.cumsum(first)
        points = np.empty((len(ends) + len(begin), 2))
        points[end_rows] = ends[:, 2:]
        points[end_rows[begin] - 1] = ends[begin, :2]
        self._points.append(points)
        self._counts.append(edges + 1)
        self._order.append(order[begin])
        self.corners += len(points)

    def _settle(self) -> None:
        if self._flat_order:
            self._points.append(np.array(self._flat).reshape(-1, 2))
            self._counts.append(np.array(self._flat_counts, dtype=np.int64))
            self._order.append(np.array(self._flat_order, dtype=np.int64))
            self._flat, self._flat_counts, self._flat_order = [], [], []

    def strokes(
        self,
        name: Callable[[int], str],
        *,
        left: float = 0.0,
        floor: float | None = None,
        scale: float = 1.0,
    ) -> Strokes:
        """Return what was collected.

        Args:
            name: see `Strokes`.
            left: the x that becomes 0.
            floor: the y that becomes 0, where y ran down in the file.
            scale: mm to a unit of the file.
        """
        self._settle()
        if not self._order:
            return no_strokes()
        points = np.concatenate(self._points)
        if floor is not None:
            points = np.column_stack([points[:, 0] - left, floor - points[:, 1]])
        points = points * scale
        starts = np.concatenate([[0], np.cumsum(np.concatenate(self._counts))])
        return Strokes(points, starts, np.concatenate(self._order), name)


def measurable(strokes: Strokes) -> tuple[Strokes, list[Fault]]:
    """Return the strokes that can be measured, and a fault for each other one."""
    if not len(strokes):
        return strokes, []
    begin = strokes.starts[:-1]
    with np.errstate(invalid="ignore"):
        finite = near = long = np.ones(len(strokes), dtype=bool)
        if not np.isfinite(strokes.points).all():
            finite = np.logical_and.reduceat(np.isfinite(strokes.points).all(axis=1), begin)
        if not np.abs(strokes.points).max() <= MOST_MM:
            near = np.logical_and.reduceat((np.abs(strokes.points) <= MOST_MM).all(axis=1), begin)
        x, y = strokes.points.T
        long = (np.maximum.reduceat(x, begin) - np.minimum.reduceat(x, begin) > SAME_POINT_MM) | (
            np.maximum.reduceat(y, begin) - np.minimum.reduceat(y, begin) > SAME_POINT_MM
        )
    faults = [
        *_each(strokes, ~finite, Code.NOT_A_NUMBER, "a coordinate is not a finite number"),
        *_each(strokes, finite & ~near, Code.HUGE_NUMBER, f"a coordinate is beyond {MOST_MM:g} mm"),
        *_each(strokes, finite & near & ~long, Code.ZERO_LENGTH, "has no length"),
    ]
    return strokes.kept(finite & near & long), faults


def _each(
    strokes: Strokes, bad: np.ndarray[tuple[int], np.dtype[np.bool_]], code: Code, words: str
) -> Iterator[Fault]:
    for index in np.flatnonzero(bad).tolist():
        yield Fault(code, strokes.place(index), words)
