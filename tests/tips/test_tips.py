"""Every tip of the registry has all its parts, and they are what another way of making them gives."""

from __future__ import annotations

import math
import re
from pathlib import Path as File

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import CHORD_MM
from cutfiles.core.units import Unit, shown
from cutfiles.geometry.outline import Path, area, chords
from cutfiles.plate.blade import Blade
from cutfiles.plate.finished import finished_blade
from cutfiles.tips.registry import Tip
from tests.strategies import blades
from tests.tips.outlines import FAR_MM, NOTHING, TRUTHS

ROOT = File(__file__).parents[2]
NEAR_MM = 1e-6


def polygon(path: Path) -> shapely.Polygon:
    return shapely.Polygon(chords(path, stray_mm=CHORD_MM))


def drawn(paths: tuple[Path, ...]) -> BaseGeometry:
    return shapely.union_all([shapely.LineString(chords(path, stray_mm=CHORD_MM)) for path in paths])


def above(y_mm: float) -> shapely.Polygon:
    return shapely.box(-2 * FAR_MM, y_mm, 2 * FAR_MM, 2 * FAR_MM)


def assert_same_area(first: BaseGeometry, second: BaseGeometry) -> None:
    # Both may be chopped: along an arc they differ by a hair.
    assert first.symmetric_difference(second).area <= 4 * CHORD_MM * first.length + 1e-6


def assert_same_lines(first: BaseGeometry, second: BaseGeometry) -> None:
    assert first.is_empty == second.is_empty
    # Looked at every 0.3 mm; an arc's own chords are shorter than that, and need no points between.
    fine = [shapely.segmentize(lines, 0.3) for lines in (first, second)]
    assert first.is_empty or shapely.hausdorff_distance(*fine) < 10 * CHORD_MM


def test_every_tip_has_been_worked_out_another_way() -> None:
    """So that no tip goes untested."""
    assert set(TRUTHS) == set(Tip)


@pytest.mark.parametrize("tip", Tip)
def test_a_tip_is_found_by_its_word(tip: Tip) -> None:
    """The word is what job files say; all that a reader is told has words."""
    assert Tip(tip.finish.word) is tip
    assert re.fullmatch("[a-z]+", tip.finish.word)
    words = tip.finish.words
    for text in (words.choice, words.wide_end, words.between, words.between_label, words.meeting):
        assert text.strip() == text != ""
    assert words.edge == "" or words.edge.startswith(", ")


@pytest.mark.parametrize("tip", Tip)
def test_docs_derive_every_tip(tip: Tip) -> None:
    """`docs/geometry.md` has a paragraph for it, and the job file's reference says what it is."""
    geometry = (ROOT / "docs" / "geometry.md").read_text()
    assert f"\n**{tip.finish.word.capitalize()}.**" in geometry
    reference = (ROOT / "docs" / "job-file.md").read_text()
    (row,) = (line for line in reference.splitlines() if line.startswith("| `tip` |"))
    assert f"`{tip.finish.word}`" in row
    assert tip.finish.words.choice in row


@given(blade=blades())
def test_the_cut_line_is_the_finished_edge_and_its_seam(blade: Blade) -> None:
    """Half planes and discs, cut off at the narrow end, are the outline that is cut."""
    cut = blade.tip.finish.cut_line(blade)
    expected = TRUTHS[blade.tip].cut(blade).intersection(above(blade.inner_radius_mm))
    assert_same_area(polygon(cut), expected)
    assert cut.closed
    assert area(cut) > 0
    assert len(cut.vertices) == TRUTHS[blade.tip].cut_corners
    assert [vertex.y for vertex in cut.vertices[:2]] == [blade.inner_radius_mm] * 2
    assert cut.vertices[0].x < 0 < cut.vertices[1].x


@given(blade=blades())
def test_the_finished_blade_is_the_wedge_with_its_tip(blade: Blade) -> None:
    """The same, between the sew lines."""
    expected = TRUTHS[blade.tip].finished(blade).intersection(above(blade.inner_radius_mm))
    assert_same_area(polygon(finished_blade(blade)), expected)


@given(blade=blades())
def test_the_valley_is_where_the_finished_blade_leaves_its_sew_line(blade: Blade) -> None:
    """Nothing of it lies on the sew line further out than the valley; right up to there all does."""
    a, valley = blade.half_angle_rad, blade.valley_radius_mm
    finished = TRUTHS[blade.tip].finished(blade)
    for radius, there in ((valley - 0.01, True), (valley + 0.01, False)):
        spot = shapely.Point(radius * math.sin(a), radius * math.cos(a))
        assert (finished.distance(spot) < NEAR_MM) is there


