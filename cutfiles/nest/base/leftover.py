"""What is left of a piece of fabric in one piece: the largest upright rectangle that no cut piece enters.

The fabric is divided by lines: where pieces begin and end, and evenly between. Cells that a piece enters are
taken; of the others the largest rectangle is found by a stack, row by row (largest rectangle under a
histogram; known since the 1980s, the notation here is from memory). Then its sides are pushed out until
they touch a piece. Rectangles are exact so; beside slanted edges a somewhat larger one may exist.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.reach import Rect

_LINES = 96  # across and up, even ones and those of pieces each: finer finds hardly more
_WHOLE_MM2 = 3  # decimals to which areas are compared, so that the last bit decides nothing
_Sides = tuple[float, float, float, float]  # least x, least y, greatest x, greatest y


def largest_left(container: Container, placed: Sequence[PlacedItem]) -> Rect | None:
    """Return the largest upright rectangle of a container that is left when pieces are cut from it, or None.

    Of layouts of equal count the one that leaves the largest (`area_mm2`) is the best: a search may choose
    by that. It takes a hundredth of a second, a quarter of one for thousands of pieces.

    Args:
        container: its obstacles count as taken, its margin as cloth.
        laid: pieces on it, counted from its lower left corner, margin included.
    """
    margin = container.margin_mm
    flaws = [np.add(ring, (margin, margin)) for ring in container.obstacles]
    return largest_beside(container.width_mm, container.length_mm, rings_of(placed) + flaws)


def area_mm2(left: Rect | None) -> float:
    """Return the area of what is left, rounded, so that equals are equal; 0 for nothing."""
    return 0.0 if left is None else round(left.width_mm * left.height_mm, _WHOLE_MM2)


def rings_of(placed: Sequence[PlacedItem]) -> list[Array]:
    """Return convex rings that hold all pieces laid: outlines at whose arcs they stray out slightly."""
    return [
        np.add(part, (placed_item.x_mm, placed_item.y_mm))
        for placed_item in placed
        for part in placed_item.item.parts
    ]


def largest_beside(width_mm: float, length_mm: float, taken: Sequence[Array]) -> Rect | None:
    """Return the largest upright rectangle in (0, 0) to (width, length) that enters no convex ring, or None.

    Args:
        width_mm: above 0.
        length_mm: above 0.
        taken: convex rings of shape (n, 2), in any direction; they may overlap and lie partly outside.
    """
    sides = [(*ring.min(axis=0).tolist(), *ring.max(axis=0).tolist()) for ring in taken]
    columns = _lines(width_mm, [side[axis] for side in sides for axis in (0, 2)])
    rows = _lines(length_mm, [side[axis] for side in sides for axis in (1, 3)])
    largest = _largest(_free(columns, rows, taken), columns, rows)
    if largest is None:
        return None
    whole = (0.0, 0.0, width_mm, length_mm)
    grown = [_grown(largest, whole, taken, order) for order in ((0, 2, 1, 3), (1, 3, 0, 2))]
    left, low, right, top = max(grown, key=_area)
    return Rect(left, low, right - left, top - low)


def _lines(size_mm: float, wanted: Iterable[float]) -> Array:
    """Where the fabric is divided: even lines, and of those wanted as many as that again."""
    step = size_mm / _LINES
    # Not rounded: a line slightly short of a piece's side would enter the piece.
    inside = sorted({line for line in wanted if TOUCH_MM < line < size_mm - TOUCH_MM})
    if len(inside) > _LINES:
        # Where there are hundreds, a step's first stands for those near it.
        inside = list({int(line / step): line for line in reversed(inside)}.values())
    lines = np.unique(np.concatenate((np.linspace(0.0, size_mm, _LINES + 1), inside)))
    kept: Array = lines[np.concatenate(([True], np.diff(lines) > TOUCH_MM))]
    return kept


def _free(
    columns: Array, rows: Array, taken: Sequence[Array]
) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Which cells no ring enters, row by row from the lowest."""
    changes = np.zeros((len(rows) - 1, len(columns)), dtype=np.int32)
    for ring in taken:
        low, high = ring[:, 1].min(), ring[:, 1].max()
        first = max(0, int(np.searchsorted(rows, low + TOUCH_MM, side="right")) - 1)
        last = min(len(rows) - 1, int(np.searchsorted(rows, high - TOUCH_MM, side="left")))
        if last <= first:
            continue
        left, right = _reach(ring, rows[first:last], rows[first + 1 : last + 1])
        begin = np.clip(np.searchsorted(columns, left + TOUCH_MM, side="right") - 1, 0, len(columns) - 1)
        end = np.clip(np.searchsorted(columns, right - TOUCH_MM, side="left"), 0, len(columns) - 1)
        enters = np.flatnonzero(end > begin)
        changes[first + enters, begin[enters]] += 1
        changes[first + enters, end[enters]] -= 1
    return np.asarray(np.cumsum(changes, axis=1)[:, :-1] == 0)


