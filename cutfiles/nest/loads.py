"""Fabric on mats: rectangles of several fabrics share loads, as few as found. A quarter turn is free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutfiles.nest.free_space import FreeSpace
from cutfiles.nest.reach import Reach, Rect

# Fabric is laid by hand: neighbours never touch, even where the gap is 0.
LEAST_SPACING_MM = 1.0


@dataclass(frozen=True, slots=True)
class Spread:
    """Where a rectangle of fabric lies: on which load, counted from 0, and how."""

    load: int
    x_mm: float
    y_mm: float
    turn_deg: float  # 0 or 90


def on_loads(sizes: Sequence[tuple[float, float]], reach: Reach, *, gap_mm: float) -> tuple[Spread, ...]:
    """Return a place for each rectangle (width, length), in their order.

    Args:
        sizes: each fits the empty mat, turned or not.
        reach: what can be used of the mat.
        gap_mm: least distance between cut lines; fabrics lie at least that far apart.
    """
    spacing = max(gap_mm, LEAST_SPACING_MM)
    as_given = list(range(len(sizes)))
    by_area = sorted(as_given, key=lambda i: -sizes[i][0] * sizes[i][1])
    by_side = sorted(as_given, key=lambda i: (-max(sizes[i]), -min(sizes[i])))
    # Fewest loads first; among equals the order of the job, which spares the person changes of fabric.
    trials = [_pack(sizes, order, reach, spacing) for order in (as_given, by_area, by_side)]
    return min(trials, key=lambda spreads: max((spread.load for spread in spreads), default=-1))


def _pack(
    sizes: Sequence[tuple[float, float]], order: list[int], reach: Reach, spacing: float
) -> tuple[Spread, ...]:
    # Everything is grown by the spacing to the right and up, free space too: at the edge of the reach
    # and at the marks none is owed.
    empty = [
        Rect(rect.x_mm, rect.y_mm, rect.width_mm + spacing, rect.height_mm + spacing) for rect in reach.free
    ]
    mats: list[FreeSpace] = []
    placed: dict[int, Spread] = {}
    full: set[int] = set()
    for item in order:
        width, length = sizes[item][0] + spacing, sizes[item][1] + spacing
        for load in range(len(mats) + 1):
            if load in full:
                continue
            if load == len(mats):
                mats.append(FreeSpace(empty))
            found = _lowest(mats[load], width, length)
            if found is not None:
                spot, turn = found
                mats[load].take(spot)
                placed[item] = Spread(load, spot.x_mm, spot.y_mm, turn)
                if not mats[load].free:
                    full.add(load)
                break
    return tuple(placed[item] for item in range(len(sizes)))


def _lowest(space: FreeSpace, width_mm: float, length_mm: float) -> tuple[Rect, float] | None:
    """The place whose upper edge is lowest, then leftmost; as it lies rather than turned."""
    found = []
    for turn, across, up in ((0.0, width_mm, length_mm), (90.0, length_mm, width_mm)):
        spot = space.spot(across, up)
        if spot is not None:
            found.append((round(spot.y_mm + up, 6), round(spot.x_mm, 6), turn, spot))
    if not found:
        return None
    _, _, turn, spot = min(found, key=lambda one: one[:3])
    return spot, turn
