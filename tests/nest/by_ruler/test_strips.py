"""Fabrics cut by ruler: the trade's numbers, and that every piece lies on its cloth, clear of all others."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import JobError, UnmetError
from cutfiles.core.units import Unit, sold
from cutfiles.job.model.job import FabricSpec, Grain, Print, RepeatSpec, Share
from cutfiles.job.schema.field import LONGEST_MM
from cutfiles.nest.base.layout import Layout, Lie, Strip
from cutfiles.nest.by_hand import lay_out_strips
from cutfiles.nest.verify.strips import strip_faults
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.plate.plate import Background, Plate
from tests.nest.jobs import (
    IN,
    Count,
    background_square,
    blade_of,
    centre_circle,
    cut_list_of,
    fabric_of,
)

BLADE = blade_of()
PLATE = Plate(1, BLADE, 20, None, Background.square(13 * IN, 12.5 * IN))
SHAPES = (blade_shape(BLADE), centre_circle(1.7656), background_square(13))


def strips_of(needs: dict[str, int], *fabrics: FabricSpec) -> Layout:
    """Return the strips of fabrics that must give so many."""
    return lay_out_strips(cut_list_of(SHAPES, needs, *fabrics), PLATE, Unit.IN)


def bolt(*, print_: Print = Print.PLAIN, grain: Grain = Grain.LENGTHWISE, **cuts: Count) -> FabricSpec:
    """Return cloth of 42 in, as long as needed."""
    cloth = fabric_of(size=(42, 1), pieces=1, print_=print_, grain=grain, cuts=cuts or None)
    return replace(cloth, length_mm=LONGEST_MM, as_needed=True)


@pytest.mark.parametrize(
    ("print_", "strips", "each", "needed", "buy"),
    [(Print.PLAIN, 5, 24, 23.75, "3/4 yd"), (Print.ONE_WAY, 8, 17, 38.0, "1 1/8 yd")],
    ids=["end for end", "one way"],
)
def test_120_blades_off_the_bolt_are_what_the_trade_says(
    print_: Print, strips: int, each: int, needed: float, buy: str
) -> None:
    """24 a strip end for end, 17 one way, of 42 in usable width; worked out by hand."""
    layout = strips_of({"blade": 120}, bolt(print_=print_))
    assert len(layout.strips) == strips
    assert max(strip.count for strip in layout.strips) == each
    assert sum(strip.count for strip in layout.strips) == 120
    bought = layout.tallies[0].bought
    assert bought is not None
    assert bought.length_mm == pytest.approx(needed * IN)
    assert sold(bought.buy_mm, Unit.IN) == buy


def test_a_square_of_five_inches_gives_two_end_for_end() -> None:
    """And three squares give five, the last of them one."""
    layout = strips_of({"blade": 5}, fabric_of(size=(5, 5), pieces=3))
    assert [(strip.piece, strip.count, strip.lie) for strip in layout.strips] == [
        (1, 2, Lie.END_FOR_END),
        (2, 2, Lie.END_FOR_END),
        (3, 1, Lie.END_FOR_END),
    ]


def test_what_a_square_leaves_is_used_before_the_next_length() -> None:
    """Beside a background of 13 in on a fat quarter are 5 in: two strips of two blades."""
    layout = strips_of(
        {"background": 1, "blade": 4},
        fabric_of(size=(18, 13.5), pieces=1, cuts={"background": 1, "blade": Share.REST}),
    )
    assert [(strip.shape, strip.count) for strip in layout.strips] == [
        ("background", 1),
        ("blade", 2),
        ("blade", 2),
    ]


def test_grain_across_takes_strips_along_the_cloth() -> None:
    """Off the bolt as many side by side as the width takes, no longer than they need be."""
    layout = strips_of({"blade": 16}, bolt(grain=Grain.CROSSWISE))
    assert {strip.is_lengthwise for strip in layout.strips} == {True}
    # 42 in take eight strips of 4 3/4 in side by side, of two blades each: 2 · 1.6545 + .7523.
    assert len(layout.strips) == 8
    assert layout.tallies[0].bought is not None
    assert layout.tallies[0].bought.length_mm == pytest.approx(4.125 * IN)


def test_what_is_short_is_said_with_what_would_do() -> None:
    """One square more, tried before it is said."""
    with pytest.raises(UnmetError, match=r"18 fit .*1 more piece would do"):
        strips_of({"blade": 20}, fabric_of(size=(5, 5), pieces=9))


@pytest.mark.parametrize(
    ("key", "change"),
    [
        ("outline", {"outline": ((0.0, 0.0), (300.0, 0.0), (0.0, 300.0))}),
        ("avoid", {"avoid": (((0.0, 0.0), (30.0, 0.0), (0.0, 30.0)),)}),
        ("repeat", {"repeat": RepeatSpec(50.0, 50.0, (0.0, 0.0))}),
    ],
)
def test_a_fabric_that_no_strip_can_be_ruled_on_is_refused(key: str, change: dict[str, object]) -> None:
    """At the key that makes it so."""
    fabric = replace(fabric_of(size=(20, 20)), **change)  # type: ignore[arg-type]
    with pytest.raises(JobError, match=rf"fabric\.tide\.{key}: "):
        strips_of({"blade": 1}, fabric)


def _placed(strip: Strip) -> list[shapely.Polygon]:
    """The pieces of a strip where they lie on their fabric, by its marks."""
    cuts = list(zip(strip.top_mm, strip.bottom_mm, strict=True))
    pairs = list(pairwise(cuts))[:: 2 if strip.lie is Lie.ONE_WAY else 1]
    pieces = []
    for (top, low), (next_top, next_low) in pairs:
        flat = [(top, strip.height_mm), (low, 0.0), (next_low, 0.0), (next_top, strip.height_mm)]
        if strip.is_lengthwise:  # laid across before you it was turned by a quarter
            flat = [(y, x) for x, y in flat]
        pieces.append(shapely.Polygon([(strip.x_mm + x, strip.y_mm + y) for x, y in flat]))
    return pieces


@settings(max_examples=60)
@given(
    size=st.tuples(st.floats(5, 45), st.floats(5, 45)),
    pieces=st.integers(1, 4),
    ways=st.tuples(st.sampled_from(Print), st.sampled_from(Grain)),
    margin=st.sampled_from([0.0, 0.25]),
    cuts=st.fixed_dictionaries(
        {"blade": st.integers(1, 90)},
        optional={"centre": st.integers(1, 9), "background": st.integers(1, 3)},
    ),
)
def test_every_piece_lies_on_its_cloth_and_clear_of_all_others(
    size: tuple[float, float],
    pieces: int,
    ways: tuple[Print, Grain],
    margin: float,
    cuts: dict[str, int],
) -> None:
    """Measured by shapely from the marks; what is asked is given, or said to be short."""
    print_, grain = ways
    fabric = fabric_of(size=size, pieces=pieces, print_=print_, grain=grain, margin=margin, cuts=dict(cuts))
    try:
        layout = strips_of(dict(cuts), fabric)
    except UnmetError:
        return
    given: Counter[str] = Counter()
    for strip in layout.strips:
        given[strip.shape] += strip.count
    assert given == cuts
    inner = shapely.box(*(side * IN for side in (margin, margin, size[0] - margin, size[1] - margin)))
    for piece in range(1, pieces + 1):
        placed = [part for strip in layout.strips if strip.piece == piece for part in _placed(strip)]
        assert all(inner.buffer(1e-6).covers(part) for part in placed)
        whole = shapely.unary_union(placed)
        assert whole.area == pytest.approx(sum(part.area for part in placed), rel=1e-9)
    if print_ is Print.ONE_WAY:
        assert not any(strip.lie is Lie.END_FOR_END for strip in layout.strips)


def test_a_strip_that_breaks_a_law_is_found() -> None:
    """Each law by a strip that breaks it alone."""
    fabric = fabric_of(size=(42, 10), pieces=1, cuts={"blade": 30})
    cut_list = cut_list_of(SHAPES, {"blade": 30}, fabric)
    first, second = lay_out_strips(cut_list, PLATE, Unit.IN).strips
    broken = {
        "leaves its fabric": [replace(first, y_mm=6 * IN)],
        "overlaps another": [first, replace(second, y_mm=4 * IN)],
        "is not as high": [replace(first, length_mm=first.length_mm + 0.1)],
        "is marked for 24 pieces, not 23": [replace(first, count=23)],
        "of other widths": [replace(first, top_mm=(0.1, *first.top_mm[1:]))],
    }
    assert list(strip_faults([first, second], cut_list, {"tide": fabric})) == []
    for says, strips in broken.items():
        faults = list(strip_faults(strips, cut_list, {"tide": fabric}))
        assert len(faults) == 1
        assert says in faults[0]
