"""Which ends of runs lie near each other, found on a grid."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from cutfiles.geometry.outline import Point

_MOST = 10  # neighbours an end
_A_CELL = 2.0  # ends, on average
_FEW = 60


def neighbours_of(ends: Sequence[Point]) -> list[list[int]]:
    """Return for each end those of other runs that lie nearest, the nearest first.

    Args:
        ends: of run i the ends 2·i and 2·i + 1, mm.

    Only the cell of the end and those around it are searched, so an end far from all others has none; where
    there are few, all are.
    """
    if len(ends) <= _FEW:
        return _of_few(ends)
    left, low = min(x for x, _ in ends), min(y for _, y in ends)
    wide, high = max(x for x, _ in ends) - left, max(y for _, y in ends) - low
    # At least so wide that a row of ends, which fills no area, doesn't make cells of no size.
    cell = max(math.sqrt(wide * high * _A_CELL / len(ends)), max(wide, high) * _A_CELL / len(ends), 1.0)
    cells: dict[tuple[int, int], list[int]] = {}
    places = [(int((x - left) / cell), int((y - low) / cell)) for x, y in ends]
    for end, place in enumerate(places):
        cells.setdefault(place, []).append(end)
    neighbours = []
    for end, (column, row) in enumerate(places):
        around = (
            other
            for x in (column - 1, column, column + 1)
            for y in (row - 1, row, row + 1)
            for other in cells.get((x, y), ())
        )
        neighbours.append(_nearest(ends, end, around))
    return neighbours


def _of_few(ends: Sequence[Point]) -> list[list[int]]:
    places = np.array(ends, dtype=np.float64).reshape(-1, 2)
    away = places[:, None] - places[None]
    apart: np.ndarray[tuple[int, ...], np.dtype[np.float64]] = np.hypot(away[..., 0], away[..., 1]).round(6)
    runs = np.arange(len(places)) >> 1
    apart[runs[:, None] == runs[None]] = np.inf
    nearest = np.argsort(apart, axis=1, kind="stable")[:, : min(_MOST, max(0, len(places) - 2))]
    neighbours: list[list[int]] = nearest.tolist()
    return neighbours


def _nearest(ends: Sequence[Point], end: int, others: Iterable[int]) -> list[int]:
    away = sorted(
        (round(math.dist(ends[end], ends[other]), 6), other) for other in others if other >> 1 != end >> 1
    )
    return [other for _, other in away[:_MOST]]
