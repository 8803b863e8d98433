"""The blade template: its outline is the blade's, its scale is true, and all of it can be read."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.core.units import SizeError, Unit
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, area, bounds, chords
from cutfiles.pieces.templates.blade import NoRoomError, TemplateSettings, blade_template, blade_window
from cutfiles.pieces.templates.board import Board
from cutfiles.pieces.templates.scale import rungs
from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip
from tests.strategies import blades
from tests.tips.outlines import FAR_MM, TRUTHS

IN = 25.4
USUAL = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)
SETTINGS = TemplateSettings(ease_mm=1.0, hole_mm=5.0, capitals_mm=3.0, name="Harbour school", unit=Unit.IN)
CLOSE_MM = 1e-6


def _drawn(board: Board, *drawn: Drawn) -> list[shapely.LineString]:
    lines = []
    for mark in board.marks:
        if mark.kind in drawn:
            points = chords(mark.path, stray_mm=0.005)
            closed = isinstance(mark.path, Circle) or mark.path.closed
            lines.append(shapely.LineString([*points, points[0]] if closed else points))
    return lines


def _rim(contour: Path | Circle) -> shapely.LinearRing:
    return shapely.LinearRing(chords(contour, stray_mm=0.002))


def _template(blade: Blade, hole_mm: float, unit: Unit = Unit.IN) -> Board:
    try:
        return blade_template(blade, TemplateSettings(0.5, hole_mm, 3.0, "tide", unit))
    except NoRoomError:
        return blade_template(blade, TemplateSettings(0.5, 0.0, 3.0, "tide", unit))


@settings(max_examples=40)
@given(blade=blades())
def test_straight_edges_are_the_blades_cut_line(blade: Blade) -> None:
    """Each lies on the outline that the geometry library gives, and none of its straight edges is lost."""
    board, finish = _template(blade, 0.0), blade.tip.finish
    above = shapely.box(-FAR_MM, blade.inner_radius_mm, FAR_MM, FAR_MM)
    rim = TRUTHS[blade.tip].cut(blade).intersection(above).boundary
    guides = 0
    assert isinstance(board.cut, Path)
    for start, end in board.cut.edges():
        if start.bulge:
            continue
        for corner in (start[:2], end):
            assert rim.distance(shapely.Point(corner)) < CLOSE_MM * blade.outer_radius_mm
        guides += 1
    assert guides == sum(not start.bulge for start, _ in finish.cut_line(blade).edges())


@settings(max_examples=40)
@given(blade=blades(), ease=st.floats(0.1, 2.0))
def test_easing_takes_little_off_the_corners_alone(blade: Blade, ease: float) -> None:
    """Of a corner that turns by t an arc of radius r leaves (1/cos(t/2) − 1)·r; the area shrinks."""
    sharp = blade_template(blade, TemplateSettings(0.0, 0.0, 3.0, "tide", Unit.IN)).cut
    eased = blade_template(blade, TemplateSettings(ease, 0.0, 3.0, "tide", Unit.IN)).cut
    assert isinstance(sharp, Path)
    lost = area(sharp) - area(eased)
    assert 0 < lost < len(sharp.vertices) * 2.0 * ease * ease * math.tan(math.radians(75))
    off = shapely.distance(_rim(eased), shapely.points([vertex[:2] for vertex in sharp.vertices]))
    assert max(off) < ease * (1 / math.cos(math.radians(78)) - 1)


@settings(max_examples=40)
@given(blade=blades(), ease=st.floats(0.1, 2.0))
def test_the_centre_line_ends_on_the_template(blade: Blade, ease: float) -> None:
    """However much of a point is eased away; up to there it is engraved."""
    of_ease = TemplateSettings(ease, 0.0, 3.0, "tide", Unit.IN)
    for board, kind in ((blade_template(blade, of_ease), Drawn.FOLD), (_window(blade, of_ease), Drawn.NOTCH)):
        if board is None:
            continue
        middle = [line for line in _drawn(board, kind) if not any(line.xy[0])]
        top = max(line.bounds[3] for line in middle)
        assert top == pytest.approx(_rim(board.cut).bounds[3], abs=0.003)


def test_a_blade_no_longer_than_its_seams_has_no_window() -> None:
    """Nothing would be seen through a slit without height."""
    with pytest.raises(SizeError, match="leaves no window in the blade"):
        blade_window(Blade(25, 0.0, 6.0, 3.0, Tip.FLAT), SETTINGS)


def _window(blade: Blade, of_ease: TemplateSettings) -> Board | None:
    try:
        return blade_window(blade, of_ease)
    except SizeError:
        return None


@settings(max_examples=40)
@given(blade=blades(), hole=st.sampled_from([0.0, 3.0, 5.0, 8.0]), unit=st.sampled_from(Unit))
def test_lettering_keeps_off_edges_holes_and_lines(blade: Blade, hole: float, unit: Unit) -> None:
    """1.5 mm off what is cut, 0.8 mm off what is engraved, wherever it found room."""
    board = _template(blade, hole, unit)
    lettering = _drawn(board, Drawn.LABEL)
    lines = shapely.union_all(_drawn(board, Drawn.SEW, Drawn.FOLD, Drawn.NOTCH))
    inside = shapely.Polygon(_rim(board.cut))
    for stroke in lettering:
        assert inside.contains(stroke)
        assert stroke.distance(_rim(board.cut)) > 1.49
        assert all(stroke.distance(_rim(hole)) > 1.49 for hole in board.inner)
        assert stroke.distance(lines) > 0.79


def _with_hole(blade: Blade, hole_mm: float) -> Board | float:
    """The template, or the largest hole that is said to have room."""
    try:
        return blade_template(blade, TemplateSettings(0.0, hole_mm, 3.0, "tide", Unit.IN))
    except NoRoomError as error:
        return error.most_mm


@settings(max_examples=40)
@given(blade=blades(), hole=st.floats(2.0, 12.0))
def test_the_hole_keeps_clear_of_every_line(blade: Blade, hole: float) -> None:
    """A mm off every line, or it is refused, and then the size that is said has room."""
    board = _with_hole(blade, hole)
    if isinstance(board, float):
        assert board < hole
        if board < 0.1:
            return
        board = _with_hole(blade, board * 0.999)
    assert isinstance(board, Board)
    rim = board.inner[0]
    assert isinstance(rim, Circle)
    middle = shapely.Point(rim.x, rim.y)
    for line in _drawn(board, Drawn.SEW, Drawn.NOTCH, Drawn.FOLD):
        assert middle.distance(line) >= rim.radius + 1.0 - 0.01


def test_the_usual_scale() -> None:
    """By hand: half inches from 1/2 to 4 1/2; each plate 2 (1 1/4 + length − 1/4) in across."""
    scale = rungs(USUAL, Unit.IN)
    assert [round(rung.length_mm / IN, 6) for rung in scale] == [0.5 * n for n in range(1, 10)]
    assert [round(rung.finished_diameter_mm / IN, 6) for rung in scale] == [
        2 * (1 + 0.5 * n) for n in range(1, 10)
    ]
    # The tip's seam line is 1/4 in below the wide end: the line for 4 1/2 in.
    assert [rung.drawn for rung in scale] == [True] * 8 + [False]


def test_centimetres_and_millimetres_step_by_the_centimetre() -> None:
    """A blade of 1 cm is too short for its tip, the line for 12 cm is but 0.65 mm from the wide end."""
    for unit in (Unit.CM, Unit.MM):
        assert [round(rung.length_mm, 6) for rung in rungs(USUAL, unit)] == [10.0 * n for n in range(2, 12)]


@given(blade=blades(), unit=st.sampled_from(Unit))
def test_scale_lines_are_apart_and_inside(blade: Blade, unit: Unit) -> None:
    """None on another, none beside the tip's seam line; a round tip has none."""
    scale = rungs(blade, unit)
    if blade.tip is Tip.ROUND:
        assert not scale
    for low, high in pairwise(scale):
        assert high.y_mm - low.y_mm > 9.9
    for rung in scale:
        assert blade.inner_radius_mm < rung.y_mm < blade.outer_radius_mm - 1.5
        off = abs(rung.y_mm - (blade.outer_radius_mm - blade.seam_mm))
        assert off > 1.5 if rung.drawn else off < 1e-3


