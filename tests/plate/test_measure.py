"""From the job's numbers to a plate: the third size, the centre, the background; and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.job.model.job import BackgroundSpec, CentreSpec, Job, MachineSpec, MatSpec, PlateSpec, Register
from cutfiles.plate.blade import Blade
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.plate.sizes import sizes_json
from cutfiles.tips.registry import Tip
from tests.strategies import blades, jobs, lengths_mm

IN = 25.4
NEAR_MM = 1e-6
SIZES = ("blade_length_mm", "inner_radius_mm", "finished_diameter_mm")
HARBOUR = PlateSpec(3, 20, 20, 4.75 * IN, 1.25 * IN, None, 0.25 * IN, Tip.FOLDED)


def job_of(
    spec: PlateSpec,
    *,
    unit: Unit = Unit.IN,
    centre: CentreSpec | None = None,
    background: BackgroundSpec | None = None,
) -> Job:
    """A job of which only the plate matters."""
    mat, machine = MatSpec(300.0, 600.0, 6.35), MachineSpec(1.5875, (), 0.0, Register.NONE)
    return Job("Harbour", unit, spec, centre, background, (), (), mat, machine, ("svg",))


def plate(spec: PlateSpec = HARBOUR, **parts: object) -> Plate:
    return plate_of(job_of(spec, **parts))  # type: ignore[arg-type]


def spec_of(blade: Blade) -> PlateSpec:
    """The table with all three sizes of a blade."""
    return PlateSpec(
        1, blade.blades, blade.blades, blade.length_mm, blade.inner_radius_mm, blade.finished_diameter_mm,
        blade.seam_mm, blade.tip,
    )  # fmt: skip


@given(blade=blades(), left_out=st.sampled_from(SIZES))
def test_any_two_of_three_sizes_give_the_third(blade: Blade, left_out: str) -> None:
    """Whichever size is left out, the same blade comes back."""
    again = plate(replace(spec_of(blade), **{left_out: None})).blade
    assert again.length_mm == pytest.approx(blade.length_mm, abs=NEAR_MM)
    assert again.inner_radius_mm == pytest.approx(blade.inner_radius_mm, abs=NEAR_MM)
    assert again.finished_diameter_mm == pytest.approx(blade.finished_diameter_mm, abs=NEAR_MM)


def test_eleven_and_a_half_inches_are_a_blade_of_four_and_three_quarters() -> None:
    """The usual plate, given by its diameter and either other size."""
    whole = replace(HARBOUR, finished_diameter_mm=11.5 * IN)
    for left_out, name, inches in (
        ("blade_length_mm", "length_mm", 4.75),
        ("inner_radius_mm", "inner_radius_mm", 1.25),
    ):
        blade = plate(replace(whole, **{left_out: None})).blade
        assert getattr(blade, name) == pytest.approx(inches * IN, abs=NEAR_MM)


def test_a_blade_to_the_very_centre_may_miss_it_by_a_rounding() -> None:
    """Half the diameter is a length that reaches the centre, not one that passes it by a last bit."""
    seam = 0.1 + 0.2
    blade = plate(PlateSpec(1, 20, 20, 100.3 + 1e-12, None, 200.0, seam, Tip.FOLDED)).blade
    assert blade.inner_radius_mm == 0


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"blade_length_mm": 8 * IN, "inner_radius_mm": None, "finished_diameter_mm": 10 * IN},
         "narrow end would pass the plate centre by 2 3/4 in"),
        ({"blade_length_mm": None, "inner_radius_mm": 6 * IN, "finished_diameter_mm": 11.5 * IN},
         "an inner radius of 6 in leaves no blade"),
        ({"blade_length_mm": None, "inner_radius_mm": 5.75 * IN, "finished_diameter_mm": 11.5 * IN},
         "eats the folded tip"),
        ({"seam_mm": 4.6 * IN}, "eats the folded tip"),
        ({"seam_mm": 0.0}, "a seam above 0"),
        ({"inner_radius_mm": None}, "needs two of blade_length, inner_radius and finished_diameter"),
        ({"blades": 2}, "2 blades can't close a circle"),
    ],
)  # fmt: skip
def test_a_plate_that_cannot_be_sewn_is_refused_with_its_reason(
    changes: dict[str, object], says: str
) -> None:
    """The table to change is named, then what is wrong with it."""
    with pytest.raises(JobError) as caught:
        plate(replace(HARBOUR, **changes))  # type: ignore[arg-type]
    assert caught.value.where == "plate"
    assert says in caught.value.says
    assert "\n" not in caught.value.says


def test_a_fan_sweeps_its_share_of_the_circle() -> None:
    """Five of twenty blades are a quarter."""
    assert plate(replace(HARBOUR, sewn=5)).sweep_deg == 90
    assert plate().sweep_deg == 360


@given(blade=blades(), share=st.floats(0.1, 0.9), turn=lengths_mm(0.0, 10.0))
def test_the_centre_covers_the_opening_and_is_cut_larger(blade: Blade, share: float, turn: float) -> None:
    """Given by cover or by diameter, the finished circle laps over the opening's corners."""
    cover = share * (min(blade.tip_radius_mm, blade.valley_radius_mm) - blade.opening_radius_mm)
    if cover <= NEAR_MM:
        return
    by_cover = plate(_two_of(blade), centre=CentreSpec(cover, turn, None)).centre
    assert by_cover is not None
    diameter = 2 * by_cover.finished_radius_mm
    by_diameter = plate(_two_of(blade), centre=CentreSpec(None, turn, diameter)).centre
    assert by_diameter == by_cover
    assert by_cover.finished_radius_mm == pytest.approx(blade.opening_radius_mm + cover, abs=NEAR_MM)
    assert by_cover.cut_radius_mm - by_cover.finished_radius_mm == pytest.approx(turn, abs=NEAR_MM)


