"""Where edges of no-fit polygons meet, in a window: the spots at which a piece may lie least deep.

How deep a piece lies in another falls off in flat slopes inside a no-fit polygon; a sum of such depths,
whatever their weights, is least at a corner of the arrangement of all edges.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

import numpy as np

from cutfiles.core.outline import Bounds, Point
from cutfiles.nest.form import Array
from cutfiles.nest.planes import Indices, Planes

MOST_SPOTS = 100  # of a window; more are thinned out evenly
MOST_PAIRS = 30  # of polygons whose edges may cross; likewise


@dataclass(frozen=True, slots=True)
class Window:
    """A part of the room that a piece's origin may lie in."""

    low: Point
    high: Point
    room: Bounds

    def within(self) -> Window:
        """Return the window moved into the room's bounds where it lies beyond them."""
        low_x, low_y, high_x, high_y = self.room
        low = (min(self.low[0], high_x), min(self.low[1], high_y))
        high = (max(self.high[0], low_x), max(self.high[1], low_y))
        return replace(self, low=low, high=high)


def meeting_spots(
    planes: Planes,
    kind: int,
    others: tuple[Indices, Array, Array],
    window: Window,
    dice: random.Random,
) -> tuple[Array, Array]:
    """Return x and y of spots in the window: corners, its own corners, and where edges cross."""
    kinds, x, y = others
    low, high, room = window.low, window.high, window.room
    boxes = planes.boxes[kinds, kind] + np.stack((x, y, x, y), axis=1)[:, None]
    seen = planes.there[kinds, kind]
    seen = seen & (boxes[..., 2] > low[0]) & (boxes[..., 0] < high[0])
    seen &= (boxes[..., 3] > low[1]) & (boxes[..., 1] < high[1])
    piece, polygon = np.nonzero(seen)
    boxes = boxes[piece, polygon]
    of = kinds[piece]
    corner_x = planes.corner_x[of, kind, polygon] + x[piece, None]
    corner_y = planes.corner_y[of, kind, polygon] + y[piece, None]
    along_x, along_y = _along(corner_x), _along(corner_y)
    found_x = [corner_x.ravel(), np.array((low[0], high[0], low[0], high[0]))]
    found_y = [corner_y.ravel(), np.array((low[1], low[1], high[1], high[1]))]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for level in sorted({low[0], high[0]} & {room[0], room[2]}):
            share = (level - corner_x) / along_x
            on = (share >= 0) & (share <= 1)
            found_y.append(corner_y[on] + share[on] * along_y[on])
            found_x.append(np.full(len(found_y[-1]), level))
        for level in sorted({low[1], high[1]} & {room[1], room[3]}):
            share = (level - corner_y) / along_y
            on = (share >= 0) & (share <= 1)
            found_x.append(corner_x[on] + share[on] * along_x[on])
            found_y.append(np.full(len(found_x[-1]), level))
        one, other = _overlapping(boxes)
        if len(one) > MOST_PAIRS:
            kept = _spread(len(one), MOST_PAIRS, dice.random())
            one, other = one[kept], other[kept]
        crossing_x, crossing_y = corner_x[one][:, :, None], corner_y[one][:, :, None]
        ahead_x, ahead_y = along_x[one][:, :, None], along_y[one][:, :, None]
        across_x, across_y = along_x[other][:, None], along_y[other][:, None]
        apart_x, apart_y = corner_x[other][:, None] - crossing_x, corner_y[other][:, None] - crossing_y
        cross = ahead_x * across_y - ahead_y * across_x
        share = (apart_x * across_y - apart_y * across_x) / cross
        other_share = (apart_x * ahead_y - apart_y * ahead_x) / cross
        on = (share >= 0) & (share <= 1) & (other_share >= 0) & (other_share <= 1)
        pair, edge, _ = np.nonzero(on)
        found_x.append(corner_x[one[pair], edge] + share[on] * along_x[one[pair], edge])
        found_y.append(corner_y[one[pair], edge] + share[on] * along_y[one[pair], edge])
    return _thinned(np.concatenate(found_x), np.concatenate(found_y), window, dice)


def _along(corners: Array) -> Array:
    """From each corner to the next, round the ring."""
    along = np.empty_like(corners)
    along[:, :-1] = corners[:, 1:] - corners[:, :-1]
    along[:, -1] = corners[:, 0] - corners[:, -1]
    return along


def _overlapping(boxes: Array) -> tuple[Indices, Indices]:
    low_x, low_y, high_x, high_y = boxes.T
    meet = (low_x[:, None] < high_x) & (low_x < high_x[:, None])
    meet &= (low_y[:, None] < high_y) & (low_y < high_y[:, None])
    one, other = np.nonzero(np.triu(meet, 1))
    return one, other


def _thinned(x: Array, y: Array, window: Window, dice: random.Random) -> tuple[Array, Array]:
    hair = 1e-9
    inside = (x >= window.low[0] - hair) & (x <= window.high[0] + hair)
    inside &= (y >= window.low[1] - hair) & (y <= window.high[1] + hair)
    x, y = x[inside], y[inside]
    if len(x) > MOST_SPOTS:
        kept = _spread(len(x), MOST_SPOTS, dice.random())
        x, y = x[kept], y[kept]
    return x, y


def _spread(count: int, most: int, offset: float) -> Indices:
    """So many indices below `count`, evenly spread."""
    return ((np.arange(most) + offset) * (count / most)).astype(np.intp)
