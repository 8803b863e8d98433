"""How many fit: exact fits, the squares of the trade, and rows turned end for end."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import ring
from cutfiles.job.model.job import Print, Register, Share
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.container import Container
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import Shape
from cutfiles.tips.registry import Tip
from tests.nest.jobs import IN, bed_of, blade_of, cut_list_of, fabric_of, nested


def held(
    shape: Shape, *, size: tuple[float, float], margin: float = 0.0, gap: float = 0.0, one_way: bool
) -> int:
    """Return how many of a shape are found to fit on one piece of fabric, sizes in mm."""
    solver = Solver((shape,), gap_mm=gap, clock=Clock())
    turns = (0.0,) if one_way else (0.0, 180.0)
    return len(solver.maximise(Container(*size, 0.0, turns, False), shape.name))


def blade_wide(narrow: float, wide: float, length: float) -> Shape:
    """Return a flat blade by its widths and length, in inches."""
    points = ((-narrow / 2, 0), (narrow / 2, 0), (wide / 2, length), (-wide / 2, length))
    return Shape("blade", ring(*((x * IN, y * IN) for x, y in points)), (), symmetric=True)


def in_rows(
    narrow: float, wide: float, length: float, *, width: float, height: float, gap: float, one_way: bool
) -> int:
    """Return how many blades rows of one height hold, in closed form.

    Turned end for end, neighbours share a slanted edge: in x it takes the gap over the cosine of its
    slant, and each blade but the first adds its middle width, with that slanted gap.
    """
    slanted = gap * math.hypot((wide - narrow) / 2, length) / length
    # One way up, neighbours touch at their wide ends only.
    step = wide + gap if one_way else (narrow + wide) / 2 + slanted
    each = 0 if wide > width + 1e-9 else 1 + math.floor((width - wide) / step + 1e-9)
    return each * math.floor((height + gap) / (length + gap) + 1e-9)


@pytest.mark.parametrize("one_way", [False, True])
def test_an_exact_fit_counts(one_way: bool) -> None:
    """A 5 in blade comes from a 5 in piece that is no wider than the blade's wide end."""
    blade = blade_shape(blade_of(length=5.0))
    wide = blade_of(length=5.0).wide_width_mm
    assert held(blade, size=(wide, 5 * IN), one_way=one_way) == 1
    assert held(blade, size=(wide - 1e-6, 5 * IN), one_way=one_way) == 0
    assert held(blade, size=(wide, 5 * IN - 1e-6), one_way=one_way) == 0


@pytest.mark.parametrize(("across", "up"), [(1, 1), (4, 3), (5, 1)])
@pytest.mark.parametrize("gap", [0.0, 1.5875, 3.0])
def test_a_grid_of_squares_fits_exactly(across: int, up: int, gap: float) -> None:
    """Squares with the gap between them fill their fabric to the last bit, and not one more is found."""
    side = 2.1 * IN
    square = Shape("tile", ring((0, 0), (side, 0), (side, side), (0, side)), (), symmetric=False)
    size = (across * side + (across - 1) * gap, up * side + (up - 1) * gap)
    assert held(square, size=size, gap=gap, one_way=False) == across * up


@pytest.mark.parametrize("missing", [0.005, 1e-6])
@pytest.mark.parametrize("gap", [0.0, 3.0])
def test_a_hair_too_little_room_for_two_holds_one(missing: float, gap: float) -> None:
    """Though the areas would allow two, they may not sink into each other by a hair."""
    side = 2.1 * IN
    square = Shape("tile", ring((0, 0), (side, 0), (side, side), (0, side)), (), symmetric=False)
    assert held(square, size=(2 * side + gap, 1.5 * side), gap=gap, one_way=True) == 2
    assert held(square, size=(2 * side + gap - missing, 1.5 * side), gap=gap, one_way=True) == 1


def test_a_plain_five_inch_square_gives_two_blades_turned_end_for_end() -> None:
    """The trade's count: twenty blades come from ten squares of plain fabric."""
    plain = fabric_of(pieces=10, cuts={"blade": 20})
    blade = blade_shape(blade_of(inner=1.4, length=5.0))
    layout = nested(cut_list_of((blade,), {"blade": 20}, plain), bed_of(gap=0.0))
    assert layout.tallies[0].pieces_used == 10
    for load in layout.loads:
        for laid in load.fabrics:
            assert sorted(placement.pose.turn_deg - laid.turn_deg for placement in laid.placements) == [
                0,
                180,
            ]


