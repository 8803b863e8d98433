"""Numbers as text: rounded, plain, never NaN."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.core.errors import GeometryError
from cutfiles.formats.model.numbers import number, rounded


@given(value=st.floats(-1e7, 1e7))
@example(value=-0.0)
@example(value=-0.00004)
@example(value=1e-7)
@example(value=100.0)
def test_a_number_is_plain_and_near(value: float) -> None:
    """At most four decimals, no exponent, no trailing zero, no negative zero, and right to half a step."""
    text = number(value)
    assert re.fullmatch(r"-?(0|[1-9]\d*)(\.\d{0,3}[1-9])?", text)
    assert text != "-0"
    assert abs(float(text) - value) <= 0.5e-4 + 1e-9


@given(value=st.floats(-1e6, 1e6), places=st.integers(0, 9))
@example(value=-1e-12, places=6)
def test_rounding_leaves_no_negative_zero(value: float, places: int) -> None:
    """Rounded to so many places, and zero has no sign."""
    result = rounded(value, places)
    assert abs(result - value) <= 0.5 * 10.0**-places + 1e-9
    assert result != 0 or math.copysign(1, result) == 1


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    """NaN and the infinities never reach a file."""
    with pytest.raises(GeometryError, match="can't be written"):
        number(value)
    with pytest.raises(GeometryError, match="can't be written"):
        rounded(value, 4)
