"""Scraps with an outline, and what is to be avoided: measured anew on the mat."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import FabricSpec, Face, Grain, Print, Share
from cutfiles.nest.base.layout import Layout
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.reach import Rect
from cutfiles.nest.fabric.obstacles import obstacles_in, usable_mm2
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import CutList
from tests.nest.concave_shapes import ELL
from tests.nest.jobs import IN, bed_of, blade_of, centre_circle, cut_list_of, fabric_of, in_mm, nested
from tests.nest.measured import faults, laid_at, points_of

BLADE = blade_shape(blade_of(length=2.5))
SCRAP = ((0.0, 0.0), (10.0, 0.0), (9.0, 7.0), (5.0, 5.0), (1.0, 6.0))  # inches


def _uneven(
    fabric: FabricSpec, outline: tuple[Point, ...] = (), avoid: tuple[tuple[Point, ...], ...] = ()
) -> FabricSpec:
    return replace(fabric, outline=in_mm(outline), avoid=tuple(in_mm(points) for points in avoid))


def _strays(layout: Layout, cut_list: CutList, fabric: FabricSpec) -> list[str]:
    """Every cut line off its scrap less the margin, or in what is to be avoided; both from the job's own."""
    strays = []
    outlines = {shape.name: points_of(shape.cut) for shape in cut_list.shapes}
    for load in layout.loads:
        for laid in load.fabrics:
            room = shapely.box(0, 0, fabric.width_mm, fabric.length_mm)
            cloth = shapely.Polygon(fabric.outline) if fabric.outline else room
            blocked = shapely.union_all([shapely.Polygon(points) for points in fabric.avoid])
            rough = next((cut for cut in layout.rough_cuts if cut.goes_to == load.name), None)
            left, low = (rough.x_mm, rough.y_mm) if rough else (0.0, 0.0)
            for placement in laid.placements:
                # Back from the mat to the fabric: a quarter turn, then the corner.
                x, y = (laid_at(outlines[placement.shape], placement.pose) - (laid.x_mm, laid.y_mm)).T
                if laid.turn_deg:
                    x, y = y, laid.length_mm - x
                piece = shapely.Polygon(list(zip(x + left, y + low, strict=True)))
                if not cloth.buffer(2e-6).covers(piece):
                    strays.append(f"{placement.piece_id} leaves the scrap")
                if piece.exterior.distance(cloth.exterior) < fabric.margin_mm - 2e-6:
                    strays.append(f"{placement.piece_id} is in the margin")
                if piece.intersection(blocked).area > 1e-3:
                    strays.append(f"{placement.piece_id} enters what is to be avoided")
    return strays


@st.composite
def uneven_fabrics(draw: st.DrawFn) -> FabricSpec:
    """Scraps of three to eight corners around a middle, rectangles, and up to three flaws."""
    fabric = fabric_of(
        size=(draw(st.floats(5, 10)), draw(st.floats(5, 10))),
        pieces=draw(st.integers(1, 2)),
        print_=draw(st.sampled_from(Print)),
        grain=draw(st.sampled_from(Grain)),
        margin=draw(st.sampled_from([0.0, 0.125])),
        face=draw(st.sampled_from(Face)),
        cuts={"blade": Share.FILL},
    )
    avoid = tuple(
        ((x, y), (x + width, y), (x + width * 0.7, y + length), (x, y + length))
        for x, y, width, length in draw(
            st.lists(
                st.tuples(*[st.floats(0, 4), st.floats(0, 4), st.floats(0.1, 2), st.floats(0.1, 2)]),
                max_size=3,
            )
        )
    )
    outline: tuple[Point, ...] = ()
    if draw(st.booleans()) or not avoid:
        width, length = fabric.width_mm / IN, fabric.length_mm / IN
        a, b, c, d = (draw(st.floats(0.1, 0.9)) for _ in range(4))
        outline = ((a * width, 0.0), (width, b * length), (c * width, length), (0.0, d * length))
        if draw(st.booleans()):
            outline = (*outline[:3], (0.4 * width, 0.6 * length), outline[3])
        if not shapely.Polygon(outline).is_valid:
            outline = (*outline[:3], outline[-1])
    return _uneven(fabric, outline, avoid)


@settings(max_examples=6, deadline=None)
@given(fabric=uneven_fabrics())
def test_every_piece_lies_on_the_scrap_and_clear_of_flaws(fabric: FabricSpec) -> None:
    """And all other laws hold: gap, allowed turns, mirroring, counts, and the bound; twice the same."""
    bed, job = bed_of(), cut_list_of((BLADE,), {}, fabric)
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    assert _strays(layout, job, fabric) == []
    assert nested(job, bed) == layout
    for tally in layout.tallies:
        most = dict(tally.at_most)
        assert all(count <= most[shape] for shape, count in tally.counts)
        assert 0 <= tally.used_share <= 1 + 1e-9