def test_a_one_way_five_inch_square_gives_one_blade() -> None:
    """A one-way print allows no turning, so twenty blades take twenty squares."""
    one_way = fabric_of(pieces=20, print_=Print.ONE_WAY, cuts={"blade": 20})
    blade = blade_shape(blade_of(inner=1.4, length=5.0))
    layout = nested(cut_list_of((blade,), {"blade": 20}, one_way), bed_of(gap=0.0))
    assert layout.tallies[0].pieces_used == 20


def test_two_one_way_blades_fit_where_their_wide_ends_do() -> None:
    """With a smaller hole the wide end is 2.486 in: two abreast are 4.972 in, and do fit 5 in."""
    blade = blade_shape(blade_of(inner=1.25, length=5.0))
    assert 2 * blade_of(inner=1.25, length=5.0).wide_width_mm / IN == pytest.approx(4.972, abs=1e-3)
    assert held(blade, size=(5 * IN, 5 * IN), one_way=True) == 2
    assert held(blade, size=(4.97 * IN, 5 * IN), one_way=True) == 1


@settings(max_examples=12, deadline=None)
@example(blade=(1.0, 2.5, 4.75), room=(21.75, 17.75), gap=0.0625, one_way=False)
@example(blade=(1.0, 2.5, 4.75), room=(10.0, 9.5), gap=0.0, one_way=False)
@given(
    blade=st.tuples(st.floats(0.5, 1.5), st.floats(1.6, 3.0), st.floats(3.0, 5.0)),
    room=st.tuples(st.floats(3.0, 12.0), st.floats(5.0, 12.0)),
    gap=st.sampled_from([0.0, 0.0625]),
    one_way=st.booleans(),
)
def test_our_result_never_has_less_than_rows_turned_end_for_end(
    blade: tuple[float, float, float], room: tuple[float, float], gap: float, one_way: bool
) -> None:
    """What a person with a ruler gets in rows, the search gets too."""
    size = (room[0] * IN, room[1] * IN)
    count = held(blade_wide(*blade), size=size, gap=gap * IN, one_way=one_way)
    assert count >= in_rows(*blade, width=room[0], height=room[1], gap=gap, one_way=one_way)


@pytest.mark.parametrize("tip", Tip)
def test_a_fat_quarter_gives_more_than_its_rows(tip: Tip) -> None:
    """Three rows of twelve leave a strip of fabric; meshed rows make use of it."""
    usual = blade_of(tip=tip)
    widths = (usual.narrow_width_mm / IN, usual.wide_width_mm / IN, usual.length_mm / IN)
    rows = in_rows(*widths, width=22.0, height=18.0, gap=0.0, one_way=False)
    assert held(blade_shape(usual), size=(22 * IN, 18 * IN), one_way=False) > rows


def test_fewer_than_fit_leave_one_large_rest() -> None:
    """Four blades of a long strip stand together at one end of it."""
    strip = fabric_of(size=(5, 20), pieces=1, cuts={"blade": 4})
    bed = bed_of(register=Register.NONE)
    layout = nested(cut_list_of((blade_shape(blade_of()),), {"blade": 4}, strip), bed)
    laid = layout.loads[0].fabrics[0]
    ends = [placement.pose.y_mm for placement in laid.placements]
    assert len(ends) == 4
    assert laid.turn_deg == 0
    assert max(ends) < 13 * IN


def test_fill_gives_all_that_a_fabric_holds() -> None:
    """A fabric told to fill gives every piece's full yield, whatever the plates need."""
    fabric = fabric_of(pieces=3, cuts={"blade": Share.FILL})
    layout = nested(cut_list_of((blade_shape(blade_of(inner=1.4)),), {"blade": 2}, fabric))
    assert layout.tallies[0].counts == (("blade", 6),)
    assert layout.notes == ("blade: 6 cut, 2 needed; 4 to spare",)
