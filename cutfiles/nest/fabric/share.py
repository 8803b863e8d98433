"""How "rest" is shared: evenly among the fabrics that offer it, as far as each can give."""

from __future__ import annotations

from collections.abc import Sequence


def even_shares(need: int, capacities: Sequence[int]) -> tuple[int, ...]:
    """Return how many each gives, no more than its capacity; the first ones give what doesn't divide.

    The sum is `need`, or all there is.

    >>> even_shares(20, (10, 3, 100)), even_shares(9, (2, 3))
    ((9, 3, 8), (2, 3))
    """
    shares = [0] * len(capacities)
    left = min(need, sum(capacities))
    while left:
        open_ = [index for index, capacity in enumerate(capacities) if shares[index] < capacity]
        each, extra = divmod(left, len(open_))
        for rank, index in enumerate(open_):
            # What doesn't divide goes last: earlier it would be handed out again in every round.
            more = min(each or int(rank < extra), capacities[index] - shares[index])
            shares[index] += more
            left -= more
    return tuple(shares)


def in_whole_pieces(
    shares: Sequence[int], capacities: Sequence[int], yields: Sequence[int]
) -> tuple[int, ...]:
    """Return shares moved so that fewer fabric pieces are opened, where that is possible.

    A fabric's last piece is often part used; what another fabric takes from its own last piece can be
    cut there instead, and that piece stays whole.

    Args:
        shares: how many each gives.
        capacities: how many each could give.
        yields: how many one piece of each gives, 1 or more.

    >>> in_whole_pieces((7, 7, 6), (20, 20, 20), (2, 2, 2))
    (8, 6, 6)
    """
    moved = list(shares)
    for giver in sorted(range(len(moved)), key=lambda i: (moved[i] % yields[i] or yields[i], -i)):
        last = moved[giver] % yields[giver]
        spare = [
            0
            if index == giver or not moved[index]
            else min(-moved[index] % yields[index], capacities[index] - moved[index])
            for index in range(len(moved))
        ]
        if not last or sum(spare) < last or last == moved[giver]:
            continue  # nothing part used, no room elsewhere, or the fabric would not be in the plate at all
        for index, room in enumerate(spare):
            more = min(room, last)
            moved[index] += more
            moved[giver] -= more
            last -= more
    return tuple(moved)
