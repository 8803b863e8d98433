"""The order of the strokes within each piece's drawing: nearest next, all pieces at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cutfiles.toolpath.order.travel import DirectedRun, Ends

_Array = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
_Ints = np.ndarray[tuple[int, ...], np.dtype[np.int64]]


def shortened(pieces: Sequence[Sequence[Ends]]) -> list[list[DirectedRun]]:
    """Return for each piece an order of its strokes with short ways, open ones run from either end.

    Args:
        pieces: of each the strokes' ends, mm. The more pieces at once the better: those with as many
            strokes are ordered together.

    The way within a piece is never longer than in the order given.
    """
    by_count: dict[int, list[int]] = {}
    for index, piece in enumerate(pieces):
        by_count.setdefault(len(piece), []).append(index)
    by_piece = [[DirectedRun(number, backwards=False) for number in range(len(piece))] for piece in pieces]
    for count, indices in by_count.items():
        if count < 2:
            continue
        ends = np.array([pieces[index] for index in indices])
        orders = _best(np.round(ends.reshape(len(indices), count * 2, 2), 5))
        for index, order in zip(indices, orders.tolist(), strict=True):
            by_piece[index] = [DirectedRun(begin >> 1, bool(begin & 1)) for begin in order]
    return by_piece


def _best(ends: _Array) -> _Ints:
    """Of each piece the best order, as the ends at which its strokes begin.

    Args:
        ends: of shape (pieces, 2 · strokes, 2); ends 2·i and 2·i + 1 are those of stroke i.
    """
    pieces, both, _ = ends.shape
    as_given: _Ints = np.tile(np.arange(0, both, 2), (pieces, 1))
    best, least = as_given, _way(ends, as_given)
    # From either end of the first and of the last stroke: which is best depends on the shape.
    for first in (0, 1, both - 2, both - 1):
        order = _nearest_next(ends, first)
        way = _way(ends, order)
        shorter = way < least - 1e-6
        best = np.where(shorter[:, None], order, best)
        least = np.where(shorter, way, least)
    return best


def _nearest_next(ends: _Array, first: int) -> _Ints:
    pieces, both, _ = ends.shape
    every = np.arange(pieces)
    done = np.zeros((pieces, both), dtype=bool)
    order = np.zeros((pieces, both // 2), dtype=np.int64)
    begin = np.full(pieces, first)
    for step in range(both // 2):
        order[:, step] = begin
        done[every, begin] = done[every, begin ^ 1] = True
        apart = np.hypot(*np.moveaxis(ends - ends[every, begin ^ 1][:, None], 2, 0))
        begin = np.argmin(np.where(done, np.inf, np.round(apart, 6)), axis=1)
    return order


def _way(ends: _Array, order: _Ints) -> _Array:
    every = np.arange(len(ends))[:, None]
    gaps = ends[every, order[:, 1:]] - ends[every, order[:, :-1] ^ 1]
    way: _Array = np.hypot(gaps[..., 0], gaps[..., 1]).sum(axis=1)
    return way
