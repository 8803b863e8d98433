"""Who gives how many: fixed numbers, then "rest" shared out, then "fill" with what room is left."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutfiles.core.errors import UnmetError
from cutfiles.geometry.outline import area
from cutfiles.job.model.job import FabricSpec, Share
from cutfiles.nest.base.progress import ProgressReporter
from cutfiles.nest.fabric.fabric_cut import FabricCut
from cutfiles.nest.fabric.fabric_cutter import ALL, FabricCutter
from cutfiles.nest.fabric.share import even_shares, in_whole_pieces
from cutfiles.nest.fabric.shortage import Offer, Shortage, richest
from cutfiles.pieces.shape import CutList

Asked = dict[str, dict[str, int]]  # fabric, then shape, then how many


@dataclass(frozen=True, slots=True)
class Settled:
    """A fabric, cut."""

    fabric: FabricSpec  # if its length or its pieces are as needed, with those that were found
    cut: FabricCut
    limited: frozenset[str]  # shapes of which it gives all that it was found to hold


def settle(
    cut_list: CutList, cutter: FabricCutter, shortage: Shortage, reporter: ProgressReporter
) -> tuple[Settled, ...]:
    """Return what each fabric gives, and tell how far it is on the way.

    Raises:
        UnmetError: a fabric can't give its number, or all together can't give what the plates need.
    """
    settling = _best_settling(cut_list, cutter, shortage, reporter)
    settling.raise_shortages()
    settled = settling.cut_all()
    settling.raise_shortages()
    return settled


def settle_as_far(
    cut_list: CutList, cutter: FabricCutter, shortage: Shortage, reporter: ProgressReporter
) -> tuple[tuple[Settled, ...], tuple[str, ...]]:
    """Return what each fabric gives, as far as it does, and a line for every shortage."""
    settling = _best_settling(cut_list, cutter, shortage, reporter)
    return settling.cut_all(), tuple(settling.shortages)


def _best_settling(
    cut_list: CutList, cutter: FabricCutter, shortage: Shortage, reporter: ProgressReporter
) -> _Settling:
    """The rest shared evenly; where that falls short, by how many shapes fabrics give, if that lacks less."""
    by_kind = False
    if _are_unlike(cut_list):
        quiet = replace(shortage, remedies=False)
        least = math.inf
        for wanted in (False, True):
            tried = _Settling(cut_list, cutter, quiet, reporter, by_kind=wanted)
            tried.share_out()
            if not tried.shortages:
                return tried
            if tried.missing < least:
                least, by_kind = tried.missing, wanted
    settling = _Settling(cut_list, cutter, shortage, reporter, by_kind=by_kind)
    settling.share_out()
    return settling


def _are_unlike(cut_list: CutList) -> bool:
    """Whether some shape's rest may come from fabrics that give more shapes and from some that give fewer."""
    kinds: dict[str, set[int]] = {}
    for demand in cut_list.demands:
        for shape, count in demand.counts:
            if count is Share.REST:
                kinds.setdefault(shape, set()).add(_kinds(demand.counts))
    return any(len(numbers) > 1 for numbers in kinds.values())


def _kinds(counts: Sequence[tuple[str, int | Share]]) -> int:
    """Of how many shapes a fabric may give the rest."""
    return sum(count is Share.REST for _, count in counts)


