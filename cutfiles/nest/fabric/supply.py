"""What a fabric offers: rectangles for the mat (blanks), and places for shapes that are cut by hand.

A piece that fits the mat is a blank as it is. A larger one is rough-cut: first the shapes that are too big
for the mat, in rows from the lower left, then blanks as large as the mat takes from what is left.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.core.units import rounded_up_mm
from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import FabricSpec, Face
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.reach import Reach, Rect
from cutfiles.nest.cutting_rules.repeat import strides

_MOST_ESTIMATED = 48  # grids of rough cuts beside a print that repeats


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle of a fabric piece that goes onto the mat; `rough` if it is cut from a larger piece."""

    piece: int  # from 1
    rect: Rect  # in the fabric piece, crosswise along x
    rough: bool


@dataclass(frozen=True, slots=True)
class ByHand:
    """A shape's rectangle, cut by hand from a fabric piece."""

    piece: int
    rect: Rect
    shape: str
    face: Face  # how the fabric lies while it is cut


# How many pieces a cell of a fabric piece yields; used to choose how to rough-cut.
CellYield = Callable[[Rect], float]
# What all cells of a grid together can't pass; columns and rows are where each begins, and how long it is.
Spans = tuple[tuple[float, float], ...]
GridBound = Callable[[Spans, Spans], float]


@dataclass(frozen=True, slots=True)
class CellYields:
    """What is found for a cell, which takes its time, and a bound on that, if one is known beforehand."""

    found: CellYield
    most: GridBound | None = None


@dataclass(frozen=True, slots=True)
class RepeatGrid:
    """Where rough cuts may begin along a side of the fabric so that whole repeats stay together."""

    step_mm: float
    starts_mm: tuple[float, ...]  # from the fabric's corner; whole steps from there do as well

    def cuts(self, from_mm: float, whole_mm: float, most_mm: float) -> Iterator[tuple[float, ...]]:
        """Yield ways to cut a length that begins there into parts no longer than the most.

        A part begins whole steps after the one before; where those are longer than the most, a waste strip
        lies between.
        """
        for start in self.starts_mm:
            first = (start - from_mm) % self.step_mm
            for steps in strides(self.step_mm, most_mm):
                apart = steps * self.step_mm
                ends = [first]
                while ends[-1] < whole_mm:
                    ends += [ends[-1] + min(apart, most_mm), ends[-1] + apart]
                ends = [0.0, max(0.0, first - most_mm), *(end for end in ends if end < whole_mm), whole_mm]
                parts = tuple(end - begin for begin, end in pairwise(ends) if end - begin > TOUCH_MM)
                if max(parts) <= most_mm + TOUCH_MM:
                    yield parts


RepeatGrids = tuple[RepeatGrid, RepeatGrid] | None  # across and along; None where no print repeats


# Moves the lower left corner of a shape's rectangle on the fabric right and up, to where it may lie.
SnapToRepeat = Callable[[str, Point], Point]


def rows_by_hand(
    fabric: FabricSpec,
    wanted: list[tuple[str, float, float]],
    *,
    snap: SnapToRepeat | None = None,
) -> list[ByHand]:
    """Return places for rectangles (shape, width, length), edge to edge, for as many as find one.

    Args:
        fabric: what they are cut from.
        wanted: equal shapes one after the other.
        snap: None lets a rectangle lie anywhere.
    """
    margin = fabric.margin_mm
    right, top = fabric.width_mm - margin + TOUCH_MM, fabric.length_mm - margin + TOUCH_MM
    by_hand: list[ByHand] = []
    piece, x, y, row = 1, margin, margin, margin  # row: where the row's highest piece ends

    def position(shape: str) -> Point:
        return snap(shape, (x, y)) if snap else (x, y)

    for shape, width, length in wanted:
        least = snap(shape, (margin, margin)) if snap else (margin, margin)
        if least[0] + width > right or least[1] + length > top:
            continue
        # Snapped, two shapes would not begin on one line.
        mixed = snap is not None and bool(by_hand) and by_hand[-1].shape != shape and x > margin
        if mixed or position(shape)[0] + width > right:
            x, y = margin, row
        if position(shape)[1] + length > top:
            piece, x, y, row = piece + 1, margin, margin, margin
        if piece > fabric.pieces:
            continue
        left, low = position(shape)
        by_hand.append(ByHand(piece, Rect(left, low, width, length), shape, fabric.face))
        x = left + width
        row = max(row, low + length)
    return by_hand


def blanks_of(
    fabric: FabricSpec,
    by_hand: list[ByHand],
    reach: Reach,
    cell_yields: CellYields,
    repeat_grids: RepeatGrids = None,
) -> Iterator[Blank]:
    """Yield the blanks of all of a fabric's pieces, piece after piece."""
    whole = Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm)
    untouched: list[Rect] | None = None
    for piece in range(1, fabric.pieces + 1):
        taken = [hand.rect for hand in by_hand if hand.piece == piece]
        if not taken and reach.holds(fabric.width_mm, fabric.length_mm):
            yield Blank(piece, whole, rough=False)
            continue
        if taken:
            cells = [
                cell
                for rest in beside_rows(whole, taken)
                for cell in cells_of(rest, reach, cell_yields, repeat_grids)
            ]
        else:
            if untouched is None:
                untouched = cells_of(whole, reach, cell_yields, repeat_grids)
            cells = untouched
        for cell in cells:
            yield Blank(piece, cell, rough=True)


