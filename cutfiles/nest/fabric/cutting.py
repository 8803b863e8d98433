"""One fabric: what it is asked for, laid on its blanks; and what it could give of a shape."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from cutfiles.core.units import rounded_up_mm
from cutfiles.geometry.outline import area
from cutfiles.job.model.job import FabricSpec, Face
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.cloth import Cloth, cloth_of
from cutfiles.nest.cutting_rules.reach import Reach, Rect
from cutfiles.nest.fabric.blanks import Blanks, container_of
from cutfiles.nest.fabric.fabric_cut import NOTHING, Cut, FabricCut, joined, raised
from cutfiles.nest.fabric.fabric_cutter import ALL
from cutfiles.nest.fabric.supply import (
    ByHand,
    trimmed_blank,
)
from cutfiles.nest.fabric.yardage import Yardage
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape

# Inserting pieces was seen to add a tenth of the cloth to what greedy rules lay, to each blank one or two.
# Off the roll there is no cloth of a known size to measure on: `yardage.py` has limits of its own.
_ADDS_SHARE, _ADDS_EACH = 0.1, 2


class Cutter:
    """Cuts fabrics for one job; remembers what it has solved."""

    def __init__(self, shapes: tuple[Shape, ...], reach: Reach, solver: Solver, *, mark_mm: float) -> None:
        """Cut with `mark_mm` between the marks of the rule that rough cuts are measured with."""
        self._mark_mm = mark_mm
        self._shapes = {shape.name: shape for shape in shapes}
        self._reach = reach
        self._solver = solver
        self._cuts: dict[tuple[FabricSpec, frozenset[tuple[str, int]]], FabricCut] = {}
        self._blanks = Blanks(shapes, reach, solver)
        self._yardage = Yardage(shapes, reach, solver, mark_mm=mark_mm)

    def by_hand(self, fabric: FabricSpec, shape: str) -> tuple[float, float] | None:
        """Return the size of a shape that is too big for the mat with its margin, else None."""
        return self._blanks.by_hand(fabric, shape)

    def sizes(self, fabric: FabricSpec, shape: str) -> list[tuple[float, float]]:
        """Return the width and the length of a shape at each turn that the search tries on a fabric."""
        return self._blanks.sizes(fabric, shape)

    @property
    def is_cut_short(self) -> bool:
        """Whether the search was told to stop: what it then didn't find may fit all the same."""
        return self._solver.clock.cut_short

    def cut(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        """Return the fabric cut for at most what is asked, on as few pieces as found.

        Args:
            fabric: how much there is of it, and how it may be cut.
            asked: shapes and how many; ALL for as many as it holds.
        """
        # A number that was found to fit must be given, though time has run out meanwhile.
        key = (fabric, frozenset(asked.items()))
        if key not in self._cuts:
            self._cuts[key] = self._by_face(fabric, asked) if fabric.faces else self._cut(fabric, asked)
        return self._cuts[key]

    def forget(self, fabric: FabricSpec) -> None:
        """Forget how a cloth is cut, as its containers are known to hold more by now."""
        cloths = _sides(fabric)
        self._cuts = {key: cut for key, cut in self._cuts.items() if not cloths & _sides(key[0])}

    def _cut(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        hands = {
            shape: size for shape, count in asked.items() if count and (size := self.by_hand(fabric, shape))
        }
        wanted_by_hand = [
            (shape, *size)
            for shape, size in hands.items()
            for _ in range(min(asked[shape], self._blanks.most_by_hand(fabric, shape, size)))
        ]
        by_hand = self._blanks.rows_by_hand(fabric, wanted_by_hand)
        left = {shape: count for shape, count in asked.items() if shape not in hands and count}
        if not left:
            return FabricCut((), tuple(by_hand))
        if fabric.as_needed:
            return self._off_the_bolt(fabric, by_hand, left)
        tried_cuts: list[FabricCut] = []
        for order in self._orders(left):
            if tried_cuts and not self._may_hold(fabric, by_hand, left, order):
                continue
            tried_cuts.append(FabricCut(self._placed(fabric, by_hand, left, order), tuple(by_hand)))
            given = tried_cuts[-1].given
            if all(count >= ALL or given[shape] >= count for shape, count in left.items()):
                return tried_cuts[-1]
        if self._is_off_the_bolt(fabric, left):
            # What was bought by its length must hold what it was bought for.
            bands = self._off_the_bolt(fabric, by_hand, left)
            if all(bands.given[shape] >= count for shape, count in left.items()):
                return bands
        numbers = {shape: count for shape, count in asked.items() if count < ALL}
        if 0 < len(numbers) < len(asked):
            # What only fills up must not get in the way of a number.
            without = self.cut(fabric, numbers)
            if all(without.given[shape] >= count for shape, count in numbers.items()):
                return self._filled_up(fabric, without, [shape for shape in asked if shape not in numbers])
        return tried_cuts[0]

    def _by_face(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        """A piece of cloth lies one side up: each side takes pieces, or lengths, of its own.

        What has a number comes first, of every side; then what only fills, on the pieces that are left.
        """
        groups = [
            (fabric.lying(face), {shape: asked[shape] for shape in shapes})
            for face, shapes in self._sides_up(fabric, asked).items()
        ] or [(fabric.lying(fabric.face), {})]
        if len(groups) == 1:
            return self.cut(*groups[0])
        if fabric.as_needed:
            return self._one_above_the_other(groups)
        left, cuts = fabric.pieces, []
        for side, wanted in groups:
            cuts.append(self.cut(replace(side, pieces=left), _numbers(wanted)) if left else NOTHING)
            left -= cuts[-1].last_piece
        for index, (side, wanted) in enumerate(groups):
            offered = left + cuts[index].last_piece
            if offered and wanted != _numbers(wanted):
                cuts[index] = self.cut(replace(side, pieces=offered), wanted)
                left = offered - cuts[index].last_piece
        return joined(cuts)

    def _sides_up(self, fabric: FabricSpec, asked: Mapping[str, int]) -> dict[Face, list[str]]:
        """Which shapes lie which side up, large ones first; what is cut by hand can do with any side."""
        order = [shape for shape in next(self._orders(asked)) if asked[shape]]
        sides: dict[Face, list[str]] = {}
        for shape in order:
            if self.by_hand(fabric, shape) is None:
                sides.setdefault(fabric.face_of(shape), []).append(shape)
        for shape in order:
            if self.by_hand(fabric, shape) is not None:
                own = fabric.face_of(shape)
                sides.setdefault(own if own in sides or not sides else next(iter(sides)), []).append(shape)
        return sides

    def _one_above_the_other(self, groups: Sequence[tuple[FabricSpec, Mapping[str, int]]]) -> FabricCut:
        """Lengths of one cloth, each for what lies one side up, from its lower end up."""
        stacked: list[FabricCut] = []
        floor_mm = 0.0
        for side, wanted in groups:
            above = replace(side, length_mm=side.length_mm - floor_mm)
            cut = self.cut(above, wanted)
            stacked.append(raised(cut, floor_mm))
            floor_mm += self.as_large_as_cut(above, cut).length_mm
        return joined(stacked, on_the_same=True)

    def _filled_up(self, fabric: FabricSpec, cut: FabricCut, fills: Sequence[str]) -> FabricCut:
        """A fabric cut for its numbers, its untouched pieces for what only fills up."""
        used = {each.blank.piece for each in cut.cuts} | {hand.piece for hand in cut.by_hand}
        whole = [piece for piece in range(1, fabric.pieces + 1) if piece not in used]
        if not whole or fabric.is_open:
            return cut
        more = self.cut(replace(fabric, pieces=len(whole)), dict.fromkeys(fills, ALL))
        return FabricCut(
            cut.cuts
            + tuple(
                replace(each, blank=replace(each.blank, piece=whole[each.blank.piece - 1]))
                for each in more.cuts
            ),
            cut.by_hand + tuple(replace(hand, piece=whole[hand.piece - 1]) for hand in more.by_hand),
        )

    def _is_off_the_bolt(self, fabric: FabricSpec, numbers: Mapping[str, int]) -> bool:
        """Whether numbers, not known to be too many, may be cut from one plain length in bands."""
        plain = fabric.pieces == 1 and fabric.is_rectangle and fabric.repeat is None
        if not plain or self._reach.holds(fabric.width_mm, fabric.length_mm):
            return False
        covered = sum(area(self._shapes[shape].cut) * count for shape, count in numbers.items())
        return covered <= fabric.width_mm * fabric.length_mm

    def _off_the_bolt(
        self, fabric: FabricSpec, by_hand: list[ByHand], numbers: Mapping[str, int]
    ) -> FabricCut:
        """The fabric cut in bands, no longer than they need be."""
        wanted = tuple((shape, numbers[shape]) for shape in next(self._orders(numbers)))
        strips = self._yardage.placed(cloth_of(fabric), by_hand, wanted)
        cuts = tuple(Cut(blank, placed, fabric.face) for blank, placed in strips)
        return FabricCut(cuts, tuple(by_hand))

    def takes(self, fabric: FabricSpec, shape: str) -> bool:
        """Return whether a piece of fabric, as long as needed if that is open, has room for a shape."""
        fabric = fabric.lying_for(shape)
        if fabric.as_needed and self.by_hand(fabric, shape) is None:
            return self._yardage.takes(cloth_of(fabric), shape)
        return self.cut(replace(fabric, pieces=1), {shape: 1}).given[shape] > 0

    def on_fewest_pieces(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        """Return the fabric cut for numbers on so few pieces that on one less they are not found to lie."""
        cut = self.cut(fabric, asked)
        while (used := cut.pieces_used) > 1:
            fewer = self.cut(replace(fabric, pieces=used - 1), asked)
            if any(fewer.given[shape] < cut.given[shape] for shape in asked):
                break
            cut = fewer
        return cut

    def as_large_as_cut(self, fabric: FabricSpec, cut: FabricCut) -> FabricSpec:
        """Return a fabric with the length, to the next mark, or the pieces found for it if that is open."""
        if fabric.pieces_as_needed:
            return replace(fabric, pieces=cut.pieces_used)
        if not fabric.as_needed:
            return fabric
        tops = [blank_cut.blank.rect.y_mm + blank_cut.blank.rect.height_mm for blank_cut in cut.cuts]
        tops += [hand.rect.y_mm + hand.rect.height_mm + fabric.margin_mm for hand in cut.by_hand]
        return replace(fabric, length_mm=rounded_up_mm(max(tops, default=0.0), self._mark_mm))

    def _may_hold(
        self, fabric: FabricSpec, by_hand: list[ByHand], asked: Mapping[str, int], order: list[str]
    ) -> bool:
        """Whether a search is likely to lay the numbers in that order, judged by what greedy rules lay."""
        if fabric.repeat is not None:
            return True
        quick = FabricCut(self._placed(fabric, by_hand, asked, order, self._solver.greedy_fill), ())
        given = quick.given
        lacking = {
            shape: count - given[shape] for shape, count in asked.items() if given[shape] < count < ALL
        }
        covered = sum(area(self._shapes[shape].cut) * count for shape, count in lacking.items())
        cloth = fabric.width_mm * fabric.length_mm * fabric.pieces
        return sum(lacking.values()) <= _ADDS_EACH * len(quick.cuts) or covered <= _ADDS_SHARE * cloth

    def _placed(
        self,
        fabric: FabricSpec,
        by_hand: list[ByHand],
        asked: Mapping[str, int],
        order: list[str],
        fill: Callable[[Container, Wanted], tuple[PlacedItem, ...]] | None = None,
    ) -> tuple[Cut, ...]:
        fill = fill or self._solver.fill
        left = dict(asked)
        cuts = []
        for blank in self._blanks.blanks(fabric, by_hand, order[-1]):
            container = container_of(cloth_of(fabric), blank.rect)
            placed = fill(container, tuple((shape, left[shape]) for shape in order))
            if placed:
                trimmed = trimmed_blank(blank, placed, fabric.margin_mm, self._mark_mm)
                cuts.append(Cut(trimmed, placed, fabric.face))
            for placed_item in placed:
                left[placed_item.item.shape] -= 1
            if not any(left.values()):
                break
        return tuple(cuts)

    def solve_ahead(self, cuts: Sequence[tuple[FabricSpec, Mapping[str, int]]]) -> None:
        """Have the containers solved, several at once, that `cut` is about to ask for."""
        questions = []
        for fabric, asked in self._one_side_each(cuts):
            left = {shape: count for shape, count in asked.items() if count}
            is_solved_here = fabric.as_needed or fabric.repeat is not None
            if is_solved_here or not left or any(self.by_hand(fabric, shape) for shape in left):
                continue
            order = next(self._orders(left))
            first = replace(fabric, pieces=1) if fabric.pieces_as_needed else fabric
            for blank in self._blanks.blanks(first, [], order[-1]):
                container = container_of(cloth_of(fabric), blank.rect)
                questions.append((container, tuple((shape, left[shape]) for shape in order)))
        self._solver.solve_ahead(questions)

    def _one_side_each(
        self, cuts: Sequence[tuple[FabricSpec, Mapping[str, int]]]
    ) -> Iterator[tuple[FabricSpec, Mapping[str, int]]]:
        """What `cut` is asked, parted by the side that is up."""
        for fabric, asked in cuts:
            if not fabric.faces:
                yield fabric, asked
                continue
            for face, shapes in self._sides_up(fabric, asked).items():
                yield fabric.lying(face), {shape: asked[shape] for shape in shapes}

    def at_least(self, fabric: FabricSpec, shape: str) -> int:
        """Return how many of a shape alone the fabric surely gives: found quickly, often not the most."""
        fabric = fabric.lying_for(shape)
        size = self.by_hand(fabric, shape)
        if size is not None:
            return self._blanks.most_by_hand(fabric, shape, size)
        return sum(
            len(self._solver.estimate(container_of(cloth_of(fabric), blank.rect), shape))
            for blank in self._blanks.blanks(fabric, [], shape)
        )

    def whole(self, fabric: FabricSpec, shape: str) -> Container | None:
        """Return a piece of fabric as something to fill, None if it is cut up first to lie on the mat.

        Where a print repeats it is None too.
        """
        fabric = fabric.lying_for(shape)
        on_mat = self._reach.holds(fabric.width_mm, fabric.length_mm)
        if not on_mat or fabric.as_needed or fabric.repeat is not None or self.by_hand(fabric, shape):
            return None
        return container_of(cloth_of(fabric), Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm))

    def up_to(self, fabric: FabricSpec, shape: str, most: int, *, all_rules: bool) -> int:
        """Return how many of a shape alone, up to `most`, greedy rules lay on the fabric."""
        fabric = fabric.lying_for(shape)
        size = self.by_hand(fabric, shape)
        if size is not None:
            return min(most, self._blanks.most_by_hand(fabric, shape, size))
        count = 0
        for blank in self._blanks.blanks(fabric, [], shape):
            container = container_of(cloth_of(fabric), blank.rect)
            count += len(self._solver.up_to(container, shape, most - count, all_rules=all_rules))
            if count >= most:
                break
        return count

    def at_most(self, fabric: FabricSpec, shape: str) -> int:
        """Return how many of a shape all the fabric's pieces can't pass, if nothing else is cut."""
        fabric = fabric.lying_for(shape)
        size = self.by_hand(fabric, shape)
        if size is not None:
            return self._blanks.most_by_hand(fabric, shape, size)
        container = container_of(cloth_of(fabric), Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm))
        # A larger piece is rough-cut, and cut lines on both sides of a rough cut need no gap.
        whole = self._reach.holds(fabric.width_mm, fabric.length_mm)
        return fabric.pieces * self._solver.proven_bound(container, shape, gap_mm=None if whole else 0.0)

    def _orders(self, asked: Mapping[str, int]) -> Iterator[list[str]]:
        """Fixed numbers before "all it holds", large shapes before small; then each number last once.

        What is laid last makes do with what room is left, so where an order fails another may not.
        """
        order = sorted(asked, key=lambda shape: (asked[shape] >= ALL, -area(self._shapes[shape].cut)))
        yield order
        numbers = [shape for shape in order if asked[shape] < ALL]
        for last in numbers[-2::-1]:
            yield [*(shape for shape in numbers if shape != last), last, *order[len(numbers) :]]


def _sides(fabric: FabricSpec) -> set[Cloth]:
    """The fabric as a search knows it, at each side that may be up."""
    return {cloth_of(fabric.lying_for(shape)) for shape, _ in fabric.faces} or {cloth_of(fabric)}


def _numbers(asked: Mapping[str, int]) -> dict[str, int]:
    """What is asked for by number; the rest only fills."""
    return {shape: count for shape, count in asked.items() if count < ALL}
