"""Fabric on mats: rectangles of several fabrics share loads, as few as found. A quarter turn is free.

Several orders and rules are tried, then what lies on the emptiest load is laid first, again and again: what
found no good place before comes before the rest (squeaky wheel optimisation: D. E. Joslin and D. P. Clements
1999). It stops by counted work, or when no fewer loads can do.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from cutfiles.nest.cutting_rules.reach import Reach, Rect
from cutfiles.nest.mat_loads.bound import fewest_loads
from cutfiles.nest.mat_loads.free_space import CornerRule, FreeSpace, Score, fullest, lowest, tightest

# Fabric is laid by hand: neighbours never touch, even where the gap is 0.
LEAST_SPACING_MM = 1.0
# Free rectangles that are looked at in all: a second's worth.
_MOST_COMPARISONS = 3_000_000
_MOST_TRIED = 20_000
_MOST_ROUNDS = 200


@dataclass(frozen=True, slots=True)
class LoadPosition:
    """Where a rectangle of fabric lies: on which load, counted from 0, and how."""

    load: int
    x_mm: float
    y_mm: float
    turn_deg: float  # 0 or 90


@dataclass(frozen=True, slots=True)
class Spreads:
    """A place for each rectangle, and a number of loads that no packing of them can pass below."""

    places: tuple[LoadPosition, ...]
    at_least: int

    @property
    def loads(self) -> int:
        """How many loads there are."""
        return max((spread.load for spread in self.places), default=-1) + 1


def on_loads(
    sizes: Sequence[tuple[float, float]], reach: Reach, *, gap_mm: float, names: Sequence[str] = ()
) -> Spreads:
    """Return a place for each rectangle (width, length), in their order.

    Of packings on as few loads the one is taken that has least changes of fabric: every load has few
    fabrics, and they come in the order of the job.

    Args:
        sizes: each fits the empty mat, turned or not.
        reach: what can be used of the mat.
        gap_mm: least distance between cut lines; fabrics lie at least that far apart.
        names: whose piece each is; left out, they are all of one fabric.
    """
    spacing = max(gap_mm, LEAST_SPACING_MM)
    # Everything is grown by the spacing to the right and up, free space too: at the edge of the reach
    # and at the marks none is owed.
    empty = [
        Rect(rect.x_mm, rect.y_mm, rect.width_mm + spacing, rect.height_mm + spacing) for rect in reach.free
    ]
    grown = [(width + spacing, length + spacing) for width, length in sizes]
    at_least = fewest_loads(grown, empty)
    owners = list(names) or [""] * len(sizes)
    positions = _Loading(grown, empty, owners).searched(at_least)
    return Spreads(positions, at_least)


class _Loading:
    """One set of rectangles, packed in many ways."""

    def __init__(self, sizes: list[tuple[float, float]], empty: list[Rect], owners: list[str]) -> None:
        self._sizes, self._empty, self._owners = sizes, empty, owners
        first = {name: item for item, name in reversed(list(enumerate(owners)))}
        self._ranks = [first[name] for name in owners]  # of the fabrics, in the order of the job
        self._comparisons = 0

    def searched(self, at_least: int) -> tuple[LoadPosition, ...]:
        """Return the best packing found."""
        as_given = list(range(len(self._sizes)))
        by_area = sorted(as_given, key=lambda i: -self._area(i))
        by_side = sorted(as_given, key=lambda i: (-max(self._sizes[i]), -min(self._sizes[i])))
        by_short = sorted(as_given, key=lambda i: (-min(self._sizes[i]), -max(self._sizes[i])))
        best = self._packed(as_given, lowest)
        for order, rule in product((as_given, by_side, by_area, by_short), (lowest, tightest, fullest)):
            if self._comparisons > _MOST_COMPARISONS:
                break
            best = min(best, self._packed(order, rule), key=self._rank)
        # Every size that is left is tried at every step: with hundreds of sizes that would take minutes.
        if _loads(best) > at_least and len(set(self._sizes)) * len(self._sizes) <= _MOST_TRIED:
            best = min([best, *(self._filled(rule) for rule in (tightest, fullest, lowest))], key=self._rank)
        if _loads(best) > at_least:
            best = self._improved(best, at_least)
        return best

    def _rank(self, places: tuple[LoadPosition, ...]) -> tuple[int, int]:
        """Loads, then fabrics on loads."""
        changes = {(place.load, owner) for place, owner in zip(places, self._owners, strict=True)}
        return _loads(places), len(changes)

    def _area(self, item: int) -> float:
        return round(self._sizes[item][0] * self._sizes[item][1], 6)

    def _improved(self, best: tuple[LoadPosition, ...], at_least: int) -> tuple[LoadPosition, ...]:
        """A packing on fewer loads, if that is found; else the one given."""
        dice = random.Random(0)
        order = sorted(range(len(self._sizes)), key=lambda i: -self._area(i))
        rules = (tightest, lowest, fullest)
        for step in range(_MOST_ROUNDS):
            if self._comparisons > _MOST_COMPARISONS or _loads(best) <= at_least:
                break
            trial = self._packed(order, rules[step % len(rules)])
            if _loads(trial) < _loads(best):
                best = trial
            emptiest = self._emptiest(trial)
            late = [item for item in order if trial[item].load == emptiest]
            order = late + [item for item in order if trial[item].load != emptiest]
            # Otherwise the same two orders would take turns for ever.
            first, second = dice.randrange(len(order)), dice.randrange(len(order))
            order[first], order[second] = order[second], order[first]
        return best

    def _emptiest(self, places: tuple[LoadPosition, ...]) -> int:
        covered = [0.0] * _loads(places)
        for item, place in enumerate(places):
            covered[place.load] += self._area(item)
        return min(range(len(covered)), key=lambda load: (round(covered[load], 3), -load))

    def _packed(self, order: Sequence[int], rule: CornerRule) -> tuple[LoadPosition, ...]:
        """Each rectangle in turn on the first load that has room for it."""
        mats: list[FreeSpace] = []
        placed: dict[int, LoadPosition] = {}
        # A rectangle that found no room finds none later, nor does another of its size.
        refused: dict[tuple[float, float], int] = {}
        for item in order:
            size = self._sizes[item]
            load = refused.get(size, 0)
            while True:
                if load == len(mats):
                    mats.append(FreeSpace(self._empty))
                candidate = _best(mats[load], size, rule)
                if candidate is not None:
                    break
                load += 1
            refused[size] = load
            _, place, turn = candidate
            mats[load].take(place)
            placed[item] = LoadPosition(load, place.x_mm, place.y_mm, turn)
        self._comparisons += sum(mat.comparisons for mat in mats)
        return self._in_job_order(placed)

    def _filled(self, rule: CornerRule) -> tuple[LoadPosition, ...]:
        """Load after load is filled with whatever fits best, large ones where that is equal."""
        left: dict[tuple[float, float], list[int]] = {}
        for item in reversed(range(len(self._sizes))):
            left.setdefault(self._sizes[item], []).append(item)
        placed: dict[int, LoadPosition] = {}
        load = 0
        while left:
            mat = FreeSpace(self._empty)
            # What found no room on this load finds none on it later.
            open_ = sorted(left, key=lambda size: (-size[0] * size[1], size))
            while open_:
                candidates = [(size, _best(mat, size, rule)) for size in open_]
                fits = [(best[0], size, best) for size, best in candidates if best is not None]
                open_ = [size for _, size, _ in fits]
                if not fits:
                    break
                _, size, (_, place, turn) = min(fits, key=lambda fit: fit[0])
                mat.take(place)
                placed[left[size].pop()] = LoadPosition(load, place.x_mm, place.y_mm, turn)
                if not left[size]:
                    del left[size]
                    open_.remove(size)
            self._comparisons += mat.comparisons
            load += 1
        return self._in_job_order(placed)

    def _in_job_order(self, placed: dict[int, LoadPosition]) -> tuple[LoadPosition, ...]:
        """The same packing, the job's first pieces on the first load as far as equals can be exchanged."""
        firsts: dict[int, int] = {}
        for item, place in sorted(placed.items()):
            firsts.setdefault(place.load, item)
        number = {load: rank for rank, load in enumerate(sorted(firsts, key=lambda load: firsts[load]))}
        alike: dict[tuple[float, float], list[int]] = {}
        for item in sorted(placed, key=lambda item: (self._ranks[item], item)):
            alike.setdefault(self._sizes[item], []).append(item)
        ordered: dict[int, LoadPosition] = {}
        for items in alike.values():
            places = sorted((placed[item] for item in items), key=lambda place: _order(place, number))
            for item, place in zip(items, places, strict=True):
                ordered[item] = LoadPosition(number[place.load], place.x_mm, place.y_mm, place.turn_deg)
        return tuple(ordered[item] for item in range(len(self._sizes)))


def _order(place: LoadPosition, number: dict[int, int]) -> tuple[int, float, float]:
    return (number[place.load], round(place.y_mm, 6), round(place.x_mm, 6))


def _loads(places: tuple[LoadPosition, ...]) -> int:
    return max((place.load for place in places), default=-1) + 1


def _best(space: FreeSpace, size: tuple[float, float], rule: CornerRule) -> tuple[Score, Rect, float] | None:
    """The best place by a rule, with its score and turn; as it lies rather than turned."""
    width, length = size
    best: tuple[Score, Rect, float] | None = None
    for turn, across, up in ((0.0, width, length), (90.0, length, width)):
        place = space.best(across, up, rule)
        if place is not None and (best is None or place[0] < best[0]):
            best = (*place, turn)
    return best
