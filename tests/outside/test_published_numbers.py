"""Numbers that others have published, against what our plates measure."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from mpmath import mp

from cutfiles.core.units import Unit, fraction_in, length_mm
from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip

# Source: the table "lengths of chords for spacing off the circumference of circles" of engineers' handbooks,
# for a circle of unit diameter; the four values are from memory, and recomputed below before they are used.
CHORDS = {12: "0.25882", 16: "0.19509", 20: "0.15643", 24: "0.13053"}


@pytest.mark.parametrize("divisions", CHORDS)
def test_the_remembered_chords_are_those_of_high_precision(divisions: int) -> None:
    """Fifty digits of sin(180°/n), rounded to five places, are the table's value."""
    with mp.workdps(50):
        rounded = int(mp.nint(mp.sin(mp.pi / divisions) * 10**5))
    assert f"0.{rounded:05d}" == CHORDS[divisions]


@pytest.mark.parametrize("divisions", CHORDS)
def test_tips_divide_their_circle_as_the_table_says(divisions: int) -> None:
    """From tip to tip, a plate of unit finished diameter measures the table's chord."""
    blade = Blade(divisions, 0.1, 0.5, 0.1, Tip.FLAT)
    assert blade.finished_diameter_mm == pytest.approx(1.0)
    turn = math.radians(2 * blade.half_angle_deg)
    tips = [
        (blade.tip_radius_mm * math.sin(turn * i), blade.tip_radius_mm * math.cos(turn * i))
        for i in range(divisions + 1)
    ]
    for one, other in itertools.pairwise(tips):
        assert f"{math.dist(one, other):.5f}" == CHORDS[divisions]
    assert math.dist(tips[0], tips[-1]) < 1e-9


def test_an_inch_is_25_4_millimetres_exactly() -> None:
    """Source: the international yard and pound agreement of 1959: 1 yd = 0.9144 m, hence 1 in = 25.4 mm."""
    assert length_mm("36 in", Unit.MM) == 914.4
    assert length_mm(1, Unit.IN) == length_mm("1 in", Unit.CM) == 25.4
    for sixteenths in range(1, 16):
        assert length_mm(f"{sixteenths}/16 in", Unit.MM) == float(Fraction("25.4") * sixteenths / 16)
        assert fraction_in(25.4 * sixteenths / 16) == fraction_in(length_mm(f"{sixteenths}/16", Unit.IN))


def test_a_centimetre_is_ten_millimetres() -> None:
    """Source: the SI prefixes (BIPM, SI brochure)."""
    assert length_mm("1 cm", Unit.IN) == 10.0
    assert length_mm("2.54 cm", Unit.IN) == length_mm(1, Unit.IN)