class _Settling:
    """One job on its way to being settled; `numbers` grow by the shares of the rest.

    A shape's rest is shared evenly, or, `by_kind`, first among the fabrics that give fewest shapes, so that
    what can give another shape is kept for it.
    """

    def __init__(
        self,
        cut_list: CutList,
        cutter: FabricCutter,
        shortage: Shortage,
        reporter: ProgressReporter,
        *,
        by_kind: bool = False,
    ) -> None:
        self.cut_list, self.cutter, self.shortage = cut_list, cutter, shortage
        self.by_kind = by_kind
        self.kinds = {demand.fabric.name: _kinds(demand.counts) for demand in cut_list.demands}
        self.fabrics = [demand.fabric for demand in cut_list.demands]
        self.numbers: Asked = {
            demand.fabric.name: {
                shape: count + demand.fabric.purchase.spare
                for shape, count in demand.counts
                if not isinstance(count, Share)
            }
            for demand in cut_list.demands
        }
        self.fills: Asked = {
            demand.fabric.name: {shape: ALL for shape, count in demand.counts if count is Share.FILL}
            for demand in cut_list.demands
        }
        self.limited: dict[str, set[str]] = {name: set(fills) for name, fills in self.fills.items()}
        self.reporter = reporter
        self.shortages: list[str] = []  # a line each
        self.missing = 0  # pieces that are short of the rest
        self.lacking: Asked = {}  # what fabrics would have to give that are proposed for a rest that is short
        self.short: set[str] = set()  # fabrics that can't give their own numbers

    def share_out(self) -> None:
        """Add to each fabric's numbers its share of the rest, and note what is short."""
        self.cutter.solve_ahead([(fabric, self.numbers[fabric.name]) for fabric in self.fabrics])
        for fabric in self.fabrics:
            self.reporter.begin(fabric.name)
            self._check_numbers(fabric)
        for shape, need in self._in_order():
            self._share_rest(shape, need)

    def cut_all(self) -> tuple[Settled, ...]:
        """Return all fabrics cut for their numbers, and note those that a roll can't give."""
        settled = []
        self.cutter.solve_ahead([(fabric, self._asked(fabric)) for fabric in self.fabrics])
        for fabric in self.fabrics:
            cut = self._cut(fabric)
            self.reporter.settle(fabric.name, sum(cut.given.values()))
            self._check_length(fabric, cut)
            as_large = self.cutter.as_large_as_cut(fabric, cut)
            settled.append(Settled(as_large, cut, frozenset(self.limited[fabric.name])))
        return tuple(settled)

    def raise_shortages(self) -> None:
        """Raise UnmetError with a line for every shortage, so that all is bought at once."""
        if self.shortages:
            raise UnmetError("\n".join(self.shortages))

    def _cut(self, fabric: FabricSpec) -> FabricCut:
        self.reporter.begin(fabric.name)
        if fabric.pieces_as_needed:
            return self.cutter.on_fewest_pieces(fabric, self._asked(fabric))
        return self.cutter.cut(fabric, self._asked(fabric))

    def _asked(self, fabric: FabricSpec) -> dict[str, int]:
        return {**self.fills[fabric.name], **self.numbers[fabric.name]}

    def _in_order(self) -> list[tuple[str, int]]:
        """Large shapes first; what some fabric fills comes last, as others' rest still takes its room."""
        filled = {shape for fills in self.fills.values() for shape in fills}
        return sorted(
            self.cut_list.needs,
            key=lambda need: (need[0] in filled, -area(self.cut_list.shape(need[0]).cut)),
        )

    def _check_numbers(self, fabric: FabricSpec) -> None:
        numbers = self.numbers[fabric.name]
        if fabric.is_open:
            for shape in numbers:
                if not self.cutter.takes(fabric, shape):
                    self._falls_short(fabric, self.shortage.of_room(fabric, shape))
            return
        given = self.cutter.cut(fabric, numbers).given
        self.reporter.note_capacity(fabric.name, sum(given.values()))
        for shape, count in numbers.items():
            if given[shape] < count:
                self._falls_short(fabric, self.shortage.of_number(fabric, numbers, shape))

    def _falls_short(self, fabric: FabricSpec, message: str) -> None:
        self.shortages.append(message)
        self.short.add(fabric.name)

    def _check_length(self, fabric: FabricSpec, cut: FabricCut) -> None:
        """Fabric that is as long or as many as needed has no bound of its own, but rolls and stacks have."""
        for shape, count in self.numbers[fabric.name].items() if fabric.is_open else ():
            if cut.given[shape] < count:
                self.shortages.append(self.shortage.of_most(fabric, shape, count, cut.given[shape]))

    def _share_rest(self, shape: str, need: int) -> None:
        offers = [demand.fabric for demand in self.cut_list.demands if (shape, Share.REST) in demand.counts]
        if not offers:
            return
        given: Counter[str] = Counter()
        for fabric in self.fabrics:
            # What a fabric is short of its number will be found for it: it is no part of the rest.
            numbers = self.numbers[fabric.name]
            as_asked = fabric.is_open or fabric.name in self.short
            given.update(numbers if as_asked else self._cut(fabric).given)
            # What is cut to spare must not stand in for what is needed.
            given.subtract({shape: fabric.purchase.spare} if shape in numbers else ())
        rest = need - given[shape]
        if rest <= 0:
            return
        if all(fabric.is_open and not self.cutter.takes(fabric, shape) for fabric in offers):
            self.shortages.append(self.shortage.of_room(offers[0], shape))
            return
        capacities = self._capacities(rest, shape, offers)
        if sum(capacities) < rest:
            self._stretch(capacities, rest, offers, shape)
        while True:
            if sum(capacities) < rest:
                self._rest_falls_short(shape, rest - sum(capacities), offers, capacities)
                return
            shares = self._shared(rest, shape, offers, capacities)
            tight = [
                index for index, fabric in enumerate(offers) if not self._gives(fabric, shape, shares[index])
            ]
            if not tight:
                break
            # Mixtures are searched, not solved: now and then fewer of one crowd out another.
            for index in tight:
                capacities[index] = shares[index] - 1
        even = even_shares(rest, capacities)
        for fabric, share, fair, capacity in zip(offers, shares, even, capacities, strict=True):
            if share:
                self.numbers[fabric.name][shape] = share + fabric.purchase.spare
            # Where the fair share is less, the capacity may be one found quickly.
            if share == fair == capacity and not fabric.is_open:
                self.limited[fabric.name].add(shape)

    def _rest_falls_short(
        self, shape: str, missing: int, fabrics: list[FabricSpec], capacities: list[int]
    ) -> None:
        offers = [
            Offer(fabric, capacity, self.numbers[fabric.name], self.lacking.get(fabric.name, {}))
            for fabric, capacity in zip(fabrics, capacities, strict=True)
        ]
        self.missing += missing
        self.shortages.append(self.shortage.of_rest(shape, missing, offers))
        giver = richest(offers)
        lacking = self.lacking.setdefault(giver.fabric.name, {})
        lacking[shape] = giver.count + missing + giver.fabric.purchase.spare

    def _capacities(self, rest: int, shape: str, offers: list[FabricSpec]) -> list[int]:
        """How many each fabric can give; where that is far above its share, a number found quickly does.

        Of a mixture no more than the rest is searched for: what gives that has a capacity of one more.
        """
        mixed = [fabric for fabric in offers if self.numbers[fabric.name] and not fabric.is_open]
        self.cutter.solve_ahead([(fabric, self._asked_beside(fabric, shape, rest)) for fabric in mixed])
        capacities = [
            rest * self.cutter.takes(fabric, shape)
            if fabric.is_open
            else self._capacity_beside(fabric, shape, rest)
            if self.numbers[fabric.name]
            else max(0, self.cutter.at_least(fabric, shape) - fabric.purchase.spare)
            for fabric in offers
        ]
        quick = [not (fabric.is_open or self.numbers[fabric.name]) for fabric in offers]
        while True:
            shares = even_shares(rest, capacities)
            short = sum(shares) < rest
            tight = [i for i, share in enumerate(shares) if quick[i] and (short or share == capacities[i])]
            if not tight:
                return capacities
            self.cutter.solve_ahead([(offers[index], {shape: ALL}) for index in tight])
            for index in tight:
                quick[index] = False
                capacities[index] = self._capacity(offers[index], {shape: ALL}, shape)

    def _capacity_beside(self, fabric: FabricSpec, shape: str, rest: int) -> int:
        """How many a fabric gives beside its numbers, counted up to one above the rest."""
        asked = self._asked_beside(fabric, shape, rest)
        capacity = self._capacity(fabric, asked, shape)
        return rest + 1 if capacity >= rest else capacity

    def _capacity(self, fabric: FabricSpec, asked: Mapping[str, int], shape: str) -> int:
        self.reporter.begin(fabric.name)
        given = self.cutter.cut(fabric, asked).given
        self.reporter.note_capacity(fabric.name, sum(given.values()))
        return max(0, given[shape] - fabric.purchase.spare)

    def _asked_beside(self, fabric: FabricSpec, shape: str, count: int) -> dict[str, int]:
        """A number of a shape beside the others; what only fills must not stand in the way of a need."""
        return {**self.numbers[fabric.name], shape: count + fabric.purchase.spare}

    def _stretch(self, capacities: list[int], rest: int, offers: list[FabricSpec], shape: str) -> None:
        """Raise one capacity if its fabric gives what is short after all.

        Asked for all it holds a mixture may come out with fewer than asked for a number.
        """
        for index, fabric in enumerate(offers):
            enough = capacities[index] + rest - sum(capacities)
            if self._gives(fabric, shape, enough):
                capacities[index] = enough
                return

    def _gives(self, fabric: FabricSpec, shape: str, share: int) -> bool:
        if not share:
            return True
        if fabric.is_open:
            return self.cutter.takes(fabric, shape)
        asked = {**self.numbers[fabric.name], shape: share + fabric.purchase.spare}
        given = self.cutter.cut(fabric, {**self.fills[fabric.name], **asked}).given
        return all(given[wanted] >= count for wanted, count in asked.items())

    def _shared(
        self, rest: int, shape: str, offers: list[FabricSpec], capacities: list[int]
    ) -> tuple[int, ...]:
        if self.by_kind:
            return self._shared_by_kind(rest, offers, capacities)
        shares = even_shares(rest, capacities)
        # A piece's yield is only known where the fabric gives nothing else; off the roll there is none.
        yields = [
            1
            if fabric.as_needed or self.numbers[fabric.name] or self.fills[fabric.name]
            else self.cutter.cut(replace(fabric, pieces=1), {shape: ALL}).given[shape]
            if fabric.pieces_as_needed and capacity
            else max(1, capacity // fabric.pieces)
            for fabric, capacity in zip(offers, capacities, strict=True)
        ]
        # A piece that is opened for spare ones is open for the others.
        spares = [fabric.purchase.spare if share else 0 for fabric, share in zip(offers, shares, strict=True)]
        whole = in_whole_pieces(_sums(shares, spares), _sums(capacities, spares), yields)
        moved = tuple(count - spare for count, spare in zip(whole, spares, strict=True))
        return moved if min(moved) >= 0 else shares

    def _shared_by_kind(self, rest: int, offers: list[FabricSpec], capacities: list[int]) -> tuple[int, ...]:
        kinds = [self.kinds[fabric.name] for fabric in offers]
        shares = [0] * len(offers)
        for number in sorted(set(kinds)):
            alike = [index for index, kind in enumerate(kinds) if kind == number]
            of_these = [capacities[index] for index in alike]
            given = even_shares(min(rest, sum(of_these)), of_these)
            for index, share in zip(alike, given, strict=True):
                shares[index] = share
            rest -= sum(given)
        return tuple(shares)


def _sums(counts: Sequence[int], more: Sequence[int]) -> list[int]:
    return [count + extra for count, extra in zip(counts, more, strict=True)]