def _two_of(blade: Blade) -> PlateSpec:
    return replace(spec_of(blade), finished_diameter_mm=None)


def test_the_usual_centre_is_about_three_inches() -> None:
    """Cover 1/4 in over an opening of 2.5312 in: finished 3.0312 in, cut 3.5312 in."""
    centre = plate(centre=CentreSpec(0.25 * IN, 0.25 * IN, None)).centre
    assert centre is not None
    assert round(2 * centre.finished_radius_mm / IN, 4) == 3.0312
    assert round(2 * centre.cut_radius_mm / IN, 4) == 3.5312


@pytest.mark.parametrize(
    ("centre", "where", "says"),
    [
        (CentreSpec(None, 6.0, 2.5 * IN), "centre.diameter", "2 1/2 in doesn't cover the opening"),
        (CentreSpec(None, 6.0, 12 * IN), "centre", "would hide the whole plate of 11 1/2 in"),
        (CentreSpec(6 * IN, 6.0, None), "centre", "would hide the whole plate"),
        (CentreSpec(None, 6.0, 10.1 * IN), "centre", "reaches past the valleys between the tips"),
    ],
)
def test_a_centre_of_the_wrong_size_is_refused(centre: CentreSpec, where: str, says: str) -> None:
    """Too small to cover the hole, or too large to leave anything of the plate."""
    with pytest.raises(JobError) as caught:
        plate(centre=centre)
    assert caught.value.where == where
    assert says in caught.value.says


def test_a_centre_past_the_valleys_is_refused() -> None:
    """Twelve short blades: the background would show nothing between the tips but the centre's edge."""
    short = PlateSpec(1, 12, 12, 1.5 * IN, 3 * IN, None, 0.25 * IN, Tip.FOLDED)
    with pytest.raises(JobError) as caught:
        plate(short, centre=CentreSpec(0.5 * IN, 0.25 * IN, None))
    assert caught.value.where == "centre"
    # 2·(3/cos 15° + 1/2) and 2·4.25/(cos 15° + sin 15°).
    assert "7 3/16 in (7.2117) reaches past the valleys" in caught.value.says
    assert "a circle of 6 15/16 in (6.9402)" in caught.value.says
    assert plate(short, centre=CentreSpec(0.36 * IN, 0.25 * IN, None)).centre is not None


