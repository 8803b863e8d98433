"""Which fabric stands where round a plate: no two neighbours alike where that can be, each spread evenly.

In: how many blades each fabric gives. Out: for each plate the fabrics of its blades in the order in which
they are sewn. No clock and no chance: the same counts always give the same order.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from random import Random

Order = tuple[str, ...]

# Starts of the search for an even spread, and rounds of exchanges from each.
_STARTS = 6
_ROUNDS = 6
# Plates that are searched each for itself: a thousand would take minutes, and nobody sees them side by side.
_MOST_UNLIKE = 24
# What neighbours alike weigh. An exchange moves two fabrics, and the squared gaps of one sum up to 60² at
# most, so that no better spread pays for a pair of neighbours alike.
_ALIKE = 10_000


@dataclass(frozen=True, slots=True)
class Crowd:
    """A fabric with so many blades in a plate that two of them must stand side by side."""

    fabric: str
    blades: int
    most: int  # of which no two need to


def most_apart(places: int, *, ring: bool) -> int:
    """Return how many of so many places hold one fabric with no two of them side by side.

    Args:
        places: of blades, 1 or more.
        ring: whether the last stands beside the first.

    Source: a largest independent set of a cycle has ⌊n/2⌋ vertices, one of a path ⌈n/2⌉.

    >>> most_apart(20, ring=True), most_apart(5, ring=True), most_apart(5, ring=False)
    (10, 2, 3)
    """
    return max(1, places // 2) if ring else (places + 1) // 2


def crowds(counts: Mapping[str, int], *, ring: bool) -> tuple[Crowd, ...]:
    """Return the fabrics that can't keep apart; none where an order without like neighbours exists.

    With two fabrics and an odd number of blades in a ring one of them is always over the half.
    """
    places = sum(counts.values())
    most = most_apart(places, ring=ring)
    return tuple(Crowd(fabric, count, most) for fabric, count in counts.items() if count > most)


def repeated(names: Sequence[str], places: int) -> Order:
    """Return so many places filled with names over and over.

    >>> repeated(("tide", "shingle"), 5)
    ('tide', 'shingle', 'tide', 'shingle', 'tide')
    """
    return tuple(names[place % len(names)] for place in range(places))


def alike(order: Sequence[str], *, ring: bool) -> int:
    """Return how many pairs of neighbours are of one fabric.

    >>> alike(("tide", "tide", "shingle"), ring=True), alike(("tide", "shingle", "tide"), ring=False)
    (1, 0)
    """
    pairs = list(pairwise(order))
    if ring and len(order) > 2:
        pairs.append((order[-1], order[0]))
    return sum(first == second for first, second in pairs)


def dealt(counts: Mapping[str, int], plates: int) -> tuple[dict[str, int], ...]:
    """Return what each plate gets of each fabric: as many blades each, every fabric shared evenly.

    Args:
        counts: blades by fabric, as many in all as the plates have places.
        plates: 1 or more.

    Dealt out like cards, fabric after fabric: no plate gets more than one blade of a fabric beyond another.
    """
    hands: tuple[dict[str, int], ...] = tuple({} for _ in range(plates))
    cards = [fabric for fabric, count in counts.items() for _ in range(count)]
    for number, fabric in enumerate(cards):
        hand = hands[number % plates]
        hand[fabric] = hand.get(fabric, 0) + 1
    return hands


def spread(counts: Mapping[str, int], plates: int, *, ring: bool) -> tuple[Order, ...]:
    """Return an order for each plate, each fabric as evenly spread as was found, plates unlike each other.

    Args:
        counts: blades by fabric, a multiple of `plates` in all.
        plates: 1 or more.
        ring: whether the last blade of a plate is sewn to its first.

    No two neighbours are of one fabric wherever `crowds` of a plate's hand is empty: plates come alike sooner
    than that, as two fabrics in equal parts have one order only. Of very many plates the later ones repeat
    earlier ones.
    """
    return _spread([(hand,) for hand in dealt(counts, plates)], ring=ring)


def spread_in_turn(
    long: Mapping[str, int], short: Mapping[str, int], plates: int, *, ring: bool
) -> tuple[Order, ...]:
    """Return an order for each plate whose every other blade is short, spread like those of `spread`.

    Args:
        long: long blades by fabric, of which a plate has as many as short ones, or one more.
        short: short blades by fabric.
        plates: 1 or more.
        ring: whether the last blade of a plate is sewn to its first.

    Fabrics change places with those of their own length alone, so that even where none has over half of the
    blades some neighbours may have to be alike.
    """
    return _spread(list(zip(dealt(long, plates), dealt(short, plates), strict=True)), ring=ring)


def _spread(hands: Sequence[tuple[Mapping[str, int], ...]], *, ring: bool) -> tuple[Order, ...]:
    """Spread hands of one length or of several in turn."""
    chosen: list[Order] = []
    known: dict[tuple[tuple[tuple[str, int], ...], ...], deque[Order]] = defaultdict(deque)
    for hand in hands:
        others = known[tuple(tuple(each.items()) for each in hand)]
        if others and len(chosen) >= _MOST_UNLIKE:
            chosen.append(others[0])
            others.rotate(-1)
            continue
        orders = _orders(hand, ring=ring, seed=len(chosen))
        fewest = alike(orders[0], ring=ring)  # the best of them has it
        orders = [order for order in orders if alike(order, ring=ring) == fewest]
        fresh = [order for order in orders if not any(_same(order, other, ring=ring) for other in chosen)]
        chosen.append((fresh or orders)[0])
        others.append(chosen[-1])
    return tuple(chosen)


def _orders(hand: Sequence[Mapping[str, int]], *, ring: bool, seed: int) -> list[Order]:
    """Return orders from several starts, the best first."""
    built = [_built(each) for each in hand]
    chance = Random(seed)
    starts = [_in_turn(built)]
    for _ in range(_STARTS * len(hand) ** 2 - 1):
        shuffled = [list(each) for each in built]
        for each in shuffled:
            chance.shuffle(each)
        starts.append(_in_turn(shuffled))
    orders = [_improved(start, ring=ring, step=len(hand)) for start in starts]
    # The seed decides among equals, so that plates of equal hands need not begin alike.
    ranked = sorted(range(len(orders)), key=lambda index: (orders[index][0], (index + seed) % len(orders)))
    return [tuple(orders[index][1]) for index in ranked]


def _in_turn(blades: Sequence[Sequence[str]]) -> list[str]:
    """The first of each kind, the second of each, and so on."""
    places = sum(len(each) for each in blades)
    return [blades[place % len(blades)][place // len(blades)] for place in range(places)]


def _built(hand: Mapping[str, int]) -> list[str]:
    """Fill every other place, the commonest fabric first, then the places between.

    With no fabric over ⌊n/2⌋ no two neighbours are alike: a fabric that goes on between the first ones has
    begun too late to come beside itself. On an open row the commonest begins at the very end.
    """
    places = sum(hand.values())
    blades = [
        fabric for fabric, count in sorted(hand.items(), key=lambda item: -item[1]) for _ in range(count)
    ]
    order = [""] * places
    for place, fabric in zip([*range(0, places, 2), *range(1, places, 2)], blades, strict=True):
        order[place] = fabric
    return order


def _improved(order: list[str], *, ring: bool, step: int) -> tuple[int, list[str]]:
    """Exchange two blades as long as that spreads them better; return what it costs, and the order.

    Those that change places stand a multiple of `step` apart.
    """
    order = list(order)
    places: dict[str, list[int]] = {}
    for place, fabric in enumerate(order):
        places.setdefault(fabric, []).append(place)

    def cost(at: list[int]) -> int:
        return _cost(at, len(order), ring=ring)

    costs = {fabric: cost(at) for fabric, at in places.items()}
    for _ in range(_ROUNDS):
        better = False
        for first, second in combinations(range(len(order)), 2):
            here, there = order[first], order[second]
            if here == there or (second - first) % step:
                continue
            new_here = sorted(second if place == first else place for place in places[here])
            new_there = sorted(first if place == second else place for place in places[there])
            new_costs = cost(new_here), cost(new_there)
            if sum(new_costs) < costs[here] + costs[there]:
                order[first], order[second] = there, here
                places[here], places[there] = new_here, new_there
                costs[here], costs[there] = new_costs
                better = True
        if not better:
            break
    return sum(costs.values()), order


def _cost(at: list[int], places: int, *, ring: bool) -> int:
    """Sum the squared ways from each blade of a fabric to its next: least where they are equal."""
    ways = [after - before for before, after in pairwise(at)]
    round_the_end = at[0] + places - at[-1]
    alike = ways.count(1) + (ring and round_the_end == 1)
    return sum(way * way for way in (*ways, round_the_end)) + alike * _ALIKE


def _same(order: Order, other: Order, *, ring: bool) -> bool:
    """Whether two plates look alike, however they are turned."""
    if not ring or len(order) != len(other):
        return order == other
    doubled = other + other
    return any(doubled[start : start + len(order)] == order for start in range(len(other)))
