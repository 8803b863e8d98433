"""Fabric that is bought by its length: bands of it, one above the other, no longer than they need be.

A band lies across the whole width and is as long as the mat takes, turned or not; where the fabric is wider
than that, it is cells side by side. Each holds as many pieces as are found to fit; the last one is as short
as is found to hold the rest. Before the bands come rows of what is too big for the mat and is cut by hand.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import rounded_down_mm, rounded_up_mm
from cutfiles.geometry.outline import area
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.cloth import LEAST_SAVED_MM, Cloth
from cutfiles.nest.cutting_rules.reach import Reach, Rect
from cutfiles.nest.fabric.blanks import container_of
from cutfiles.nest.fabric.supply import (
    Blank,
    ByHand,
    CellYields,
    beside_rows,
    cells_of,
    cuts_of,
    trimmed_blank,
)
from cutfiles.nest.search.mixed_shapes import trimmed
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape

FilledBlank = tuple[Blank, tuple[PlacedItem, ...]]  # positions count from the blank's lower left corner
_Lay = Callable[[Container, Wanted], tuple[PlacedItem, ...]]
_FilledBand = tuple[tuple[PlacedItem, ...], ...]  # what lies in each cell, from its lower left corner

# Inserting pieces was seen to add a tenth to what greedy rules lay, and to few pieces one or two. Measured on
# one band, of which the length is what is sought; `cutting.py` measures on whole cloth of a known size.
_MORE_BY_SEARCH, _MORE_OF_FEW = 1.12, 2


@dataclass(frozen=True, slots=True)
class _Way:
    """How to cut bands: cells of these widths side by side, and how long they may be."""

    columns_mm: tuple[float, ...]
    most_mm: float


class Yardage:
    """Cuts fabric of one job off the roll; remembers what it has solved."""

    def __init__(
        self,
        shapes: Sequence[Shape],
        reach: Reach,
        solver: Solver,
        *,
        mark_mm: float,
    ) -> None:
        """Cut with `mark_mm` between the marks of the rule that rough cuts are measured with."""
        self._areas = {shape.name: area(shape.cut) for shape in shapes}
        self._reach, self._solver, self._mark_mm = reach, solver, mark_mm
        self._known: dict[tuple[Cloth, tuple[ByHand, ...], Wanted], tuple[FilledBlank, ...]] = {}

    def placed(self, cloth: Cloth, by_hand: Sequence[ByHand], wanted: Wanted) -> tuple[FilledBlank, ...]:
        """Return rough cuts and what lies on them, from the lower end of the fabric up.

        All that is wanted is laid if it fits the fabric's width and the mat, and its greatest length.

        Args:
            cloth: its length is the greatest that it may be.
            by_hand: what is cut by hand from its lower end.
            wanted: shapes and how many, the one to lay first leading.
        """
        key = (cloth, tuple(by_hand), wanted)
        if key not in self._known:
            left = Counter(dict(wanted))
            strips = list(self._beside(cloth, by_hand, left))
            top = max((hand.rect.y_mm + hand.rect.height_mm for hand in by_hand), default=0.0)
            self._known[key] = (*strips, *self._least_bands(cloth, rounded_up_mm(top, self._mark_mm), left))
        return self._known[key]

    def takes(self, cloth: Cloth, shape: str) -> bool:
        """Return whether bands have room for a shape that goes onto the mat."""
        return any(
            self._most(cloth, replace(way, most_mm=min(way.most_mm, cloth.length_mm)), shape) > 0
            for way in self._ways(cloth)
        )

    def _beside(self, cloth: Cloth, by_hand: Sequence[ByHand], left: Counter[str]) -> Iterator[FilledBlank]:
        """What fits beside the rows that are cut by hand: it costs no length."""
        if not by_hand:
            return
        rects = [hand.rect for hand in by_hand]
        top = max(rect.y_mm + rect.height_mm for rect in rects)

        def cell_yield(rect: Rect) -> float:
            container = container_of(cloth, rect)
            return sum(
                self._areas[shape] * len(self._solver.greedy_estimate(container, shape)) for shape in left
            )

        for region in beside_rows(Rect(0.0, 0.0, cloth.width_mm, top), rects):
            for cell in cells_of(region, self._reach, CellYields(cell_yield), None):
                placed = self._solver.fill(container_of(cloth, cell), _open(left))
                if placed:
                    yield self._strip(cloth, cell, placed)
                _take(left, placed)

    def _least_bands(self, cloth: Cloth, floor_mm: float, left: Counter[str]) -> list[FilledBlank]:
        """Bands as short as found: the densest, or rows alone where full rows come out just right."""
        rows_left = Counter({shape: count for shape, count in left.items() if count > 0})
        bands = list(self._bands(cloth, floor_mm, left))
        if len(rows_left) != 1 or not bands:
            return bands
        (wanted,) = rows_left.items()
        rows = list(self._rows(cloth, floor_mm, *wanted))
        more = _laid(rows) - _laid(bands)
        is_shorter = more == 0 and _end_mm(rows) < _end_mm(bands) - RULE_MM
        return rows if more > 0 or is_shorter else bands

    def _rows(self, cloth: Cloth, floor_mm: float, shape: str, count: int) -> Iterator[FilledBlank]:
        """Bands of what greedy rules lay, the last one as short as they make it."""
        way = self._best_rows(cloth, shape, count)
        while way is not None and count:
            way = replace(way, most_mm=min(way.most_mm, cloth.length_mm - floor_mm))
            wanted = ((shape, count),)
            band = self._band(cloth, way, wanted, self._lay_quickly)
            if not any(band):
                return
            if _holds(band, wanted):
                band = self._least(cloth, way, wanted, self._lay_quickly, band)
            strips = list(self._strips(cloth, way, floor_mm, band))
            yield from strips
            floor_mm = min(rounded_up_mm(_end_mm(strips), self._mark_mm), cloth.length_mm)
            count -= sum(map(len, band))

    def _best_rows(self, cloth: Cloth, shape: str, count: int) -> _Way | None:
        """The way that takes least length if bands are no longer than whole rows of one shape are."""
        open_ = []
        for index, way in enumerate(self._ways(cloth)):
            for number, low in self._row_ways(cloth, way, shape):
                most = self._most(cloth, low, shape)
                if most:
                    least = _rows_mm(low, number, count, most)
                    open_.append(((least, len(low.columns_mm), -number, index), low))
        best: tuple[tuple[float, int, int, int], _Way] | None = None
        for (least, columns, minus_rows, index), low in sorted(open_, key=lambda choice: choice[0]):
            # Those from here on come after it even if rows held all that a bound lets through.
            if best is not None and (least, columns, minus_rows, index) > best[0]:
                break
            each = sum(map(len, self._band(cloth, low, ((shape, count),), self._lay_quickly)))
            if each:
                key = (_rows_mm(low, -minus_rows, count, each), columns, minus_rows, index)
                best = (key, low) if best is None or key < best[0] else best
        return best and best[1]

    def _row_ways(self, cloth: Cloth, way: _Way, shape: str) -> Iterator[tuple[int, _Way]]:
        """A way with bands just as long as one row, two rows … of pieces as greedy rules turn them."""
        band = self._band(cloth, way, ((shape, self._most(cloth, way, shape)),), self._lay_quickly)
        heights = {
            round(placed_item.item.bounds[3] - placed_item.item.bounds[1], 6)
            for placed in band
            for placed_item in placed
        }
        gap, around = self._solver.gap_mm, 2 * cloth.margin_mm
        for height in sorted(heights):
            for number in range(1, int((way.most_mm - around + gap + RULE_MM) // (height + gap)) + 1):
                long = number * (height + gap) - gap + around
                yield number, replace(way, most_mm=min(way.most_mm, long + RULE_MM))

    def _bands(self, cloth: Cloth, floor_mm: float, left: Counter[str]) -> Iterator[FilledBlank]:
        way, shapes = self._best_way(cloth, left)
        is_last = False
        while way is not None and shapes:
            wanted = tuple((shape, left[shape]) for shape in shapes)
            way = replace(way, most_mm=min(way.most_mm, cloth.length_mm - floor_mm))
            band = self._band_of(cloth, way, wanted)
            if _holds(band, wanted):
                # What is left over may lie better the other way round than whole bands do.
                if not is_last:
                    is_last = True
                    way, shapes = self._best_way(cloth, left)
                    continue
                band = self._shortened(cloth, way, wanted, band)
            elif any(band):
                band = self._denser(cloth, way, wanted, band)
            if not any(band):
                return
            strips = list(self._strips(cloth, way, floor_mm, band))
            yield from strips
            floor_mm = min(rounded_up_mm(_end_mm(strips), self._mark_mm), cloth.length_mm)
            for placed in band:
                _take(left, placed)
            if not any(left[shape] for shape in shapes):
                is_last = False
                way, shapes = self._best_way(cloth, left)

    def _strips(self, cloth: Cloth, way: _Way, floor_mm: float, band: _FilledBand) -> Iterator[FilledBlank]:
        x = 0.0
        for width, placed in zip(way.columns_mm, band, strict=True):
            if placed:
                yield self._strip(cloth, Rect(x, floor_mm, width, way.most_mm), placed)
            x += width

    def _strip(self, cloth: Cloth, rect: Rect, placed: tuple[PlacedItem, ...]) -> FilledBlank:
        blank = Blank(1, rect, rough=True)
        return trimmed_blank(blank, placed, cloth.margin_mm, self._mark_mm), placed

    def _band_of(self, cloth: Cloth, way: _Way, wanted: Wanted) -> _FilledBand:
        """All that is wanted where greedy rules lay it, else as many as are found to fit."""
        quick = self._band(cloth, way, wanted, self._quickly(wanted))
        return quick if _holds(quick, wanted) else self._band(cloth, way, wanted, self._solver.fill)

    def _denser(self, cloth: Cloth, way: _Way, wanted: Wanted, band: _FilledBand) -> _FilledBand:
        """A full band, or one as long as rows of greedy rules if more of that is covered.

        One blade more in a band may cost more length than a row of them.
        """
        shape = self._main(dict(wanted))
        rows = self._band(cloth, way, ((shape, self._most(cloth, way, shape)),), self._lay_quickly)
        if not any(rows) or self._top(cloth, rows) >= self._top(cloth, band):
            return band
        shorter = replace(way, most_mm=min(way.most_mm, self._top(cloth, rows)))
        return max((band, self._band(cloth, shorter, wanted, self._solver.fill)), key=self._cover(cloth))

    def _cover(self, cloth: Cloth) -> Callable[[_FilledBand], float]:
        def cover(band: _FilledBand) -> float:
            if not any(band):
                return 0.0
            covered = sum(self._areas[placed_item.item.shape] for placed in band for placed_item in placed)
            return round(covered / self._top(cloth, band), 6)

        return cover

    def _main(self, counts: Mapping[str, int]) -> str:
        """The shape that covers most."""
        return max(counts, key=lambda shape: self._areas[shape] * counts[shape])

    def _band(self, cloth: Cloth, way: _Way, wanted: Wanted, lay: _Lay) -> _FilledBand:
        """Cell by cell from the left as many as are found to fit."""
        left = Counter(dict(wanted))
        band = []
        for width in way.columns_mm:
            placed = lay(container_of(cloth, Rect(0.0, 0.0, width, way.most_mm)), _open(left))
            _take(left, placed)
            band.append(placed)
        return tuple(band)

    def _shortened(self, cloth: Cloth, way: _Way, wanted: Wanted, band: _FilledBand) -> _FilledBand:
        """A band as short as it is found to hold all that is wanted."""
        if len(way.columns_mm) == 1:
            container = container_of(cloth, Rect(0.0, 0.0, way.columns_mm[0], way.most_mm))
            shortest = self._solver.shortest(container, wanted)
            if shortest is None or self._top(cloth, (shortest,)) > self._top(cloth, band):
                return band
            return (shortest,)
        lay = self._quickly(wanted)
        if _holds(quick := self._band(cloth, way, wanted, lay), wanted):
            band = self._least(cloth, way, wanted, lay, quick)
        return self._searched_shorter(cloth, way, wanted, band)

    def _searched_shorter(self, cloth: Cloth, way: _Way, wanted: Wanted, band: _FilledBand) -> _FilledBand:
        """A band shortened step by step, as long as a search finds all that is wanted on it.

        The step is as small as can be at first, and twice as long after each that is found: a search takes
        seconds, and mostly there is little to gain.
        """
        smallest = step = max(1, math.floor(LEAST_SAVED_MM / self._mark_mm))
        failed_at: int | None = None
        while not self._solver.clock.poll():
            marks = round(self._top(cloth, band) / self._mark_mm)
            if failed_at is not None:
                step = min(step, (marks - failed_at) // 2)
            if step < smallest:
                break
            shorter = replace(way, most_mm=min((marks - step) * self._mark_mm, way.most_mm))
            tried = self._all_on(cloth, shorter, wanted)
            if tried is None:
                failed_at, step = marks - step, step // 2
            else:
                band, step = tried, 2 * step
        return band

    def _all_on(self, cloth: Cloth, way: _Way, wanted: Wanted) -> _FilledBand | None:
        """A band with all that is wanted, or None where a search doesn't find that, or is unlikely to.

        Cells are searched from the left, until greedy rules lay the rest on those that are left.
        """
        if not all(self._most(cloth, way, shape) >= count for shape, count in wanted):
            return None
        left, band = Counter(dict(wanted)), list[tuple[PlacedItem, ...]]()
        lay = self._quickly(wanted)
        for number, width in enumerate(way.columns_mm):
            if self._solver.clock.poll():
                return None
            rest = replace(way, columns_mm=way.columns_mm[number:])
            quick = self._band(cloth, rest, _open(left), lay)
            if _holds(quick, _open(left)):
                return (*band, *quick)
            if self._is_far(quick, _open(left)):
                return None
            container = container_of(cloth, Rect(0.0, 0.0, width, way.most_mm))
            placed = self._solver.fill(container, _open(left))
            _take(left, placed)
            band.append(placed)
        return None if _open(left) else tuple(band)

    def _is_far(self, band: _FilledBand, wanted: Wanted) -> bool:
        """Whether a band lacks more of what is wanted than a search was seen to add to it."""
        laid = Counter(placed_item.item.shape for placed in band for placed_item in placed)
        if sum(count - laid[shape] for shape, count in wanted) <= _MORE_OF_FEW:
            return False
        asked = sum(self._areas[shape] * count for shape, count in wanted)
        return asked > _MORE_BY_SEARCH * sum(self._areas[shape] * count for shape, count in laid.items())

    def _least(self, cloth: Cloth, way: _Way, wanted: Wanted, lay: _Lay, band: _FilledBand) -> _FilledBand:
        """The lengths between a bound and a band that is known, halved to the rule's marks."""
        most = round(self._top(cloth, band) / self._mark_mm)
        covered = sum(self._areas[shape] * count for shape, count in wanted) / sum(way.columns_mm)
        # Too short, or just as long as the pieces' area.
        least = int(covered / self._mark_mm)
        while most - least > 1 and not self._solver.clock.poll():
            middle = (least + most) // 2
            shorter = replace(way, most_mm=min(middle * self._mark_mm, way.most_mm))
            could = all(self._most(cloth, shorter, shape) >= count for shape, count in wanted)
            tried = self._band(cloth, shorter, wanted, lay) if could else ()
            if _holds(tried, wanted):
                band, most = tried, min(middle, round(self._top(cloth, tried) / self._mark_mm))
            else:
                least = middle
        return band

    def _top(self, cloth: Cloth, band: _FilledBand) -> float:
        """How long a band must be, to the next mark."""
        top = max(placed_item.y_mm + placed_item.item.bounds[3] for placed in band for placed_item in placed)
        return rounded_up_mm(top + cloth.margin_mm, self._mark_mm)

    def _best_way(self, cloth: Cloth, left: Counter[str]) -> tuple[_Way | None, tuple[str, ...]]:
        """The way that takes most of the shapes, then that needs least length; and the shapes it takes."""
        shapes = [shape for shape, count in left.items() if count]
        choices = []
        for index, way in enumerate(self._ways(cloth)):
            taken = tuple(shape for shape in shapes if self._most(cloth, way, shape))
            if taken:
                long = self._guess(cloth, way, self._main({shape: left[shape] for shape in taken}), left)
                choices.append((-len(taken), round(long, 6), len(way.columns_mm), index, way, taken))
        if not choices:
            return None, ()
        return min(choices, key=lambda choice: choice[:4])[4:]

    def _ways(self, cloth: Cloth) -> list[_Way]:
        sizes = {(rect.width_mm, rect.height_mm) for rect in self._reach.free}
        sizes |= {(height, width) for width, height in sizes}
        longest: dict[tuple[float, ...], float] = {}
        for width, height in sorted(sizes):
            # First those that a person can rule; the last bit of the reach counts only where it is of use.
            for most in (rounded_down_mm(width, self._mark_mm), width):
                for parts in cuts_of(0.0, cloth.width_mm, most, None) if most else ():
                    columns = self._ruled(parts, width)
                    longest[columns] = max(height, longest.get(columns, 0.0))
        return [_Way(columns, most) for columns, most in longest.items()]

    def _ruled(self, parts: tuple[float, ...], most_mm: float) -> tuple[float, ...]:
        """Parts of a width, moved to the rule's marks where none gets too wide by that."""
        ends = [0.0, *(rounded_up_mm(end, self._mark_mm) for end in accumulate(parts[:-1])), sum(parts)]
        ruled = tuple(end - begin for begin, end in pairwise(ends))
        return ruled if min(ruled) > 0 and max(ruled) <= most_mm else parts

    def _most(self, cloth: Cloth, way: _Way, shape: str) -> int:
        """How many of a shape a band can't pass."""
        containers = [container_of(cloth, Rect(0.0, 0.0, width, way.most_mm)) for width in way.columns_mm]
        return sum(self._solver.proven_bound(container, shape) for container in containers)

    def _guess(self, cloth: Cloth, way: _Way, shape: str, left: Counter[str]) -> float:
        """About how long it takes to give all of one shape."""
        band = self._band(cloth, way, ((shape, self._most(cloth, way, shape)),), self._lay_quickly)
        each = sum(map(len, band))
        if not each:
            return math.inf
        bands, rest = divmod(left[shape], each)
        long = bands * self._top(cloth, band)
        if rest:
            wanted = ((shape, rest),)
            last = self._band(cloth, way, wanted, self._lay_quickly)
            long += self._top(cloth, self._least(cloth, way, wanted, self._lay_quickly, last))
        return long

    def _quickly(self, wanted: Wanted) -> _Lay:
        """Greedy rules alone, for one shape or several."""
        return self._lay_quickly if len(wanted) == 1 else self._solver.greedy_fill

    def _lay_quickly(self, container: Container, wanted: Wanted) -> tuple[PlacedItem, ...]:
        return trimmed(self._solver.greedy_estimate(container, wanted[0][0]), wanted) if wanted else ()


def _rows_mm(way: _Way, number: int, count: int, each: int) -> float:
    """How long bands of so many rows are for a count of pieces, where each holds so many."""
    return round(math.ceil(count * number / each - RULE_MM) * way.most_mm / number, 3)


def _end_mm(strips: Sequence[FilledBlank]) -> float:
    return max(blank.rect.y_mm + blank.rect.height_mm for blank, _ in strips)


def _laid(strips: Sequence[FilledBlank]) -> int:
    return sum(len(placed) for _, placed in strips)


def _open(left: Counter[str]) -> Wanted:
    return tuple((shape, count) for shape, count in left.items() if count > 0)


def _take(left: Counter[str], placed: Sequence[PlacedItem]) -> None:
    left.subtract(placed_item.item.shape for placed_item in placed)


def _holds(band: _FilledBand, wanted: Wanted) -> bool:
    counts = Counter(placed_item.item.shape for placed in band for placed_item in placed)
    return all(counts[shape] >= count for shape, count in wanted)
