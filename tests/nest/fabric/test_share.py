"""How the rest is shared among fabrics."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.nest.fabric.share import even_shares, in_whole_pieces

counts = st.lists(st.integers(0, 30), min_size=1, max_size=5)


@given(need=st.integers(0, 80), capacities=counts)
@example(need=32, capacities=[6, 14, 13])
def test_even_shares_give_all_there_is_as_evenly_as_they_can(need: int, capacities: list[int]) -> None:
    """The sum is what is needed or all there is; who gives less than another by two gives all it has."""
    shares = even_shares(need, capacities)
    assert sum(shares) == min(need, sum(capacities))
    assert all(0 <= share <= capacity for share, capacity in zip(shares, capacities, strict=True))
    for share, capacity in zip(shares, capacities, strict=True):
        assert share >= max(shares) - 1 or share == capacity


@given(need=st.integers(0, 80), capacities=counts, yields=st.lists(st.integers(1, 4), min_size=5, max_size=5))
def test_shares_in_whole_pieces_open_no_more_pieces(
    need: int, capacities: list[int], yields: list[int]
) -> None:
    """Nobody gives more than it can, the sum stays, and no more fabric pieces are cut into."""
    shares = even_shares(need, capacities)
    each = yields[: len(capacities)]
    moved = in_whole_pieces(shares, capacities, each)
    assert sum(moved) == sum(shares)
    assert all(0 <= share <= capacity for share, capacity in zip(moved, capacities, strict=True))
    opened = [
        sum(-(-n // a_piece) for n, a_piece in zip(some, each, strict=True)) for some in (shares, moved)
    ]
    assert opened[1] <= opened[0]
