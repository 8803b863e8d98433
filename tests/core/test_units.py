"""Lengths as people write them, and back."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.errors import GeometryError
from cutfiles.core.units import FORMS, Unit, fraction_in, in_both, length_mm, rounded_up_mm, shown

IN, CM, MM = Unit.IN, Unit.CM, Unit.MM
HALF_ULP_MM = 1e-12


@pytest.mark.parametrize(
    "written",
    [
        4.75, "4.75", "4 3/4", "4¾", "4¾ in", '4-3/4"', "4 - 3/4 in", "4-¾ in", "4 ¾", "4¾in ",
        " 4 3/4 inches ", "4.750 inch", "4 12/16", "19/4", "+4.75", "4 3⁄4 in", "4¾″", "4.75IN",
        "120.65 mm", "120.65mm", "12.065 cm", "12.065CM", "12065/100 mm",
        "4,75", "4,75 in", "120,65 mm", "12,0650 cm", "+4,750000",
    ],
)  # fmt: skip
def test_every_form_of_one_length_means_the_same(written: object) -> None:
    """However four and three quarter inches are written, the same double comes out."""
    assert length_mm(written, IN) == 120.65


@pytest.mark.parametrize(
    ("written", "unit", "mm"),
    [
        (12, CM, 120.0), (12, MM, 12.0), ("12cm", IN, 120.0), ("120 mm", IN, 120.0), ("1 in", MM, 25.4),
        ("1/16", IN, 1.5875), ("¼", IN, 6.35), ("½ cm", IN, 5.0), ("1/2", MM, 0.5), (".25", IN, 6.35),
        ("3.", IN, 76.2), ("0,125", MM, 0.125), (",5 cm", IN, 5.0), ("7,5 cm", IN, 75.0),
        ("1250,5", MM, 1250.5),
        ("1 yd", CM, 914.4), ("1 1/2 yd", MM, 1371.6), ("⅛ yard", IN, 114.3), ("2,5 yards", CM, 2286.0),
        ("0", IN, 0.0), (0, IN, 0.0), ("-1/8", IN, -3.175), ("-2 1/2 in", MM, -63.5),
    ],
)  # fmt: skip
def test_a_bare_number_is_in_the_unit_of_the_job(written: object, unit: Unit, mm: float) -> None:
    """A length without a unit takes the job's, one with a unit keeps its own."""
    assert length_mm(written, unit) == mm


def test_a_yard_is_as_published() -> None:
    """0.9144 m exactly: international yard and pound agreement, 1959; NIST Special Publication 811, B.8."""
    assert Fraction(length_mm("1 yd", IN)).limit_denominator(1000) == Fraction(9144, 10)
    assert length_mm("36 in", CM) == length_mm("1 yd", CM)


@pytest.mark.parametrize(
    ("sign", "value"),
    [
        ("½", "1/2"), ("⅓", "1/3"), ("⅔", "2/3"), ("¼", "1/4"), ("¾", "3/4"), ("⅛", "1/8"), ("⅜", "3/8"),
        ("⅝", "5/8"), ("⅞", "7/8"), ("⅕", "1/5"), ("⅖", "2/5"), ("⅗", "3/5"), ("⅘", "4/5"), ("⅙", "1/6"),
        ("⅚", "5/6"),
    ],
)  # fmt: skip
def test_one_character_fractions_are_read(sign: str, value: str) -> None:
    """Each fraction sign stands for its fraction, alone and after a whole number."""
    assert length_mm(sign, MM) == float(Fraction(value))
    assert length_mm(f"7{sign}", MM) == length_mm(f"7 {sign}", MM) == float(7 + Fraction(value))


