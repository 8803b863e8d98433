"""Which fabric stands where round a plate."""

from __future__ import annotations

from collections import Counter
from itertools import permutations

import networkx as nx
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.plate.order import alike, crowds, dealt, most_apart, spread, spread_in_turn

_NAMES = ("tide", "shingle", "samphire", "lantern", "driftwood", "sailcloth")


@st.composite
def _counts(draw: st.DrawFn, most: int = 24) -> dict[str, int]:
    counts = draw(st.lists(st.integers(1, 12), min_size=1, max_size=6))
    named = dict(zip(_NAMES, counts, strict=False))
    while sum(named.values()) > most:
        named.popitem()
    return named or {"tide": 3}


def _is_proper(order: tuple[str, ...], *, ring: bool) -> bool:
    """Whether it colours the cycle, or the path, of so many vertices: networkx's edges, not our pairs."""
    graph = nx.cycle_graph(len(order)) if ring else nx.path_graph(len(order))
    return all(order[first] != order[second] for first, second in graph.edges if first != second)


@given(counts=_counts(), ring=st.booleans())
@example(counts={"tide": 8, "shingle": 6, "samphire": 4, "lantern": 2}, ring=True)
@example(counts={"tide": 8, "shingle": 7}, ring=True)
@example(counts={"tide": 3, "shingle": 2}, ring=True)
@example(counts={"tide": 3, "shingle": 2}, ring=False)
def test_neighbours_are_alike_only_where_the_counts_ask_it(counts: dict[str, int], ring: bool) -> None:
    """Possible just where no fabric has more than half of the places."""
    (order,) = spread(counts, 1, ring=ring)
    assert Counter(order) == counts
    places = sum(counts.values())
    if places < 3:
        return
    half = places // 2 if ring else -(-places // 2)
    possible = max(counts.values()) <= half
    assert _is_proper(order, ring=ring) is possible
    assert bool(crowds(counts, ring=ring)) is not possible


@pytest.mark.parametrize("places", range(3, 8))
@pytest.mark.parametrize("ring", [True, False])
def test_what_is_called_impossible_is(places: int, ring: bool) -> None:
    """By trying every order of every two and three fabrics on a few places."""
    for first in range(1, places):
        for second in range(1, places - first + 1):
            counts = {"tide": first, "shingle": second, "samphire": places - first - second}
            counts = {name: count for name, count in counts.items() if count}
            blades = [name for name, count in counts.items() for _ in range(count)]
            exists = any(_is_proper(order, ring=ring) for order in set(permutations(blades)))
            assert exists is not bool(crowds(counts, ring=ring)), counts


@pytest.mark.parametrize("places", range(3, 13))
def test_as_many_keep_apart_as_are_independent_in_the_graph(places: int) -> None:
    """The largest independent set of the cycle and of the path, as networkx finds it."""
    for ring, graph in ((True, nx.cycle_graph(places)), (False, nx.path_graph(places))):
        clique, _ = nx.max_weight_clique(nx.complement(graph), weight=None)
        assert most_apart(places, ring=ring) == len(clique)


def test_neighbours_alike_are_counted() -> None:
    """As few as can be where one fabric has too many blades: seven of eight and seven."""
    (order,) = spread({"tide": 8, "shingle": 7}, 1, ring=True)
    assert alike(order, ring=True) == 1
    assert [crowd.most for crowd in crowds({"tide": 8, "shingle": 7}, ring=True)] == [7]


