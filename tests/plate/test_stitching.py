"""How much there is to sew, against the closed forms and against the outline of the whole plate."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from cutfiles import parse_job
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.plate.stitching import STITCHES_PER_INCH, stitching

IN = 25.4


def _plate(keys: str = "", *, centre: str = '[centre]\ncover = "1/4"') -> Plate:
    return plate_of(parse_job(f'[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n{keys}\n{centre}\n'))


def test_twenty_folded_blades_by_their_closed_forms() -> None:
    """Edge 2n·√2·r_t·t/(1 + t), centre π·d, side seams n·ℓ, tips n·w(r_t)."""
    found, t, s = stitching(_plate()), math.tan(math.pi / 20), math.sin(math.pi / 20)
    c = math.cos(math.pi / 20)
    assert found.edge_mm / IN == pytest.approx(40 * math.sqrt(2) * 5.75 * t / (1 + t))
    assert found.centre_mm / IN == pytest.approx(math.pi * 2 * (1.25 / c + 0.25))
    assert found.sides_mm / IN == pytest.approx(20 * (5.75 / (c + s) - 1.25 / c))
    assert found.tips_mm / IN == pytest.approx(20 * (5.75 * t + 0.25 / c))
    inches = [each / IN for each in (found.edge_mm, found.centre_mm, found.sides_mm, found.tips_mm)]
    assert inches == pytest.approx([44.47, 9.52, 75.2, 23.3], abs=0.05)
    assert round((found.edge_mm + found.centre_mm) / IN * STITCHES_PER_INCH) == 216


@pytest.mark.parametrize(
    ("keys", "corners"),
    [
        ("", [(0.0, 5.75)]),
        ("sewn = 7", [(0.0, 5.75)]),
        ('tip = "flat"', []),
        ('second_length = "4 1/4"', [(0.0, 5.75), (0.0, 5.25)]),
    ],
)
def test_the_edge_is_that_of_the_blades_joined(keys: str, corners: list[tuple[float, float]]) -> None:
    """Shapely unites wedges up to their tips; what lies beyond the opening is sewn down."""
    plate = _plate(keys)
    a, wedges = math.pi / 20, []
    lengths = corners or [(0.0, 5.75)]
    for place in range(plate.sewn):
        tip = lengths[place % len(lengths)][1]
        if corners:
            valley = tip / (math.cos(a) + math.sin(a))
            right = (valley * math.sin(a), valley * math.cos(a))
            top = [right, (0.0, tip), (-right[0], right[1])]
        else:
            top = [(tip * math.tan(a), tip), (-tip * math.tan(a), tip)]
        turn = 2 * a * place
        wedges.append(
            Polygon(
                [
                    (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn))
                    for x, y in [(0.0, 0.0), *top]
                ]
            )
        )
    whole = unary_union([wedge.buffer(1e-9, join_style="mitre") for wedge in wedges])
    hidden = 0.0 if plate.sewn == 20 else 2 * 1.25 / math.cos(a)  # of a fan's two sides, where the hole is
    assert stitching(plate).edge_mm / IN == pytest.approx(whole.exterior.length - hidden, abs=1e-5)


def test_a_round_tip_has_no_seam_of_its_own_and_its_edge_is_an_arc() -> None:
    """From sew line to sew line the arc sweeps 180° and a blade's angle; a corner has a quarter centre."""
    plate = _plate('tip = "round"\nset = "corner"')
    found, a = stitching(plate), math.pi / 20
    middle = 5.75 / (1 + math.sin(a))
    assert found.tips_mm == 0
    assert found.edge_mm / IN == pytest.approx(5 * middle * math.sin(a) * (math.pi + 2 * a))
    assert found.centre_mm / IN == pytest.approx(math.pi / 2 * (1.25 / math.cos(a) + 0.25))
    assert found.sides_mm / IN == pytest.approx(4 * (middle * math.cos(a) - 1.25 / math.cos(a)))


def test_two_lengths_are_joined_up_to_the_shorter_valley() -> None:
    """Each of the twenty seams as long as between two short blades."""
    found, a = stitching(_plate('second_length = "4 1/4"')), math.pi / 20
    side = 5.25 / (math.cos(a) + math.sin(a)) - 1.25 / math.cos(a)
    assert found.sides_mm / IN == pytest.approx(20 * side)


def test_bands_are_seams_across_each_blade() -> None:
    """Twenty of 1.6149 in, the cut width at 3 1/2 in."""
    assert stitching(_plate('bands = ["3 1/2"]')).bands_mm / IN == pytest.approx(20 * 1.6149, abs=1e-3)


def test_without_a_centre_there_is_none_to_sew() -> None:
    """Where the seams meet and stay seen."""
    assert stitching(_plate(centre="")).centre_mm == 0
