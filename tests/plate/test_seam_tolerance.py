"""Seams too narrow: a ring is cut and sewn as polygons, and the closed forms must say what comes of it."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from cutfiles.core.units import Unit
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Centre
from cutfiles.plate.seam_tolerance import (
    background_tolerance_mm,
    centre_tolerance_mm,
    closing_error_deg,
    cover_for_mm,
    default_cover_mm,
    for_a_sewer,
    narrow_by_mm,
    opening_mm,
    pair_width_mm,
    taper_mm,
)
from cutfiles.tips.registry import Tip
from tests.plate.sew_lines import FAR_MM, sew_line
from tests.strategies import blades

IN = 25.4
NEAR_MM = 1e-6
HARBOUR = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)


def apex(blade: Blade, *, narrow_by_mm: float) -> float:
    """Where the two sew lines really meet, on the blade's centre line."""
    left, right = (sew_line(blade, sign=sign, out_mm=narrow_by_mm) for sign in (-1, 1))
    meeting = right.intersection(left)
    assert isinstance(meeting, shapely.Point)
    return meeting.y


def corner(blade: Blade, *, sign: int, out_mm: float, level_mm: float, narrow_by_mm: float) -> shapely.Point:
    """Where a long edge, moved out, crosses a level of the blade, seen from where its sew lines meet."""
    level = shapely.LineString([(-FAR_MM, level_mm), (FAR_MM, level_mm)])
    crossing = sew_line(blade, sign=sign, out_mm=out_mm).intersection(level)
    assert isinstance(crossing, shapely.Point)
    return affinity.translate(crossing, 0.0, -apex(blade, narrow_by_mm=narrow_by_mm))


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


@settings(max_examples=40)
@given(both=ring_and_centre())
def test_the_centre_covers_up_to_the_tolerance_and_no_further(both: tuple[Blade, Centre]) -> None:
    """Sewn a little less narrow than allowed, the hole stays under the circle; a little more, it shows."""
    blade, centre = both
    limit = centre_tolerance_mm(blade, centre)
    assert hole(blade, narrow_by_mm=0.99 * limit) < centre.finished_radius_mm
    assert hole(blade, narrow_by_mm=1.01 * limit) > centre.finished_radius_mm


@settings(max_examples=40)
@given(blade=blades(), off=st.floats(0.0, 3.0))
def test_the_opening_grows_as_stated(blade: Blade, off: float) -> None:
    """Sewn narrow, the ring's hole is as wide as the table of the sheet says."""
    assert opening_mm(blade, narrow_by_mm=off) == pytest.approx(
        2 * hole(blade, narrow_by_mm=off), abs=NEAR_MM
    )


@settings(max_examples=40)
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
    square = Background.square(2 * (reach + room) + 12.7, 2 * (reach + room))
    limit = background_tolerance_mm(blade, square)
    # The tip's own seam is as narrow as the others: it moves by what its allowance then lacks.
    tip = blade.tip_radius_mm + blade.tip.finish.allowance_mm(limit) - apex(blade, narrow_by_mm=limit)
    if blade.tip is Tip.FLAT:
        end = corner(blade, sign=1, out_mm=limit, level_mm=blade.tip_radius_mm + limit, narrow_by_mm=limit)
        tip = math.hypot(end.x, end.y)
    assert tip == pytest.approx(square.finished_width_mm / 2, abs=1e-5)


def test_the_usual_plate_allows_a_thirty_second() -> None:
    """Twenty blades with a quarter inch of cover: 0.0386 in, which a rule shows as 1/32."""
    centre = Centre(HARBOUR.opening_radius_mm + 0.25 * IN, HARBOUR.opening_radius_mm + 0.5 * IN)
    limit = centre_tolerance_mm(HARBOUR, centre)
    assert round(limit / IN, 4) == 0.0386
    assert for_a_sewer(limit, Unit.IN) == "1/32 in"


@settings(max_examples=40)
@given(blade=blades(), off=st.floats(0.0, 3.0))
def test_the_ring_moves_out_with_its_side_seams(blade: Blade, off: float) -> None:
    """As far as the sew lines' meeting point moves in, measured on the blade."""
    assert blade.apex_shift_mm(off) == pytest.approx(-apex(blade, narrow_by_mm=off), abs=NEAR_MM)


