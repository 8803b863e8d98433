"""The blade's closed forms, each worked out another way with the geometry library."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.errors import GeometryError
from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip
from cutfiles.tips.round import arc_centre_mm, arc_radius_mm
from tests.plate.sew_lines import FAR_MM, sew_line
from tests.strategies import blades, least_tip_radius_mm

IN = 25.4
NEAR_MM = 1e-6

# 20 blades, seam 1/4 in, blade 4 3/4 in, inner radius 1 1/4 in, folded.
HARBOUR = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)


def level(y_mm: float) -> shapely.LineString:
    """The line across, square to the centre line."""
    return shapely.LineString([(-FAR_MM, y_mm), (FAR_MM, y_mm)])


def x_where(line: shapely.LineString, y_mm: float) -> float:
    """How far aside the line crosses a level."""
    crossing = line.intersection(level(y_mm))
    assert isinstance(crossing, shapely.Point)
    return crossing.x


@pytest.mark.parametrize(
    ("name", "inches"),
    [
        ("narrow_width_mm", 0.9022),
        ("wide_width_mm", 2.4068),
        ("finished_diameter_mm", 11.5),
        ("valley_diameter_mm", 10.0514),
    ],
)
def test_the_usual_plate_measures_what_it_must(name: str, inches: float) -> None:
    """Twenty blades of 4 3/4 in, 1 1/4 in from the centre, seam 1/4 in: known to a ten-thousandth."""
    assert round(getattr(HARBOUR, name) / IN, 4) == inches


def test_the_usual_opening_is_known() -> None:
    """The hole is 2.5312 in across its corners."""
    assert round(2 * HARBOUR.opening_radius_mm / IN, 4) == 2.5312


@given(blade=blades())
def test_widths_are_those_between_sew_lines_moved_out_by_the_seam(blade: Blade) -> None:
    """The two sew lines, each moved a seam outwards, cross the two ends as wide apart as stated."""
    right = sew_line(blade, sign=1, out_mm=blade.seam_mm)
    left = sew_line(blade, sign=-1, out_mm=blade.seam_mm)
    for y, width in (
        (blade.inner_radius_mm, blade.narrow_width_mm),
        (blade.outer_radius_mm, blade.wide_width_mm),
    ):
        assert x_where(right, y) - x_where(left, y) == pytest.approx(width, abs=NEAR_MM)


@given(blade=blades(tip=Tip.FOLDED))
def test_a_folded_valley_is_where_the_45_degree_edge_meets_the_sew_line(blade: Blade) -> None:
    """The edge that leaves the tip at 45° crosses the sew line at the valley."""
    tip = blade.tip_radius_mm
    edge = shapely.LineString([(0.0, tip), (FAR_MM, tip - FAR_MM)])
    valley = edge.intersection(sew_line(blade, sign=1))
    assert math.hypot(valley.x, valley.y) == pytest.approx(blade.valley_radius_mm, abs=NEAR_MM)
    assert valley.y == pytest.approx(blade.tip_base_mm, abs=NEAR_MM)


@given(blade=blades(tip=Tip.FLAT))
def test_a_flat_valley_is_where_the_turned_edge_meets_the_sew_line(blade: Blade) -> None:
    """Neighbouring flat ends share the corner on their sew line."""
    corner = level(blade.tip_radius_mm).intersection(sew_line(blade, sign=1))
    assert math.hypot(corner.x, corner.y) == pytest.approx(blade.valley_radius_mm, abs=NEAR_MM)


@given(blade=blades(tip=Tip.ROUND))
def test_a_round_tip_touches_both_sew_lines_and_the_tip(blade: Blade) -> None:
    """The finished arc's circle is tangent to both sew lines and reaches just to the tip radius."""
    middle = shapely.Point(0.0, arc_centre_mm(blade))
    for sign in (1, -1):
        distance = middle.distance(sew_line(blade, sign=sign))
        assert distance == pytest.approx(arc_radius_mm(blade), abs=NEAR_MM)
    assert arc_centre_mm(blade) + arc_radius_mm(blade) == pytest.approx(blade.tip_radius_mm, abs=NEAR_MM)
    # The tangent point is one leg of a right triangle whose long side runs from the centre to the middle.
    leg = math.sqrt(arc_centre_mm(blade) ** 2 - arc_radius_mm(blade) ** 2)
    assert blade.valley_radius_mm == pytest.approx(leg, abs=NEAR_MM)


@given(blade=blades(tip=Tip.ROUND))
def test_a_round_cut_arc_meets_the_cut_edge_at_the_tip_base(blade: Blade) -> None:
    """The foot of the square from the arc's middle onto the cut edge is where the cut arc begins."""
    edge = sew_line(blade, sign=1, out_mm=blade.seam_mm)
    foot = edge.interpolate(edge.project(shapely.Point(0.0, arc_centre_mm(blade))))
    assert foot.y == pytest.approx(blade.tip_base_mm, abs=NEAR_MM)