@given(counts=_counts(most=40), plates=st.integers(1, 5))
def test_every_plate_gets_as_many_blades_and_a_fair_share(counts: dict[str, int], plates: int) -> None:
    """No plate has two of a fabric more than another."""
    total = sum(counts.values())
    counts = {**counts, "tide": counts.get("tide", 0) + -total % plates}
    hands = dealt(counts, plates)
    assert {sum(hand.values()) for hand in hands} == {sum(counts.values()) // plates}
    for fabric, count in counts.items():
        shares = [hand.get(fabric, 0) for hand in hands]
        assert sum(shares) == count
        assert max(shares) - min(shares) <= 1


def test_a_fabric_is_spread_evenly() -> None:
    """Five of twenty stand four apart where the others leave room for it."""
    (order,) = spread(dict.fromkeys(_NAMES[:4], 5), 1, ring=True)
    for name in _NAMES[:4]:
        places = [place for place, fabric in enumerate(order) if fabric == name]
        gaps = {(after - before) % 20 for before, after in zip(places, [*places[1:], places[0]], strict=True)}
        assert gaps == {4}, order


def test_plates_of_one_job_are_unlike_and_always_the_same() -> None:
    """However one turns them; asked again, the answer is the same."""
    counts = {"tide": 24, "shingle": 18, "samphire": 12, "lantern": 6}
    plates = spread(counts, 3, ring=True)
    assert plates == spread(counts, 3, ring=True)
    turned = [{order[start:] + order[:start] for start in range(20)} for order in plates]
    assert not turned[0] & turned[1]
    assert not turned[1] & turned[2]
    assert not turned[0] & turned[2]


@given(counts=_counts(most=12), plates=st.integers(2, 4), ring=st.booleans())
@example(counts={"tide": 10, "shingle": 10}, plates=3, ring=True)
@example(counts={"tide": 2, "shingle": 1}, plates=4, ring=False)
def test_plates_come_alike_sooner_than_neighbours(counts: dict[str, int], plates: int, ring: bool) -> None:
    """In each of several plates of one hand, as in a plate by itself."""
    places = sum(counts.values())
    if places < 3 or max(counts.values()) > (places // 2 if ring else -(-places // 2)):
        return
    of_all = {fabric: count * plates for fabric, count in counts.items()}
    assert all(_is_proper(order, ring=ring) for order in spread(of_all, plates, ring=ring))


@st.composite
def _two_lengths(draw: st.DrawFn) -> tuple[dict[str, int], dict[str, int]]:
    places = draw(st.integers(2, 4))
    long, short = (
        draw(st.lists(st.sampled_from(_NAMES[:4]), min_size=places, max_size=places)) for _ in range(2)
    )
    return dict(Counter(long)), dict(Counter(short))


@given(lengths=_two_lengths(), ring=st.booleans())
@example(
    lengths=({"tide": 2, "shingle": 1, "samphire": 1}, {"tide": 2, "shingle": 1, "lantern": 1}), ring=True
)
def test_two_lengths_in_turn_keep_apart_what_can_be(
    lengths: tuple[dict[str, int], dict[str, int]], ring: bool
) -> None:
    """As few neighbours alike as any order of the long and any of the short blades has."""
    (order,) = spread_in_turn(*lengths, 1, ring=ring)
    assert (Counter(order[::2]), Counter(order[1::2])) == lengths
    long, short = (
        {*permutations([name for name, count in each.items() for _ in range(count)])} for each in lengths
    )
    places = len(order)
    pairs = [(place, (place + 1) % places) for place in range(places if ring else places - 1)]
    fewest = min(
        sum(both[first] == both[second] for first, second in pairs)
        for some in long
        for others in short
        if (both := [name for pair in zip(some, others, strict=True) for name in pair])
    )
    assert sum(order[first] == order[second] for first, second in pairs) == fewest


def test_very_many_plates_come_again_instead_of_being_searched() -> None:
    """The first 24 of a hand are repeated in their order; each has its hand all the same."""
    counts = {"tide": 300, "shingle": 240, "samphire": 60}
    plates = spread(counts, 60, ring=True)
    assert {tuple(sorted(Counter(order).items())) for order in plates} == {
        (("samphire", 1), ("shingle", 4), ("tide", 5))
    }
    assert len(set(plates)) > 1
    assert plates[24:48] == plates[:24]