def test_without_cover_or_diameter_the_number_of_blades_decides() -> None:
    """A quarter of an inch over the opening of twenty blades, five eighths over that of sixty."""
    for number, eighths in ((20, 2), (60, 5)):
        sewn = plate(replace(HARBOUR, blades=number, sewn=number), centre=CentreSpec(None, 6.0, None))
        assert sewn.centre is not None
        cover = sewn.centre.finished_radius_mm - sewn.blade.opening_radius_mm
        assert cover == pytest.approx(eighths * IN / 8)


def test_margins_count_from_flat_corners() -> None:
    """Six flat blades: a corner at 6.640 in, so 14 1/2 in and more between the seams with half inches."""
    six = replace(HARBOUR, blades=6, sewn=6, tip=Tip.FLAT)
    assert round(plate(six).blade.valley_radius_mm / IN, 3) == 6.640
    background = plate(six, background=BackgroundSpec(0.5 * IN, None)).background
    assert background is not None
    assert background.cut_width_mm == pytest.approx(15 * IN)


@pytest.mark.parametrize(("sewn", "inches"), [(1, 0.0), (5, 6.760), (10, 11.358), (11, 11.5), (20, 11.5)])
def test_a_fan_reaches_from_tip_to_tip(sewn: int, inches: float) -> None:
    """The greatest distance between two of the tips that are there."""
    fan = plate(replace(HARBOUR, sewn=sewn))
    assert round(fan.extent_mm / IN, 3) == inches
    tips = [
        (math.cos(math.radians(18 * number)), math.sin(math.radians(18 * number))) for number in range(sewn)
    ]
    apart = max(math.dist(first, second) for first in tips for second in tips)
    assert fan.extent_mm == pytest.approx(5.75 * IN * apart, abs=NEAR_MM)


def test_a_centre_of_no_size_is_refused() -> None:
    """Blades that reach the centre leave no opening; without cover there is no circle."""
    closed = replace(HARBOUR, inner_radius_mm=0.0)
    with pytest.raises(JobError, match="no size"):
        plate(closed, centre=CentreSpec(0.0, 6.0, None))


@given(
    blade=blades(),
    margin=lengths_mm(0.0, 60.0),
    unit=st.sampled_from(Unit),
)
def test_a_background_is_rounded_up_to_the_next_mark(blade: Blade, margin: float, unit: Unit) -> None:
    """Plate, margins and seams fit, on a whole half inch (or cm), and one mark less would not do."""
    background = plate(_two_of(blade), unit=unit, background=BackgroundSpec(margin, None)).background
    assert background is not None
    # Of a flat tip the corners: by Pythagoras, half the finished wide end aside.
    tip = blade.tip_radius_mm
    corner = math.hypot(tip, tip * math.tan(math.pi / blade.blades)) if blade.tip is Tip.FLAT else tip
    least = 2 * corner + 2 * margin + 2 * blade.seam_mm
    step = 12.7 if unit is Unit.IN else 10.0
    assert least - 2e-6 <= background.cut_width_mm < least + step
    assert background.cut_width_mm / step == pytest.approx(round(background.cut_width_mm / step), abs=1e-6)
    assert background.cut_width_mm - background.finished_width_mm == pytest.approx(
        2 * blade.seam_mm, abs=NEAR_MM
    )


@pytest.mark.parametrize(
    ("unit", "side_mm"),
    [(Unit.IN, 13.0 * IN), (Unit.CM, 340.0), (Unit.MM, 340.0)],
)
def test_the_usual_background_lands_on_a_mark(unit: Unit, side_mm: float) -> None:
    """11 1/2 in, twice 1/2 in and twice 1/4 in are 13 in exactly, which needs no rounding up; or 34 cm."""
    background = plate(unit=unit, background=BackgroundSpec(0.5 * IN, None)).background
    assert background is not None
    assert background.cut_width_mm == pytest.approx(side_mm, abs=NEAR_MM)


