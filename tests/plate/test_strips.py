"""Marks along a strip: the numbers of the trade, and pieces cut by them laid on the blade's own outline."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.units import MM_PER_INCH
from cutfiles.geometry.outline import bounds, chords
from cutfiles.job.model.job import Setting
from cutfiles.pieces.plate_shapes import blade_shapes_of
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Plate
from cutfiles.plate.strips import (
    StripMarks,
    end_for_end,
    marks_end_for_end,
    marks_one_way,
    one_way,
    wedges_of,
)
from cutfiles.tips.registry import Tip
from tests.strategies import blades

IN = MM_PER_INCH
R = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)
SURE_MM = 1e-6
Corners = list[tuple[float, float]]


def _plate(blade: Blade, bands_mm: tuple[float, ...] = (), second: Blade | None = None) -> Plate:
    return Plate(1, blade, blade.blades, None, None, Setting.CENTRE, second, bands_mm)


def _pieces(marks: StripMarks, height_mm: float, *, step: int) -> list[shapely.Polygon]:
    """What a knife cuts that runs from each mark above to the one below; y up, the lower edge at 0."""
    cuts = list(zip(marks.top_mm, marks.bottom_mm, strict=True))
    return [
        shapely.Polygon([(top, height_mm), (low, 0.0), (next_low, 0.0), (next_top, height_mm)])
        for (top, low), (next_top, next_low) in list(pairwise(cuts))[::step]
    ]


def test_the_marks_of_the_usual_blade_are_those_of_the_trade() -> None:
    """Worked out by hand from W 2.4068 and N .9022, in inches to four places."""
    wedge = wedges_of(_plate(R))["blade"]
    marks = marks_end_for_end(wedge, 4)
    assert [mark / IN for mark in marks.top_mm[:4]] == pytest.approx([0, 2.4068, 3.3090, 5.7159], abs=6e-5)
    assert [mark / IN for mark in marks.bottom_mm[:4]] == pytest.approx(
        [0.7523, 1.6545, 4.0614, 4.9636], abs=6e-5
    )
    assert wedge.side_mm / IN == pytest.approx(4.8092, abs=6e-5)
    assert wedge.side_mm == pytest.approx(R.length_mm / math.cos(R.half_angle_rad))


@given(blade=blades(), count=st.integers(1, 30))
def test_a_strip_cut_at_its_marks_gives_blades_and_nothing_lies_over_anything(
    blade: Blade, count: int
) -> None:
    """Each piece, turned back, is the blade's outline, or the tip says what is trimmed; they fill the row."""
    wedge = wedges_of(_plate(blade))["blade"]
    outline = shapely.Polygon(chords(blade_shapes_of(_plate(blade))[0].cut, stray_mm=0.001))
    for marks, step in ((marks_end_for_end(wedge, count), 1), (marks_one_way(wedge, count), 2)):
        pieces = _pieces(marks, wedge.height_mm, step=step)
        assert len(pieces) == count
        whole = shapely.unary_union(pieces)
        assert whole.area == pytest.approx(sum(piece.area for piece in pieces), rel=1e-9)
        left, low, right, high = whole.bounds
        assert (left, low, high) == pytest.approx((0.0, 0.0, wedge.height_mm), abs=SURE_MM)
        assert right == pytest.approx(marks.length_mm, abs=SURE_MM)
        for number, piece in enumerate(pieces):
            upright = shapely.affinity.rotate(piece, 180 if step == 1 and number % 2 else 0)
            middle = (upright.bounds[0] + upright.bounds[2]) / 2
            laid = shapely.affinity.translate(upright, -middle, blade.inner_radius_mm - upright.bounds[1])
            assert outline.difference(laid.buffer(SURE_MM)).area == pytest.approx(0.0, abs=1e-3)
            is_whole = laid.area == pytest.approx(outline.area, rel=1e-9)
            assert is_whole is (blade.tip.finish.words.trimmed == "")


@given(blade=blades(), usable=st.floats(20, 1500))
def test_one_piece_more_than_is_said_would_leave_the_strip(blade: Blade, usable: float) -> None:
    """The counts are those of the marks: so many end within the strip, and one more doesn't."""
    wedge = wedges_of(_plate(blade))["blade"]
    for count, marks in ((end_for_end, marks_end_for_end), (one_way, marks_one_way)):
        most = count(wedge, usable)
        assert most == 0 or marks(wedge, most).length_mm <= usable + SURE_MM * 2
        assert marks(wedge, most + 1).length_mm > usable


def test_bands_and_second_blades_have_wedges_as_they_are_cut() -> None:
    """As wide at both ends as the outlines that a machine would cut."""
    second = Blade(20, 1.25 * IN, 4.25 * IN, 0.25 * IN, Tip.FOLDED)
    for plate in (_plate(R, (3.5 * IN, 4.5 * IN)), _plate(R, second=second)):
        wedges = wedges_of(plate)
        for shape in blade_shapes_of(plate):
            left, low, right, high = bounds(shape.cut)
            outline = shapely.Polygon(chords(shape.cut, stray_mm=0.001))
            foot = outline.intersection(shapely.LineString([(left, low), (right, low)])).length
            wedge = wedges[shape.name]
            assert (wedge.narrow_width_mm, wedge.wide_width_mm, wedge.height_mm) == pytest.approx(
                (foot, right - left, high - low), abs=SURE_MM
            )
