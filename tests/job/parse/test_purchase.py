"""What is lost of a fabric before it can be cut, what is bought for it, and how often a job is made."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.core.units import SoldBy, Unit
from cutfiles.job.model.needs import needs
from cutfiles.job.model.purchase import Purchase
from cutfiles.job.parse.read import parse_job

IN = 25.4
PLATE = '[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n'
FABRIC = '[[fabric]]\nname = "tide"\nwidth = 42\nlength = 18\n'


def test_what_shrinks_and_is_lost_is_added_exactly() -> None:
    """23.75 in, 5 % and 2 in of ends: 27 in, which is 3/4 yd and no eighth more."""
    purchase = Purchase(shrink_length=0.05, ends_mm=2 * IN)
    needed = purchase.length_mm(23.75 * IN)
    assert needed / IN == pytest.approx(27.0, abs=1e-12)
    assert purchase.sold_by(Unit.IN).words(needed) == "3/4 yd"
    assert purchase.sold_by(Unit.IN).words(needed + 0.01) == "7/8 yd"


@given(usable=st.floats(1.0, 50_000.0), shrink=st.floats(0.0, 0.3), ends=st.floats(0.0, 500.0))
@example(usable=23.75 * IN, shrink=0.05, ends=2 * IN)
def test_bought_and_usable_lengths_undo_each_other(usable: float, shrink: float, ends: float) -> None:
    """What is bought for a length leaves that length to cut from."""
    purchase = Purchase(shrink, shrink, ends)
    assert purchase.usable_length_mm(purchase.length_mm(usable)) == pytest.approx(usable)
    assert purchase.usable_width_mm(purchase.width_mm(usable)) == pytest.approx(usable)


@given(steps=st.integers(1, 200), parts=st.sampled_from([1, 2, 3, 4, 8, 16]))
def test_yards_are_said_as_exact_fractions(steps: int, parts: int) -> None:
    """A yard is 0.9144 m (international yard and pound agreement, 1959)."""
    said = SoldBy(914.4 / parts, None).words(steps * 914.4 / parts).removesuffix(" yd")
    assert sum(Fraction(word) for word in said.split()) == Fraction(steps, parts)


def test_sizes_are_as_bought_and_less_is_usable() -> None:
    """2 % of 42 in and 3 % of 16 in, as 2 in of the 18 are lost at the ends."""
    job = parse_job(PLATE + FABRIC + "shrink = { width = 2, length = 3 }\nends = 2\n")
    (tide,) = job.fabrics
    assert tide.width_mm == pytest.approx(41.16 * IN)
    assert tide.length_mm == pytest.approx(15.52 * IN)
    assert tide.purchase.width_mm(tide.width_mm) == pytest.approx(42 * IN)
    (plain,) = parse_job(PLATE + FABRIC).fabrics
    assert (plain.width_mm, plain.length_mm) == (pytest.approx(42 * IN), pytest.approx(18 * IN))


@pytest.mark.parametrize(
    ("unit", "written", "words"),
    [
        ("in", '"1/4 yd"', "3/4 yd"),
        ("in", '"10 cm"', "50 cm"),
        ("cm", "25", "50 cm"),
        ("cm", '"1/8 yd"', "5/8 yd"),
        ("in", '"6 in"', "24 in"),
        ("cm", '"1/3 yard"', "2/3 yd"),
    ],
)
def test_a_length_is_sold_in_the_unit_that_its_step_is_written_in(
    unit: str, written: str, words: str
) -> None:
    """470 mm, rounded up to each step."""
    text = f'[job]\nunit = "{unit}"\n{PLATE}{FABRIC}sold = {written}\n'
    (tide,) = parse_job(text).fabrics
    assert tide.purchase.sold_by(Unit(unit)).words(470.0) == words


def test_kits_are_the_whole_job_so_many_times() -> None:
    """Plates, outlines and numbers in cuts are those of one kit; 12 kits of 11 squares are 132."""
    square = '[[outline]]\nname = "square"\npoints = [[0, 0], [4, 0], [4, 4], [0, 4]]\ncount = 11\n'
    cuts = 'cuts = { blade = 5, square = "rest" }\n'
    single = parse_job(PLATE + square + FABRIC + cuts)
    twelve = parse_job(PLATE + square + FABRIC + cuts + "[kits]\ncount = 12\n")
    assert needs(single) == (("blade", 20), ("square", 11))
    assert needs(twelve) == (("blade", 240), ("square", 132))
    assert dict(twelve.fabrics[0].cuts)["blade"] == 60
    assert (twelve.kits, twelve.plate.count) == (12, 12)