def test_a_background_holds_the_corners_of_a_few_flat_blades() -> None:
    """Three flat blades make a triangle, whose corners reach twice as far out as its sides."""
    three = replace(HARBOUR, blades=3, sewn=3, tip=Tip.FLAT)
    background = plate(three, background=BackgroundSpec(0.5 * IN, None)).background
    assert background is not None
    assert background.finished_width_mm >= 2 * 11.5 * IN - NEAR_MM
    with pytest.raises(JobError, match="smaller than the plate"):
        plate(three, background=BackgroundSpec(None, 14 * IN))


def test_a_background_given_by_its_cut_side_is_kept() -> None:
    """Fourteen inches stay fourteen inches; smaller than the plate with its seams is refused."""
    background = plate(background=BackgroundSpec(None, 14 * IN)).background
    assert background is not None
    assert background.cut_width_mm == 14 * IN
    assert plate(background=BackgroundSpec(None, 12 * IN)).background is not None
    with pytest.raises(JobError) as caught:
        plate(background=BackgroundSpec(None, 11.9 * IN))
    assert caught.value.where == "background.cut"
    assert "smaller than the plate with its seams, 12 in" in caught.value.says


@given(job=jobs())
def test_sizes_are_those_of_the_plate(job: Job) -> None:
    """Every number in the object of sizes is finite and names its unit; parts left out are null."""
    plate = plate_of(job)
    sizes = sizes_json(plate, [("blade", 7)])
    assert (sizes["centre"] is None) == (job.centre is None)
    assert (sizes["background"] is None) == (job.background is None)
    assert sizes["needs"] == [{"shape": "blade", "count": 7}]
    for part in ("blade", "plate", "centre", "background"):
        table = sizes[part]
        if table is None:
            continue
        assert isinstance(table, dict)
        numbers = {key: value for key, value in table.items() if isinstance(value, float)}
        # A facing may pass a narrow end that lies at the plate centre, by up to a seam.
        least = {"facing_ends_mm": -plate.blade.seam_mm - NEAR_MM}
        assert all(math.isfinite(value) and value >= least.get(key, 0) for key, value in numbers.items())
        assert all(key.endswith(("_mm", "_deg")) for key in numbers)


def test_sizes_of_the_usual_plate_carry_the_promised_names() -> None:
    """The names that other programs read are there, with the right numbers behind them."""
    harbour = plate(centre=CentreSpec(6.35, 6.35, None), background=BackgroundSpec(12.7, None))
    sizes: dict[str, dict[str, float]] = sizes_json(harbour, [])  # type: ignore[assignment]
    expected = {
        ("blade", "length_mm"): 4.75,
        ("blade", "narrow_width_mm"): 0.9022, ("blade", "wide_width_mm"): 2.4068,
        ("plate", "finished_diameter_mm"): 11.5, ("plate", "valley_diameter_mm"): 10.0514,
        ("plate", "extent_mm"): 11.5, ("blade", "facing_ends_mm"): 4.5862,
        ("plate", "opening_diameter_mm"): 2.5312, ("centre", "finished_diameter_mm"): 3.0312,
        ("centre", "cut_diameter_mm"): 3.5312, ("background", "cut_side_mm"): 13.0,
        # 1/4 in of cover bears e ≤ v·sin a·cos a, and 1/16 in wants e/(sin a·cos a).
        ("centre", "bears_seam_error_mm"): 0.0386, ("centre", "cover_for_1_16_in_mm"): 0.4045,
    }  # fmt: skip
    for (part, name), inches in expected.items():
        assert round(sizes[part][name] / IN, 4) == inches
    assert sizes["blade"]["angle_deg"] == 18