def test_a_scrap_takes_shapes_with_bays_and_circles_too() -> None:
    """A mixture on one scrap with a flaw, turned on the mat."""
    fabric = fabric_of(size=(10, 7), pieces=1, margin=0.125, cuts={"centre": 2, "ell": Share.FILL})
    fabric = _uneven(fabric, SCRAP, (((4, 1), (5, 1), (5, 2)),))
    bed, job = bed_of(), cut_list_of((centre_circle(0.8), ELL), {"centre": 2}, fabric)
    layout = nested(job, bed)
    assert faults(layout, job, bed) == []
    assert _strays(layout, job, fabric) == []
    counts = dict(layout.tallies[0].counts)
    assert counts["centre"] == 2
    assert counts["ell"] >= 3


def test_a_flaw_on_yardage_stays_clear_in_the_rough_cut_it_lies_in() -> None:
    """Cut into rectangles, each one knows which part of the flaw it has."""
    fabric = fabric_of(size=(20, 12), pieces=1, cuts={"blade": Share.FILL})
    fabric = _uneven(fabric, (), (((8, 2), (12, 3), (11, 9), (9, 8)),))
    bed, job = bed_of(mat=(12, 14)), cut_list_of((BLADE,), {}, fabric)
    layout = nested(job, bed)
    assert len(layout.rough_cuts) > 1
    assert faults(layout, job, bed) == []
    assert _strays(layout, job, fabric) == []
    assert sum(len(laid.avoid) for load in layout.loads for laid in load.fabrics) > 1


def test_what_has_no_flaw_is_laid_as_ever() -> None:
    """A flaw in a corner where nothing would lie changes no count."""
    plain = fabric_of(size=(5, 5), pieces=1, cuts={"blade": Share.FILL})
    flawed = _uneven(plain, (), (((4.9, 0), (5, 0), (5, 0.1)),))
    counts = [nested(cut_list_of((BLADE,), {}, fabric)).tallies[0].counts for fabric in (plain, flawed)]
    assert counts[0] == counts[1]


def test_the_polygons_reach_the_mat_as_the_fabric_lies() -> None:
    """Turned by a quarter where the fabric is; a scrap's lower left corner stays its bounds' corner."""
    fabric = _uneven(fabric_of(size=(14, 9), pieces=1, cuts={"blade": Share.FILL}), ((0, 0), (14, 0), (0, 9)))
    layout = nested(cut_list_of((BLADE,), {}, fabric))
    laid = layout.loads[0].fabrics[0]
    assert laid.turn_deg == 90
    corners = [(round((x - laid.x_mm) / IN, 6), round((y - laid.y_mm) / IN, 6)) for x, y in laid.outline]
    assert corners == [(9, 0), (9, 14), (0, 0)]


def test_a_scrap_too_large_for_the_mat_is_refused_with_its_key() -> None:
    """Rough cuts are rectangles, and no rectangle of a scrap is known to be cloth."""
    fabric = _uneven(fabric_of(size=(30, 20), pieces=1), ((0, 0), (30, 0), (0, 20)))
    with pytest.raises(JobError, match=r"fabric\.tide\.outline: a scrap of 30 in × 20 in is too large"):
        nested(cut_list_of((BLADE,), {"blade": 1}, fabric_of("shingle"), fabric))


def test_obstacles_are_the_room_less_the_scrap() -> None:
    """Areas, by hand: half of a square is a triangle; a diamond less a margin lies in a ring."""
    square = fabric_of(size=(4, 4))
    triangle = _uneven(square, ((0, 0), (4, 0), (0, 4)))
    rings = obstacles_in(cloth_of(triangle), Rect(0, 0, 4 * IN, 4 * IN))
    assert sum(shapely.Polygon(ring).area for ring in rings) == pytest.approx(8 * IN**2, rel=1e-6)
    assert usable_mm2(cloth_of(triangle)) == pytest.approx(8 * IN**2)
    diamond = _uneven(replace(square, margin_mm=0.5 * IN), ((2, 0), (4, 2), (2, 4), (0, 2)))
    rings = obstacles_in(cloth_of(diamond), Rect(0, 0, 4 * IN, 4 * IN))
    # The diamond's half diagonal is 2, less √½ for a margin of 1/2; the room is 3 by 3.
    left = 9 - 2 * (2 - 0.5**0.5) ** 2
    assert sum(shapely.Polygon(ring).area for ring in rings) == pytest.approx(left * IN**2, rel=1e-6)
    assert obstacles_in(cloth_of(square), Rect(0, 0, 4 * IN, 4 * IN)) == ()