def test_the_usual_ring_moves_by_a_known_amount() -> None:
    """Side seams a sixteenth too narrow: 0.3995 in."""
    assert round(HARBOUR.apex_shift_mm(IN / 16) / IN, 4) == 0.3995


@settings(max_examples=40)
@given(blade=blades(), off=st.floats(0.0, 3.0))
def test_a_cover_just_hides_the_seams_that_it_is_for(blade: Blade, off: float) -> None:
    """The hole of the ring sewn so is as wide as the centre with that cover."""
    cover = cover_for_mm(blade, narrow_by_mm=off)
    assert hole(blade, narrow_by_mm=off) == pytest.approx(blade.opening_radius_mm + cover, abs=NEAR_MM)
    opening = 2 * hole(blade, narrow_by_mm=off)
    assert narrow_by_mm(blade, opening_mm=opening) == pytest.approx(off, abs=NEAR_MM)


@pytest.mark.parametrize("off", [1 / 32, 1 / 16])
def test_the_usual_cover_is_known(off: float) -> None:
    """Twenty blades: 0.202 in for 1/32 in, 0.4045 for 1/16."""
    assert round(cover_for_mm(HARBOUR, narrow_by_mm=off * IN) / IN, 4) == round(off / (1 / 32) * 0.20226, 4)


def test_the_usual_opening_tells_its_seams() -> None:
    """An opening of 2.9357 in: every side seam 1/32 in too narrow."""
    assert round(narrow_by_mm(HARBOUR, opening_mm=2.9357 * IN) / IN, 5) == 0.03125


@pytest.mark.parametrize(("number", "eighths"), [(3, 2), (20, 2), (24, 2), (25, 3), (48, 4), (60, 5)])
def test_the_default_cover_bears_a_thirty_second(number: int, eighths: int) -> None:
    """And is the least number of eighths that does, two at least."""
    blade = Blade(number, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FLAT)
    cover = default_cover_mm(blade)
    assert cover == pytest.approx(eighths * IN / 8)
    bears = centre_tolerance_mm(blade, Centre(blade.opening_radius_mm + cover, 0.0))
    assert bears >= IN / 32 - NEAR_MM
    less = centre_tolerance_mm(blade, Centre(blade.opening_radius_mm + cover - IN / 8, 0.0))
    assert eighths == 2 or less < IN / 32


@given(blade=blades(), sewn=st.integers(2, 12), share=st.floats(0.0, 0.05))
def test_taper_opens_what_is_joined(blade: Blade, sewn: int, share: float) -> None:
    """Sides turned about the valley by what the taper is over their length, blade by blade."""
    length = math.dist(
        (blade.valley_radius_mm * math.sin(blade.half_angle_rad), blade.valley_radius_mm),
        (blade.opening_radius_mm * math.sin(blade.half_angle_rad), blade.valley_radius_mm),
    ) / math.sin(blade.half_angle_rad)
    taper = share * length
    turned = sum(2 * math.degrees(math.atan2(taper, length)) for _ in range(sewn - 1))
    assert closing_error_deg(blade, seams=sewn - 1, taper_mm=taper) == pytest.approx(turned, abs=1e-6)
    if 0 < turned < 45:
        miss = 100.0 * math.tan(math.radians(turned))
        back = taper_mm(blade, sewn=sewn, miss_mm=miss, at_mm=100.0)
        # To the first order, as angles that small are their own tangents.
        assert back == pytest.approx(taper, rel=2e-3)


def test_the_usual_taper_is_known() -> None:
    """A sewn side of 3.760 in; 1/64 in at one end of twenty seams: 9.5°; 1/4 in at 5 in of a half: .0104."""
    assert round(HARBOUR.seam_length_mm / IN, 3) == 3.760
    assert round(closing_error_deg(HARBOUR, seams=20, taper_mm=IN / 64), 1) == 9.5
    assert round(taper_mm(HARBOUR, sewn=10, miss_mm=0.25 * IN, at_mm=5 * IN) / IN, 4) == 0.0104


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