def test_letters_are_as_high_as_asked() -> None:
    """The digits of the scale, read back from their strokes: 3 and 4 mm."""
    for capitals in (3.0, 4.0):
        board = blade_template(USUAL, TemplateSettings(1.0, 5.0, capitals, "tide", Unit.CM))
        heights = []
        for mark in board.marks:
            if mark.kind is Drawn.LABEL:
                _, low, _, high = bounds(mark.path)
                heights.append(high - low)
        assert max(heights) >= capitals - 0.01
        assert sum(abs(height - capitals) < 0.01 for height in heights) >= 5


def test_no_two_texts_meet() -> None:
    """Every text written onto a board stands clear of those before it."""
    board = blade_template(USUAL, SETTINGS)
    earlier = list(_drawn(board, Drawn.LABEL))
    for text in ("lantern", "driftwood 1/2", "tide", "samphire"):
        board.write((text,))
        new = _drawn(board, Drawn.LABEL)[len(earlier) :]
        if new and earlier:
            assert shapely.union_all(new).distance(shapely.union_all(earlier)) > 1.59
        earlier += new
    assert "driftwood 1/2" in board.left_out or len(earlier) > 100


def test_the_window_is_a_seam_wide() -> None:
    """The opening's sides are the sew lines, its ends a seam inside the blade's: from the numbers alone."""
    board = blade_window(USUAL, TemplateSettings(0.0, 0.0, 3.0, "tide", Unit.IN))
    opening = board.inner[0]
    a = math.radians(9.0)
    low, high = 1.5 * IN, 5.75 * IN
    corners = [(-low * math.tan(a), low), (low * math.tan(a), low), (high * math.tan(a), high)]
    wanted = shapely.Polygon([*corners, (-high * math.tan(a), high)])
    assert shapely.Polygon(_rim(opening)).symmetric_difference(wanted).area < 0.01
    assert pytest.approx(0.25 * IN, abs=1e-6) == _rim(opening).distance(_rim(board.cut))
