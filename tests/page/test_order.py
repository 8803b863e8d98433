"""The picture of a plate that isn't laid out yet: as many blades of each fabric as its job says."""

from __future__ import annotations

from collections import Counter

import pytest

from cutfiles.core.units import Unit
from cutfiles.job.parse.read import parse_job
from cutfiles.job.starter import starter
from cutfiles.page.pictures import order_of
from cutfiles.pipeline import size


def _job(cuts: dict[str, int | str], *, plates: int = 1) -> str:
    fabrics = "".join(
        f'\n[[fabric]]\nname = "{name}"\nwidth = 10\nlength = 10\n'
        f"cuts = {{ blade = {count if isinstance(count, int) else repr(count)} }}\n"
        for name, count in cuts.items()
    )
    return f"[plate]\ncount = {plates}\nblade_length = 4.75\ninner_radius = 1.25\n{fabrics}"


def test_the_plate_that_the_page_opens_with_is_half_of_each() -> None:
    """Ten blades are asked for of one, whatever cloth there is of the other; none lies beside its like."""
    order = order_of(size(parse_job(starter(Unit.IN))))
    assert Counter(order) == {"tide": 10, "shingle": 10}
    assert all(one != other for one, other in zip(order, (*order[1:], order[0]), strict=True))


@pytest.mark.parametrize(
    ("cuts", "plates", "expected"),
    [
        ({"tide": 6, "shingle": "rest"}, 1, {"tide": 6, "shingle": 14}),
        ({"tide": 6, "shingle": "rest", "lantern": "fill"}, 3, {"tide": 2, "shingle": 9, "lantern": 9}),
        ({"tide": 30, "shingle": 10}, 2, {"tide": 15, "shingle": 5}),
        ({"tide": 30, "shingle": 10, "lantern": "rest"}, 1, {"tide": 15, "shingle": 5}),
        ({"tide": 5, "shingle": 5}, 1, {"tide": 10, "shingle": 10}),
        ({"tide": "rest", "shingle": "rest", "lantern": "rest"}, 1, {"tide": 7, "shingle": 7, "lantern": 6}),
    ],
)
def test_a_plate_has_its_share_of_what_is_asked_for(
    cuts: dict[str, int | str], plates: int, expected: dict[str, int]
) -> None:
    """The cloth of others gives what is left; more or fewer than a plate takes are kept in proportion."""
    assert Counter(order_of(size(parse_job(_job(cuts, plates=plates))))) == expected