def beside_rows(whole: Rect, taken: list[Rect]) -> list[Rect]:
    """Return what rows of rectangles leave of a fabric piece: right of each row, and above the last."""
    rows: dict[float, list[Rect]] = {}
    for rect in taken:
        rows.setdefault(rect.y_mm, []).append(rect)
    left = []
    floor = 0.0
    for y in sorted(rows):
        right = max(rect.x_mm + rect.width_mm for rect in rows[y])
        top = max(rect.y_mm + rect.height_mm for rect in rows[y])
        left.append(Rect(right, floor, whole.width_mm - right, top - floor))
        floor = top
    left.append(Rect(0.0, floor, whole.width_mm, whole.height_mm - floor))
    return [rect for rect in left if rect.width_mm > TOUCH_MM and rect.height_mm > TOUCH_MM]


def cells_of(region: Rect, reach: Reach, cell_yields: CellYields, repeat_grids: RepeatGrids) -> list[Rect]:
    """Return the grid of rectangles the mat takes that yields most; the fewest cells among equals.

    Beside a print that repeats there are hundreds of grids: those of the highest bounds are looked at, and
    none whose bound another has reached already.
    """
    if reach.holds(region.width_mm, region.height_mm):
        return [region]
    sizes = {(rect.width_mm, rect.height_mm) for rect in reach.free}
    sizes |= {(height, width) for width, height in sizes}
    grids = dict.fromkeys(
        (columns, rows)
        for width, height in sorted(sizes)
        for columns in cuts_of(region.x_mm, region.width_mm, width, repeat_grids and repeat_grids[0])
        for rows in cuts_of(region.y_mm, region.height_mm, height, repeat_grids and repeat_grids[1])
    )
    ranked = [(-math.inf, len(columns) * len(rows), columns, rows) for columns, rows in grids]
    if len(ranked) > _MOST_ESTIMATED and cell_yields.most is not None:
        x_spans = {columns: _spans(region.x_mm, columns) for columns, _ in grids}
        y_spans = {rows: _spans(region.y_mm, rows) for _, rows in grids}
        ranked = sorted(
            (-round(cell_yields.most(x_spans[columns], y_spans[rows]), 6), count, columns, rows)
            for _, count, columns, rows in ranked
        )[:_MOST_ESTIMATED]
    best = (math.inf, *ranked[0][1:])
    for bound, count, columns, rows in ranked:
        if bound > best[0]:
            break
        value = sum(cell_yields.found(cell) for cell in _grid(region, columns, rows))
        best = min(best, (-round(value, 6), count, columns, rows))
    return _grid(region, *best[2:])


def _spans(from_mm: float, parts: tuple[float, ...]) -> Spans:
    return tuple(zip(accumulate(parts, initial=from_mm), parts, strict=False))


def _grid(region: Rect, columns: tuple[float, ...], rows: tuple[float, ...]) -> list[Rect]:
    cells = []
    y = region.y_mm
    for row in rows:
        x = region.x_mm
        for column in columns:
            cells.append(Rect(x, y, column, row))
            x += column
        y += row
    return cells


def cuts_of(
    from_mm: float, whole_mm: float, most_mm: float, repeat_grid: RepeatGrid | None
) -> list[tuple[float, ...]]:
    """Return parts of a length no longer than the most: full ones and a rest, equal ones, or on the grid."""
    count = math.ceil(whole_mm / most_mm - TOUCH_MM)
    if count <= 1:
        return [(whole_mm,)]
    rest = whole_mm - (count - 1) * most_mm
    full = (*[most_mm] * (count - 1), rest) if rest > TOUCH_MM else (most_mm,) * count
    divisions = [full, (whole_mm / count,) * count]
    return [*divisions, *repeat_grid.cuts(from_mm, whole_mm, most_mm)] if repeat_grid else divisions


def trimmed_blank(blank: Blank, placed: Sequence[PlacedItem], margin_mm: float, mark_mm: float) -> Blank:
    """Return a rough-cut blank no larger than what is cut from it, with its margin, to the next mark."""
    if not blank.rough:
        return blank
    right = rounded_up_mm(
        max(placed_item.x_mm + placed_item.item.bounds[2] for placed_item in placed) + margin_mm, mark_mm
    )
    top = rounded_up_mm(
        max(placed_item.y_mm + placed_item.item.bounds[3] for placed_item in placed) + margin_mm, mark_mm
    )
    rect = blank.rect
    return replace(
        blank, rect=Rect(rect.x_mm, rect.y_mm, min(rect.width_mm, right), min(rect.height_mm, top))
    )