@pytest.mark.parametrize(
    "written",
    [
        "", " ", "in", "four", "4 3", "4 3/", "/4", "4//3", "3/4/5",
        "1 1/2 1/2", "4.5.6", "1e3", "4 3/4 ft", "1,000 mm", "-1,250", "12,000,000",
        "1,2,3", "1.000,5", ",", "4 3,5/4",
        "4' 3\"", "0x10", "1_000", "nan", "inf", "--1", "4½½", "½4", "1.5 1/2", "1.5½", "4 mm in", "4 in.",
        float("nan"), float("inf"), -float("inf"), None, True, False, [4], {"in": 4}, b"4",
        10**400, 1.7e308, "½4 in", "9" * 400,
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_the_forms(written: object) -> None:
    """Anything else is refused in one line, which shows how a length is written."""
    with pytest.raises(GeometryError) as caught:
        length_mm(written, IN)
    assert FORMS in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_fraction_over_nothing_is_refused() -> None:
    """Division by zero is named as such."""
    for written in ("1/0", "4 3/0 in", "0/0"):
        with pytest.raises(GeometryError, match="divides by zero"):
            length_mm(written, IN)


@given(sixteenths=st.integers(0, 16 * 200))
def test_what_is_shown_in_sixteenths_reads_back_exactly(sixteenths: int) -> None:
    """A length on the ruler's marks survives being written and read, to the last bit."""
    mm = length_mm(f"{sixteenths}/16", IN)
    assert length_mm(fraction_in(mm), IN) == mm
    assert length_mm(shown(mm, IN), MM) == mm


@given(whole=st.integers(0, 999), top=st.integers(0, 63), negative=st.booleans())
def test_mixed_numbers_and_decimals_agree(whole: int, top: int, negative: bool) -> None:
    """A mixed number in 64ths means the same as its exact decimal."""
    sign = "-" if negative else ""
    value = Fraction(top, 64) + whole
    expected = float(value * Fraction("25.4")) * (-1 if negative else 1)
    assert length_mm(f"{sign}{whole} {top}/64", IN) == expected
    assert length_mm(f"{sign}{whole}-{top}/64 in", MM) == expected
    assert length_mm(f"{sign}{float(value)}", IN) == expected


@given(mm=st.floats(-2000, 2000, allow_nan=False), parts=st.sampled_from([2, 4, 8, 16, 32]))
def test_a_shown_fraction_is_never_more_than_half_a_mark_off(mm: float, parts: int) -> None:
    """The nearest mark of the ruler is chosen."""
    back = length_mm(fraction_in(mm, parts=parts), IN)
    assert abs(back - mm) <= 25.4 / parts / 2 + HALF_ULP_MM


@given(mm=st.floats(-2000, 2000, allow_nan=False), unit=st.sampled_from(Unit))
def test_a_shown_length_tells_when_it_was_rounded(mm: float, unit: Unit) -> None:
    """In inches the exact decimal stands beside a fraction that misses the mark."""
    text = shown(mm, unit)
    if unit is IN:
        exact = abs(round(mm / 25.4 * 16) * 25.4 / 16 - mm) <= 1e-6
        assert exact != ("(" in text)
    else:
        assert abs(length_mm(text, IN) - mm) <= 0.05 + HALF_ULP_MM


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0.0, "0 in"), (12.7, "1/2 in"), (304.8, "12 in"), (64.29, "2 1/2 in (2.5311)"),
        (-6.35, "-1/4 in"), (25.0, "1 in (0.9843)"),
    ],
)  # fmt: skip
def test_inches_are_shown_as_sewers_read_them(mm: float, text: str) -> None:
    """Lowest terms, no zero before a fraction, no fraction after a whole number."""
    assert shown(mm, IN) == text


def test_millimetres_and_inches_stand_side_by_side() -> None:
    """Where the job's unit isn't known both are given, without trailing zeros."""
    assert in_both(25.4) == "25.4 mm (1 in)"
    assert in_both(0.0) == "0 mm (0 in)"


@given(mm=st.floats(0, 5000), step=st.sampled_from([12.7, 10.0, 6.35]))
def test_rounding_up_lands_on_the_next_mark(mm: float, step: float) -> None:
    """Never below by more than a hair, never a whole step above, always on a mark."""
    up = rounded_up_mm(mm, step)
    assert mm - 1e-6 <= up < mm + step
    assert abs(up / step - round(up / step)) < 1e-9


def test_a_length_on_the_mark_up_to_the_last_bit_stays_there() -> None:
    """Thirteen inches and a rounding error are thirteen inches."""
    assert rounded_up_mm(13 * 25.4 + 5e-11, 12.7) == pytest.approx(13 * 25.4, abs=1e-9)
    assert rounded_up_mm(13 * 25.4 + 1e-3, 12.7) == pytest.approx(13.5 * 25.4, abs=1e-9)
