"""What a folded point's facing needs: it is opened and turned with the geometry library."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from shapely import affinity

from cutfiles.core.errors import GeometryError
from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip
from tests.strategies import blades

IN = 25.4
NEAR_MM = 1e-6


def facing(blade: Blade) -> shapely.Polygon:
    """The right half below the tip's seam, opened about the seam's end on the fold and turned to the back."""
    tip = blade.tip_radius_mm
    half = shapely.Polygon(
        [
            (0, tip),
            (blade.cut_half_width_mm(tip), tip),
            (blade.cut_half_width_mm(tip) / 2, tip - 1),
            (0, tip - 1),
        ]
    )
    # Turned to the back, the fold's half lies mirrored in the finished edge, which falls at 45°.
    at_origin = affinity.translate(half, 0, -tip)
    return affinity.translate(affinity.affine_transform(at_origin, [0, -1, -1, 0, 0, 0]), 0, tip)


@given(blade=blades(tip=Tip.FOLDED))
def test_the_facing_ends_where_the_turned_half_does(blade: Blade) -> None:
    """Mirrored in the finished edge, the seam's far end is the facing's lowest point."""
    assert blade.facing_ends_mm == pytest.approx(facing(blade).bounds[1], abs=NEAR_MM)
    assert blade.facing_out_mm <= blade.seam_mm + NEAR_MM


@pytest.mark.parametrize(
    ("blades", "inner", "length", "ends"), [(3, 1.25, 4.75, -4.709), (5, 2, 4, 1.263), (8, 2, 1.5, 1.633)]
)
def test_a_facing_below_the_narrow_end_is_refused(
    blades: int, inner: float, length: float, ends: float
) -> None:
    """By more than a seam: the reason is told, and by how much."""
    sticks = rf"reach {int((inner - ends) * IN)}[.\d]* mm .* below the blade's narrow end"
    with pytest.raises(GeometryError, match=sticks):
        Blade(blades, inner * IN, length * IN, 0.25 * IN, Tip.FOLDED)


def test_the_size_that_would_do_does() -> None:
    """And needs no trimming; an eighth less would."""
    with pytest.raises(GeometryError, match=r"a blade_length of 55\.56 mm \(2\.188 in\) would do"):
        Blade(8, 2 * IN, 1.5 * IN, 0.25 * IN, Tip.FOLDED)
    assert Blade(8, 2 * IN, 2.1875 * IN, 0.25 * IN, Tip.FOLDED).facing_out_mm == 0
    assert Blade(8, 2 * IN, 2.0625 * IN, 0.25 * IN, Tip.FOLDED).facing_out_mm > 0


@pytest.mark.parametrize(("out", "told"), [(1 / 30, True), (1 / 40, False), (0.0007, False)])
def test_what_nobody_could_trim_is_not_told(out: float, *, told: bool) -> None:
    """By less than half a sixteenth: among the steps there is none that says "0 in"."""
    t, c = math.tan(math.pi / 8), math.cos(math.pi / 8)
    tip = (2 - out + 0.25 / c) / (1 - t)  # from where the facing ends back to the finished tip's radius
    blade = Blade(8, 2 * IN, (tip + 0.25 - 2) * IN, 0.25 * IN, Tip.FOLDED)
    assert blade.facing_ends_mm == pytest.approx((2 - out) * IN)
    assert (blade.facing_out_mm > 0) is told
    steps = blade.tip.finish.steps(blade, shown=str)
    assert any("Trim the facing" in step for step in steps) is told


@pytest.mark.parametrize("blades", [3, 4])
@pytest.mark.parametrize("length", [1, 5, 50])
def test_three_and_four_blades_have_no_folded_points(blades: int, length: float) -> None:
    """However long they are."""
    with pytest.raises(GeometryError, match="always with 3 or 4 blades; take 5 blades or more"):
        Blade(blades, 0.0, length * IN, 0.25 * IN, Tip.FOLDED)


def test_a_little_too_long_is_trimmed_and_told() -> None:
    """Up to a seam: among the steps is one that trims it; where nothing sticks out there is none."""
    trimmed = Blade(8, 2 * IN, 1.875 * IN, 0.25 * IN, Tip.FOLDED)
    steps = trimmed.tip.finish.steps(trimmed, shown=lambda mm: f"<{mm:.2f}>")
    assert (
        sum(f"Trim the facing: it reaches <{trimmed.facing_out_mm:.2f}> below" in step for step in steps) == 1
    )
    usual = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)
    assert not any("Trim the facing" in step for step in usual.tip.finish.steps(usual, shown=str))
    assert usual.facing_ends_mm == pytest.approx(
        5.75 * IN * (1 - math.tan(math.pi / 20)) - 0.25 * IN / math.cos(math.pi / 20)
    )
    assert Blade(20, 30.0, 120.0, 6.0, Tip.FLAT).facing_ends_mm is None
