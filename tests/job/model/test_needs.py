"""What plates need, and who was told to give it."""

from __future__ import annotations

import pytest

from cutfiles.core.errors import JobError
from cutfiles.job.model.needs import check_supply, cuts_asked, needs
from cutfiles.job.parse.read import parse_job

PLATE = "[plate]\ncount = 3\nsewn = 12\nblade_length = 4\ninner_radius = 1\n[centre]\n"
FABRIC = '[[fabric]]\nname = "tide"\nwidth = 5\nlength = 10\n'


def test_needs_count_sewn_blades_of_every_plate() -> None:
    """A fan needs only what is sewn; every plate has one centre; outlines count for themselves."""
    leaf = '[[outline]]\nname = "leaf"\npoints = [[0, 0], [2, 0], [1, 3]]\ncount = 7\n'
    assert needs(parse_job(PLATE + leaf)) == (("blade", 36), ("centre", 3), ("leaf", 7))


@pytest.mark.parametrize(
    "cuts", ['blade = 36, centre = "rest"', 'blade = "fill", centre = 3', 'blade = 99, centre = "fill"']
)
def test_rest_fill_and_enough_numbers_supply(cuts: str) -> None:
    """A number at least as large as the need does, and so does a word."""
    check_supply(parse_job(f"{PLATE}{FABRIC}cuts = {{ {cuts} }}\n"))


def test_numbers_of_several_fabrics_add_up() -> None:
    """20 and 15 are one short of 36."""
    job = PLATE + FABRIC + "cuts = { blade = 20, centre = 3 }\n"
    job += FABRIC.replace("tide", "kelp") + "cuts = { blade = 15 }\n"
    with pytest.raises(JobError, match="35 of the 36 needed of blade; raise a count by 1"):
        check_supply(parse_job(job))
    check_supply(parse_job(job.replace("15", "16")))


ORDERED = (
    '[plate]\ncount = 2\nblades = 10\nblade_length = 4\ninner_radius = 1\norder = ["tide", "kelp", "kelp"]\n'
    + FABRIC
    + FABRIC.replace("tide", "kelp")
    + FABRIC.replace("tide", "foam")
)


def test_an_order_of_names_says_how_many_blades_each_fabric_gives() -> None:
    """Two plates of tide, kelp, kelp, tide, … tide: 4 and 6 each; foam isn't named and gives none."""
    job = parse_job(ORDERED)
    assert [dict(cuts) for cuts in cuts_asked(job)] == [{"blade": 8}, {"blade": 12}, {}]
    check_supply(job)


def test_a_number_of_its_own_must_do_for_the_order() -> None:
    """More is to spare, fewer is told; without an order of names numbers stand as they are."""
    job = ORDERED.replace('"kelp"\n', '"kelp"\ncuts = { blade = 12 }\n')
    assert dict(cuts_asked(parse_job(job))[1]) == {"blade": 12}
    check_supply(parse_job(job))
    with pytest.raises(JobError, match="asks 12 blades of kelp, which is told to give 11"):
        check_supply(parse_job(job.replace("12", "11")))
    spread = parse_job(job.replace('["tide", "kelp", "kelp"]', '"spread"'))
    assert cuts_asked(spread) == tuple(fabric.cuts for fabric in spread.fabrics)