@given(blade=blades())
def test_the_opening_ends_where_two_narrow_ends_meet(blade: Blade) -> None:
    """The narrow end crosses the sew line at the opening's widest point."""
    corner = level(blade.inner_radius_mm).intersection(sew_line(blade, sign=1))
    assert math.hypot(corner.x, corner.y) == pytest.approx(blade.opening_radius_mm, abs=NEAR_MM)


@given(blade=blades(), short=st.floats(0.0, 1.0))
def test_seams_too_narrow_move_the_ring_out(blade: Blade, short: float) -> None:
    """Sewn a little outside the sew lines, the wedge's apex lies that much nearer than the plate centre."""
    right = sew_line(blade, sign=1, out_mm=short)
    left = sew_line(blade, sign=-1, out_mm=short)
    apex = right.intersection(left)
    assert -apex.y == pytest.approx(blade.apex_shift_mm(short), abs=NEAR_MM)


def test_a_sixteenth_too_narrow_moves_twenty_blades_by_two_fifths() -> None:
    """Twenty blades sewn 1/16 in too narrow: 0.40 in."""
    assert round(HARBOUR.apex_shift_mm(IN / 16) / IN, 2) == 0.40


@given(blade=blades())
def test_blades_close_the_circle_whatever_their_seam(blade: Blade) -> None:
    """The cut edges open at the full angle: 360° over the number of blades."""
    rise = blade.cut_half_width_mm(1001.0) - blade.cut_half_width_mm(1.0)
    assert blade.blades * 2 * math.degrees(math.atan(rise / 1000.0)) == pytest.approx(360.0, abs=1e-9)
    assert blade.blades * 2 * blade.half_angle_deg == pytest.approx(360.0, abs=1e-9)


@given(blade=blades(counts=st.integers(1, 29).map(lambda half: 2 * half + 1)))
def test_an_odd_number_has_the_same_diameter_all_the_same(blade: Blade) -> None:
    """Twice the tip radius: the circle all tips lie on."""
    assert blade.finished_diameter_mm == 2 * blade.tip_radius_mm
    allowance = blade.tip.finish.allowance_mm(blade.seam_mm)
    assert blade.tip_radius_mm == pytest.approx(
        blade.inner_radius_mm + blade.length_mm - allowance, abs=NEAR_MM
    )


@given(blade=blades())
def test_every_tip_begins_above_the_narrow_end(blade: Blade) -> None:
    """Some straight seam is left in every blade, and the valley lies between opening and tip circle."""
    assert blade.tip_base_mm > blade.inner_radius_mm
    if blade.tip is not Tip.FLAT:
        assert blade.opening_radius_mm < blade.valley_radius_mm < blade.tip_radius_mm


@pytest.mark.parametrize("blades", [2, 1, 0, -20])
def test_too_few_blades_are_refused(blades: int) -> None:
    """Two blades leave no wedge."""
    with pytest.raises(GeometryError, match="at least 3"):
        Blade(blades, 30.0, 120.0, 6.35, Tip.FOLDED)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
def test_a_blade_without_length_or_seam_is_refused(bad: float) -> None:
    """Nothing, less than nothing and NaN are no size."""
    with pytest.raises(GeometryError, match="above 0"):
        Blade(20, 30.0, bad, 6.35, Tip.FLAT)
    with pytest.raises(GeometryError, match="above 0"):
        Blade(20, 30.0, 120.0, bad, Tip.FLAT)


@pytest.mark.parametrize("bad", [-0.01, math.nan])
def test_a_narrow_end_past_the_centre_is_refused(bad: float) -> None:
    """The blade can't begin on the other side of the plate centre."""
    with pytest.raises(GeometryError, match="pass the plate centre"):
        Blade(20, bad, 120.0, 6.35, Tip.FLAT)


# Nearer to the least length than that the tolerance of ruled marks forgives what is missing.
@given(blade=blades(), share=st.floats(0.0, 1.0 - 1e-5))
def test_a_tip_without_room_is_refused_and_named(blade: Blade, share: float) -> None:
    """Shorter than the least length that the tip needs there is no such blade."""
    least = least_tip_radius_mm(
        blades=blade.blades, inner_radius_mm=blade.inner_radius_mm, seam_mm=blade.seam_mm, tip=blade.tip
    )
    length = share * (least - blade.inner_radius_mm + blade.seam_mm)
    if length <= 0:
        length = blade.seam_mm / 2
    # Where few blades are short, the facing of a folded tip sticks out before its seam is eaten.
    tip = blade.tip.value
    with pytest.raises(GeometryError, match=f"eats the {tip} tip|the {tip} tip, once turned, would reach"):
        Blade(blade.blades, blade.inner_radius_mm, length, blade.seam_mm, blade.tip)


def test_endless_sizes_are_refused() -> None:
    """No blade is infinitely long, none begins infinitely far out, and no seam is endless."""
    for inner, length, seam in ((30.0, math.inf, 6.0), (math.inf, 120.0, 6.0), (30.0, 120.0, math.inf)):
        with pytest.raises(GeometryError):
            Blade(20, inner, length, seam, Tip.FOLDED)
