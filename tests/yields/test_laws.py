"""Laws that `fit` and `buy` keep with `make`, which searches harder than either."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles import Options, buy, fit, make, parse_job
from cutfiles.core.errors import UnmetError
from cutfiles.core.units import MM_PER_INCH as IN
from cutfiles.job.model.job import Job
from cutfiles.shopping.shopping_list import Pieces, ShoppingList

ALONE = Options(("svg",), processes=1)
# Few blades from small cloth: `make` goes to the end of its search in a second or two.
PLATE = (
    "[plate]\nblades = 20\nsewn = {sewn}\nblade_length = {blade}\ninner_radius = 1.25\n[machine]\ngap = 0\n"
)
CLOTH = (
    '[[fabric]]\nname = "tide"\nwidth = {width}\nlength = {length}\npieces = {pieces}\ngrain = "{grain}"\n'
)


def _with_blade(job: Job, length_mm: float) -> Job:
    return replace(job, plate=replace(job.plate, blade_length_mm=length_mm))


@settings(max_examples=1, deadline=None)
@given(
    width=st.sampled_from([4.5, 5, 6]),
    length=st.sampled_from([4.5, 5, 6]),
    each=st.integers(1, 3),
    pieces=st.integers(1, 2),
    grain=st.sampled_from(["lengthwise", "straight"]),
)
@example(width=6, length=4.5, each=4, pieces=1, grain="lengthwise")
def test_the_longest_blade_is_made_and_a_step_longer_is_not(
    width: float, length: float, each: int, pieces: int, grain: str
) -> None:
    """However many a piece must hold, and though the search of `make` is many times as long."""
    sewn = max(2, each * pieces)
    cloth = CLOTH.format(width=width, length=length, pieces=pieces, grain=grain)
    job = parse_job(PLATE.format(sewn=sewn, blade=4) + cloth)
    largest = fit(job, processes=1).largest
    assert largest is not None
    blades = dict(make(_with_blade(job, largest.blade_length_mm), ALONE).nested.tallies[0].counts)
    assert blades == {"blade": sewn}
    with pytest.raises(UnmetError):
        make(_with_blade(job, largest.blade_length_mm + IN / 16), ALONE)


@settings(max_examples=1, deadline=None)
@given(
    width=st.sampled_from([4.5, 5, 5.5]),
    length=st.sampled_from([5, 6]),
    more=st.sampled_from([0.0, 0.5, 1.0]),
    pieces=st.integers(1, 3),
)
def test_larger_or_more_cloth_never_gives_fewer_plates(
    width: float, length: float, more: float, pieces: int
) -> None:
    """Nor do its pieces hold fewer blades each."""
    answers = []
    for larger, count in ((0.0, pieces), (more, pieces), (more, pieces + 1)):
        cloth = CLOTH.format(width=width + larger, length=length, pieces=count, grain="lengthwise")
        answers.append(fit(parse_job(PLATE.format(sewn=2, blade=4) + cloth), processes=1))
    plates = [answer.whole.plates for answer in answers]
    assert plates == sorted(plates)
    held = [dict(answer.fabrics[0].holds)["blade"] for answer in answers]
    assert held == sorted(held)


def _as_bought(job: Job, shopping: ShoppingList, *, less: int = 0) -> Job:
    (fabric,), (item,) = job.fabrics, shopping.items
    if isinstance(item, Pieces):
        return replace(job, fabrics=(replace(fabric, pieces_as_needed=False, pieces=item.pieces - less),))
    length = fabric.purchase.usable_length_mm(item.buy_mm)
    return replace(job, fabrics=(replace(fabric, as_needed=False, length_mm=length),))


@settings(max_examples=1, deadline=None)
@given(
    blade=st.sampled_from([3, 4, 4.75]),
    sewn=st.integers(3, 8),
    width=st.sampled_from([5, 6, 9, 20]),
    length=st.sampled_from([5, 6]),
    spare=st.integers(0, 2),
    shrink=st.integers(0, 5),
    by_length=st.booleans(),
)
@example(blade=3, sewn=7, width=9, length=5, spare=2, shrink=3, by_length=True)
@example(blade=4, sewn=5, width=5, length=5, spare=0, shrink=0, by_length=False)
def test_what_is_bought_makes_the_job_and_a_piece_less_does_not(  # noqa: PLR0917
    blade: float, sewn: int, width: float, length: float, spare: int, shrink: int, by_length: bool
) -> None:
    """As its pieces or its length, with what shrinks and is to spare; one less fails where that is said."""
    cloth = (
        f'[[fabric]]\nname = "tide"\nwidth = {width}\nspare = {spare}\n'
        f"shrink = {{ width = {shrink}, length = {shrink} }}\n"
    )
    size = 'length = "as needed"\n' if by_length else f'length = {length}\npieces = "as needed"\n'
    job = parse_job(PLATE.format(sewn=sewn, blade=blade) + cloth + size)
    shopping = buy(job, ALONE)
    (item,) = shopping.items
    made = make(_as_bought(job, shopping), ALONE)
    assert dict(made.nested.tallies[0].counts) == dict(item.gives) == {"blade": sewn + spare}
    if isinstance(item, Pieces) and item.least and item.pieces > 1:
        with pytest.raises(UnmetError):
            make(_as_bought(job, shopping, less=1), ALONE)
