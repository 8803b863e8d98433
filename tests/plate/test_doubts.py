"""What is said of the cloth without a search is true: a blade that is longer than every piece fits none."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cutfiles.job.model.job import Grain, Share
from cutfiles.plate.doubts import blade_is_too_long, longest_mm
from cutfiles.plate.measure import plate_of
from tests.sheet.jobs import HARBOUR

IN = 25.4


@pytest.mark.parametrize(
    ("grain", "inches"),
    [
        (Grain.LENGTHWISE, 4.75), (Grain.CROSSWISE, 3.75), (Grain.STRAIGHT, 4.75),
        (Grain.ANY, math.sqrt(3.75**2 + 4.75**2)),
    ],
)  # fmt: skip
def test_a_piece_is_as_long_as_its_grain_lets_it_be(grain: Grain, inches: float) -> None:
    """Of 4 × 5 in with 1/8 in clear all round: along it, across it, either way or over its corners."""
    piece = replace(HARBOUR.fabrics[0], width_mm=4 * IN, length_mm=5 * IN, margin_mm=IN / 8, grain=grain)
    assert longest_mm(piece) == pytest.approx(inches * IN)
    assert longest_mm(replace(piece, as_needed=True)) is None


@pytest.mark.parametrize(("inches", "told"), [(4.74, True), (4.75, False)])
def test_a_blade_longer_than_every_piece_is_told(inches: float, told: bool) -> None:
    """One piece that is long enough is enough; so is one that nobody can tell of."""
    short = replace(
        HARBOUR.fabrics[0], length_mm=3 * IN, margin_mm=0.0, grain=Grain.LENGTHWISE, repeat=None,
        cuts=(("blade", Share.REST),),
    )  # fmt: skip
    long = replace(short, length_mm=inches * IN)
    job = replace(HARBOUR, fabrics=(short, long))
    blade = plate_of(job).blade
    assert blade.length_mm == pytest.approx(4.75 * IN)
    assert blade_is_too_long(job, blade) == (pytest.approx(inches * IN) if told else None)
    assert blade_is_too_long(replace(job, fabrics=(short, replace(long, as_needed=True))), blade) is None