def _reach(ring: Array, low: Array, high: Array) -> tuple[Array, Array]:
    """From where to where a convex ring reaches along x between each low and high, which it meets."""
    start, end = ring, np.roll(ring, -1, axis=0)
    upward = (start[:, 1] <= end[:, 1])[:, None]
    (ax, ay), (bx, by) = (
        np.where(upward, start, end).T[:, :, None],
        np.where(upward, end, start).T[:, :, None],
    )
    from_y, to_y = np.maximum(ay, low), np.minimum(by, high)
    rise = by - ay
    slope = (bx - ax) / np.where(rise > 0, rise, 1.0)
    at_low = np.where(rise > 0, ax + slope * (from_y - ay), ax)
    at_high = np.where(rise > 0, ax + slope * (to_y - ay), bx)
    meets = from_y <= to_y
    left: Array = np.where(meets, np.minimum(at_low, at_high), np.inf).min(axis=0)
    right: Array = np.where(meets, np.maximum(at_low, at_high), -np.inf).max(axis=0)
    return left, right


def _largest(
    free: np.ndarray[tuple[int, int], np.dtype[np.bool_]], columns: Array, rows: Array
) -> _Sides | None:
    """The largest rectangle of free cells; the lowest, then leftmost of equals."""
    best: tuple[float, _Sides] | None = None
    floor = np.zeros(len(columns) - 1)  # up from which height each column is free
    xs = columns.tolist()
    for row, (low, top) in enumerate(pairwise(rows.tolist())):
        floor = np.where(free[row], floor, top)
        # A rectangle whose cells are free in the next row as well is larger there.
        if row + 1 < len(free) and not (free[row] & ~free[row + 1]).any():
            continue
        if low == top:
            continue
        open_: list[tuple[float, float]] = []  # left edge and floor, floors falling
        for index, level in enumerate([*floor.tolist(), float("inf")]):
            left = xs[index]
            while open_ and open_[-1][1] < level:
                left, lowest = open_.pop()
                sides = (left, lowest, xs[index], top)
                size = _area(sides)
                if size > 0 and (best is None or size > best[0]):
                    best = (size, sides)
            if not open_ or open_[-1][1] > level:
                open_.append((left, level))
    return None if best is None else best[1]


def _area(sides: _Sides) -> float:
    left, low, right, top = sides
    return round((right - left) * (top - low), _WHOLE_MM2)


def _grown(sides: _Sides, whole: _Sides, taken: Sequence[Array], order: Sequence[int]) -> _Sides:
    """A free rectangle with its sides pushed out, one after the other, until they touch something."""
    grown = list(sides)
    bounds = np.array([(*ring.min(axis=0), *ring.max(axis=0)) for ring in taken]).reshape(-1, 4)
    for side in order:
        axis, cross_axis = side % 2, 1 - side % 2
        low, high = grown[cross_axis] + TOUCH_MM, grown[cross_axis + 2] - TOUCH_MM
        across = (bounds[:, cross_axis] < high) & (bounds[:, cross_axis + 2] > low)
        outward = -1.0 if side < 2 else 1.0
        limit = outward * whole[side]  # from here on coordinates grow outwards on every side
        facing = bounds[:, axis + 2] * -1.0 if side < 2 else bounds[:, axis]
        for index in np.argsort(facing, kind="stable").tolist():
            if facing[index] >= limit:
                break  # those that begin further out can't stop it sooner
            if not across[index]:
                continue
            ring = taken[index][:, ::-1] if axis else taken[index]
            begin, end = (float(reach[0]) for reach in _reach(ring, np.array([low]), np.array([high])))
            nearest = -end if side < 2 else begin
            if nearest >= outward * grown[side] - TOUCH_MM:
                limit = min(limit, nearest)
        grown[side] = outward * max(outward * grown[side], limit)
    return (grown[0], grown[1], grown[2], grown[3])