@given(blade=blades(), short=st.floats(0.0, 0.5))
def test_the_finished_edge_is_a_seam_inside_the_cut_line(blade: Blade, short: float) -> None:
    """So the tip's allowance is where the inset outline ends, and so it moves out where seams are narrow."""
    seam = blade.seam_mm * (1 - short)
    inset = TRUTHS[blade.tip].cut(blade).buffer(-seam, join_style="mitre")
    tip = blade.outer_radius_mm - blade.tip.finish.allowance_mm(seam)
    assert inset.bounds[3] == pytest.approx(tip, abs=2e-3)  # arcs are chords there
    if not short:
        assert blade.tip_radius_mm == tip


@given(blade=blades())
def test_the_tip_reaches_its_share_of_the_furthest_point(blade: Blade) -> None:
    """The furthest point of the finished blade lies at the tip's radius over the share."""
    finished = TRUTHS[blade.tip].finished(blade)
    reach = max(math.hypot(x, y) for x, y in finished.exterior.coords)  # type: ignore[attr-defined]
    assert blade.tip_radius_mm / blade.tip.finish.reach_share(blade) == pytest.approx(reach, abs=1e-4)


@settings(max_examples=40)
@given(blade=blades())
def test_each_tip_is_drawn_as_it_is_sewn(blade: Blade) -> None:
    """Where it is sewn and where it is folded, and on a template one or the other."""
    truth, lines = TRUTHS[blade.tip], blade.tip.finish.lines(blade)
    sew, fold = truth.sew(blade), truth.fold(blade)
    assert_same_lines(drawn(lines.sew), sew)
    assert_same_lines(drawn(lines.fold), fold)
    assert_same_lines(drawn(blade.tip.finish.template_lines(blade)), fold if sew is NOTHING else sew)


@given(blade=blades())
def test_a_template_is_told_where_its_lines_for_the_tip_begin_and_end(blade: Blade) -> None:
    """All of them lie between the lowest and the highest of the tip's levels."""
    levels = blade.tip.finish.levels_mm(blade)
    lines = drawn(blade.tip.finish.template_lines(blade))
    low, high = lines.bounds[1], lines.bounds[3]
    assert min(levels) <= low + 1e-3
    assert max(levels) == pytest.approx(high, abs=1e-3)


@given(blade=blades())
def test_ticks_on_a_frame_point_at_the_valleys(blade: Blade) -> None:
    """Each starts at a valley and is one seam long, square to the sew line."""
    ticks = blade.tip.finish.frame_ticks(blade)
    assert len(ticks) in (0, 2)
    for tick in ticks:
        start, end = tick.vertices
        assert math.hypot(start.x, start.y) == pytest.approx(blade.valley_radius_mm, abs=NEAR_MM)
        assert math.dist((start.x, start.y), (end.x, end.y)) == pytest.approx(blade.seam_mm, abs=NEAR_MM)
        assert start.x * (end.x - start.x) + start.y * (end.y - start.y) == pytest.approx(0.0, abs=1e-3)


@given(blade=blades())
def test_only_where_it_says_so_a_shorter_blade_is_this_one_cut_off(blade: Blade) -> None:
    """Half a seam shorter, the cut line is the same up to its new end, or it isn't."""
    shorter = Blade(
        blade.blades, blade.inner_radius_mm, blade.length_mm - blade.seam_mm / 4, blade.seam_mm, blade.tip
    ) if blade.length_mm > 3 * blade.seam_mm and _room(blade) else None  # fmt: skip
    if shorter is None:
        return
    whole, less = (polygon(each.tip.finish.cut_line(each)) for each in (blade, shorter))
    cut_off = whole.difference(above(shorter.outer_radius_mm))
    same = cut_off.symmetric_difference(less).area <= CHORD_MM * whole.length + 1e-6
    assert same is blade.tip.finish.shorter_is_cut_off


def _room(blade: Blade) -> bool:
    return blade.tip_base_mm - blade.inner_radius_mm > blade.seam_mm


@pytest.mark.parametrize("tip", Tip)
def test_its_words_tell_this_tip_and_no_other(tip: Tip) -> None:
    """Steps are told apart by their words; by hand, what is drawn is told and what isn't drawn isn't."""
    blade = Blade(20, 31.75, 120.65, 6.35, tip)

    def said(mm: float) -> str:
        return shown(mm, Unit.IN)

    steps = " ".join(tip.finish.steps(blade, shown=said))
    assert [other for other, truth in TRUTHS.items() if truth.step in steps] == [tip]
    assert "1/4 in" in steps
    lines = tip.finish.lines(blade)
    assert bool(tip.finish.sew_marks_by_hand(blade, shown=said)) is bool(lines.sew)
    assert bool(tip.finish.fold_marks_by_hand(blade, shown=said)) is bool(lines.fold)
    assert tip.finish.cut_by_hand(blade, shown=said).endswith(".")
    for _, mm in tip.finish.sizes_mm(blade):
        assert mm > 0
