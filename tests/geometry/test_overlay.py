"""Areas laid over each other: edges that all but coincide are one, and real overlaps stay what they are."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.core.tolerance import GAP_CHECK_MM, OVERLAY_MM
from cutfiles.geometry.overlay import common, less

_LEGS = st.floats(1.0, 200.0)
_PLACES = st.floats(-300.0, 300.0)
_BITS = st.sampled_from([-2e-14, -1e-14, 0.0, 1e-14, 2e-14])


def _halves(
    wide: float, high: float, x: float, y: float, bit: float
) -> tuple[shapely.Polygon, shapely.Polygon]:
    """The two triangles of a rectangle cut along its diagonal, one of them moved by a double's last bits."""
    upper = [(x, y), (x + wide, y + high), (x, y + high)]
    lower = [(x + bit, y - bit), (x + wide + bit, y - bit), (x + wide + bit, y + high - bit)]
    return shapely.Polygon(upper), shapely.Polygon(lower)


@given(wide=_LEGS, high=_LEGS, x=_PLACES, y=_PLACES, bit=_BITS)
@example(wide=50.8, high=50.8, x=65.14999999999999, y=6.350000000000001, bit=1e-14)
def test_the_halves_of_a_rectangle_have_no_area_in_common(
    wide: float, high: float, x: float, y: float, bit: float
) -> None:
    """However the common edge was rounded, only a hair of it can be common, and nothing is taken away."""
    first, second = _halves(wide, high, x, y, bit)
    assert common(first, second).buffer(-GAP_CHECK_MM / 2).is_empty
    assert less(first, second).area == pytest.approx(wide * high / 2, rel=1e-6)


@given(wide=_LEGS, high=_LEGS, share=st.floats(0.05, 0.95))
def test_what_overlaps_is_measured_as_in_closed_form(wide: float, high: float, share: float) -> None:
    """A rectangle moved aside by a share of its width covers the rest of itself."""
    first = shapely.box(0.0, 0.0, wide, high)
    second = shapely.box(share * wide, 0.0, (1 + share) * wide, high)
    hair = 4 * OVERLAY_MM * (wide + high)
    assert common(first, second).area == pytest.approx((1 - share) * wide * high, abs=hair)
    assert less(first, second).area == pytest.approx(share * wide * high, abs=hair)
