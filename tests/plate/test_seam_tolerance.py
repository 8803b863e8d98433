"""Seams too narrow: a ring is cut and sewn as polygons, and the closed forms must say what comes of it."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from cutfiles.core.units import Unit
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Centre
from cutfiles.plate.seam_tolerance import (
    background_tolerance_mm,
    centre_tolerance_mm,
    for_a_sewer,
    opening_mm,
    pair_width_mm,
)
from cutfiles.tips.registry import Tip
from tests.strategies import blades

IN = 25.4
NEAR_MM = 1e-6
FAR_MM = 1e5
HARBOUR = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)


def edge(blade: Blade, *, sign: int, out_mm: float) -> shapely.LineString:
    """The radial line at ±180°/n of the blade as it was drawn, moved out square to itself."""
    upright = shapely.LineString([(sign * out_mm, -FAR_MM), (sign * out_mm, FAR_MM)])
    return affinity.rotate(upright, -sign * 180.0 / blade.blades, origin=(0, 0))


def apex(blade: Blade, *, narrow_by_mm: float) -> float:
    """Where the two sew lines really meet, on the blade's centre line."""
    meeting = edge(blade, sign=1, out_mm=narrow_by_mm).intersection(edge(blade, sign=-1, out_mm=narrow_by_mm))
    assert isinstance(meeting, shapely.Point)
    return meeting.y


def corner(blade: Blade, *, sign: int, out_mm: float, level_mm: float, narrow_by_mm: float) -> shapely.Point:
    """Where a long edge, moved out, crosses a level of the blade, seen from where its sew lines meet."""
    level = shapely.LineString([(-FAR_MM, level_mm), (FAR_MM, level_mm)])
    found = edge(blade, sign=sign, out_mm=out_mm).intersection(level)
    assert isinstance(found, shapely.Point)
    return affinity.translate(found, 0.0, -apex(blade, narrow_by_mm=narrow_by_mm))


def hole(blade: Blade, *, narrow_by_mm: float) -> float:
    """Radius of the smallest circle about the middle that covers the opening of the sewn ring."""
    ends = [
        affinity.rotate(
            corner(blade, sign=sign, out_mm=narrow_by_mm, level_mm=blade.inner_radius_mm,
                   narrow_by_mm=narrow_by_mm),
            number * 360.0 / blade.blades, origin=(0, 0),
        )
        for number in range(blade.blades)
        for sign in (1, -1)
    ]  # fmt: skip
    return max(math.hypot(end.x, end.y) for end in ends)


@st.composite
def ring_and_centre(draw: st.DrawFn) -> tuple[Blade, Centre]:
    """A blade and a centre that covers its opening by a hair or by a lot."""
    blade = draw(blades())
    radius = blade.opening_radius_mm + draw(st.floats(0.1, 30.0))
    return blade, Centre(radius, radius)


@given(both=ring_and_centre())
def test_the_centre_covers_up_to_the_tolerance_and_no_further(both: tuple[Blade, Centre]) -> None:
    """Sewn a little less narrow than allowed, the hole stays under the circle; a little more, it shows."""
    blade, centre = both
    limit = centre_tolerance_mm(blade, centre)
    assert hole(blade, narrow_by_mm=0.99 * limit) < centre.finished_radius_mm
    assert hole(blade, narrow_by_mm=1.01 * limit) > centre.finished_radius_mm


@given(blade=blades(), off=st.floats(0.0, 3.0))
def test_the_opening_grows_as_stated(blade: Blade, off: float) -> None:
    """Sewn narrow, the ring's hole is as wide as the table of the sheet says."""
    assert opening_mm(blade, narrow_by_mm=off) == pytest.approx(
        2 * hole(blade, narrow_by_mm=off), abs=NEAR_MM
    )


@given(blade=blades(), off=st.floats(0.0, 3.0))
def test_a_pair_is_as_wide_as_stated(blade: Blade, off: float) -> None:
    """Two blades turned apart by their own sew lines have outer corners that far from each other."""
    a = 180.0 / blade.blades
    left, right = (
        affinity.rotate(
            corner(
                blade,
                sign=sign,
                out_mm=blade.seam_mm,
                level_mm=blade.inner_radius_mm,
                narrow_by_mm=off,
            ),
            -sign * a,
            origin=(0, 0),
        )
        for sign in (-1, 1)
    )
    assert pair_width_mm(blade, narrow_by_mm=off) == pytest.approx(left.distance(right), abs=NEAR_MM)


@given(blade=blades(), room=st.floats(1.0, 60.0))
def test_the_plate_keeps_off_the_background_seam_up_to_the_tolerance(blade: Blade, room: float) -> None:
    """At the limit, what reaches furthest of the sewn blade just reaches the seam."""
    reach = max(blade.tip_radius_mm, blade.valley_radius_mm)
    square = Background(2 * (reach + room) + 12.7, 2 * (reach + room))
    limit = background_tolerance_mm(blade, square)
    tip = blade.tip_radius_mm - apex(blade, narrow_by_mm=limit)
    if blade.tip is Tip.FLAT:
        end = corner(blade, sign=1, out_mm=limit, level_mm=blade.tip_radius_mm, narrow_by_mm=limit)
        tip = math.hypot(end.x, end.y)
    assert tip == pytest.approx(square.finished_side_mm / 2, abs=1e-5)


def test_the_usual_plate_allows_a_thirty_second() -> None:
    """Twenty blades with a quarter inch of cover: 0.0386 in, which a rule shows as 1/32."""
    centre = Centre(HARBOUR.opening_radius_mm + 0.25 * IN, HARBOUR.opening_radius_mm + 0.5 * IN)
    limit = centre_tolerance_mm(HARBOUR, centre)
    assert round(limit / IN, 4) == 0.0386
    assert for_a_sewer(limit, Unit.IN) == "1/32 in"


@given(mm=st.floats(0.0, 50.0), unit=st.sampled_from(Unit))
def test_a_tolerance_is_never_rounded_up(mm: float, unit: Unit) -> None:
    """What the sewer reads is at most what the plate allows, and less than one mark below it."""
    text = for_a_sewer(mm, unit)
    mark = IN / 64 if unit is Unit.IN else 0.1
    if not text:
        assert mm < mark
        return
    number, name = text.rsplit(" ", 1)
    parts = [part.split("/") for part in number.split(" ")]
    value = sum(float(part[0]) / float(part[1] if len(part) > 1 else 1) for part in parts)
    value *= IN if name == "in" else 1.0
    assert value <= mm + 1e-5
    assert value > mm - mark - 1e-5
