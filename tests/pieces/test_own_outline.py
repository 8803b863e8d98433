"""Shapes of the user's own, grown by their seam or with the sew line drawn inside."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given

from cutfiles.core.errors import GeometryError
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Path, area
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import OutlineSpec
from cutfiles.job.model.template import SewnOrCut
from cutfiles.pieces.own_outline import outline_shape
from cutfiles.pieces.shape import Shape
from tests.strategies import outline_specs

NEAR_MM = 1e-6
KITE = ((0.0, -30.0), (20.0, 0.0), (0.0, 50.0), (-20.0, 0.0))


def spec(points: tuple[tuple[float, float], ...], *, seam_mm: float, line: SewnOrCut) -> OutlineSpec:
    return OutlineSpec("leaf", points, 1, seam_mm, line)


def polygon(path: object) -> shapely.Polygon:
    assert isinstance(path, Path)
    return shapely.Polygon([(vertex.x, vertex.y) for vertex in path.vertices])


def sewn_and_cut(shape: Shape) -> tuple[shapely.Polygon, shapely.Polygon]:
    (mark,) = shape.marks
    assert mark.kind is Drawn.SEW
    return polygon(mark.path), polygon(shape.cut)


@given(wanted=outline_specs(line=SewnOrCut.SEWN))
def test_a_sewn_outline_is_grown_by_its_seam(wanted: OutlineSpec) -> None:
    """Every cut edge lies a seam outside the sewn shape; a long point is cut off square at twice that."""
    shape = outline_shape(wanted)
    if wanted.seam_mm == 0:
        assert shape.marks == ()
        assert polygon(shape.cut).equals(shapely.Polygon(wanted.points))
        return
    sewn, cut = sewn_and_cut(shape)
    assert sewn.equals(shapely.Polygon(wanted.points))
    mitred = shapely.Polygon(sewn.buffer(wanted.seam_mm, join_style="mitre", mitre_limit=2.0).exterior)
    # The library brings corners of a thousandth of the seam together; the seam itself is exact.
    assert shapely.hausdorff_distance(cut, mitred) < 2e-3 * wanted.seam_mm + NEAR_MM
    assert sewn.exterior.distance(cut.exterior) == pytest.approx(wanted.seam_mm, abs=NEAR_MM)
    corners = shapely.points(cut.exterior.coords)
    # Twice the seam along the point's middle and at most one to its side.
    assert max(shapely.distance(corners, sewn)) <= 5**0.5 * wanted.seam_mm + NEAR_MM


@given(wanted=outline_specs(line=SewnOrCut.CUT))
def test_a_cut_outline_stays_and_its_sew_line_lies_a_seam_inside(wanted: OutlineSpec) -> None:
    """What the user drew is what is cut."""
    shape = outline_shape(wanted)
    assert polygon(shape.cut).equals(shapely.Polygon(wanted.points))
    if wanted.seam_mm:
        sewn, cut = sewn_and_cut(shape)
        assert cut.contains(sewn)
        corners = shapely.points(sewn.exterior.coords)
        assert shapely.distance(corners, cut.exterior) == pytest.approx(wanted.seam_mm, abs=1e-5)


def test_a_kite_grows_by_straight_lines_moved_out() -> None:
    """Its side corners, blunt enough to keep their mitre, end where the moved edges cross."""
    sewn, cut = sewn_and_cut(outline_shape(spec(KITE, seam_mm=6.0, line=SewnOrCut.SEWN)))
    # Edges from (20, 0): the lower is x·3 − y·2 = 60, the upper x·5 + y·2 = 100; each moved out by 6.
    lower, upper = 60 + 6 * 13**0.5, 100 + 6 * 29**0.5
    x = (lower + upper) / 8
    y = (3 * x - lower) / 2
    nearest = min(shapely.distance(shapely.points(cut.exterior.coords), shapely.Point(x, y)))
    assert nearest < NEAR_MM
    assert len(cut.exterior.coords) - 1 == 5  # three mitres, and two corners where the sharp point is cut off
    assert cut.contains(sewn)


@given(wanted=outline_specs())
def test_every_outline_is_closed_and_counter_clockwise(wanted: OutlineSpec) -> None:
    """Also a sew line is a closed ring."""
    shape = outline_shape(wanted)
    assert area(shape.cut) > 0
    for mark in shape.marks:
        assert isinstance(mark.path, Path)
        assert mark.path.closed
        assert area(mark.path) > 0


@given(wanted=outline_specs())
def test_a_shape_called_symmetric_is_its_own_mirror_image(wanted: OutlineSpec) -> None:
    """Where it isn't, flipping the fabric matters, and flipped it must be another shape."""
    shape = outline_shape(wanted)
    flipped = polygon(placed(shape.cut, Pose(mirrored=True)))
    unlike = polygon(shape.cut).symmetric_difference(flipped).area
    assert (unlike < 1e-3) if shape.symmetric else (unlike > 0)


@pytest.mark.parametrize(
    ("points", "symmetric"),
    [
        (KITE, True),
        (KITE[1:] + KITE[:1], True),
        (tuple((x + 1, y) for x, y in KITE), False),
        (((0, 0), (20, 0), (10, 30)), False),
        (((-10, 0), (10, 0), (0, 30)), True),
        # The same four corners, joined to another shape, are not.
        (((-10, 0), (10, 0), (10, 20), (-10, 30)), False),
    ],
)
def test_symmetry_is_seen_whatever_corner_comes_first(
    points: tuple[tuple[float, float], ...], symmetric: bool
) -> None:
    """About the outline's own y axis, as the machine mirrors it."""
    assert outline_shape(spec(points, seam_mm=0.0, line=SewnOrCut.CUT)).symmetric is symmetric


@pytest.mark.parametrize(
    "points",
    [
        ((0.0, 0.0), (60.0, 0.0), (60.0, 10.0), (0.0, 10.0)),  # eaten whole
        # Two squares joined by a strip: split in two.
        ((0.0, 0.0), (30.0, 0.0), (30.0, 12.0), (60.0, 12.0), (60.0, 0.0), (90.0, 0.0), (90.0, 30.0),
         (60.0, 30.0), (60.0, 18.0), (30.0, 18.0), (30.0, 30.0), (0.0, 30.0)),
    ],
)  # fmt: skip
def test_a_seam_that_eats_or_splits_the_outline_is_refused(points: tuple[tuple[float, float], ...]) -> None:
    """The outline is named, and what to do."""
    with pytest.raises(GeometryError, match="no single sewn shape inside leaf"):
        outline_shape(spec(points, seam_mm=6.0, line=SewnOrCut.CUT))


def test_a_bay_that_the_seam_closes_is_cut_over() -> None:
    """A C whose mouth is narrower than two seams is cut round its outside, with no hole."""
    points = ((0.0, 0.0), (60.0, 0.0), (60.0, 28.0), (45.0, 28.0), (45.0, 15.0), (15.0, 15.0), (15.0, 45.0),
              (45.0, 45.0), (45.0, 32.0), (60.0, 32.0), (60.0, 60.0), (0.0, 60.0))  # fmt: skip
    shape = outline_shape(spec(points, seam_mm=4.0, line=SewnOrCut.SEWN))
    assert polygon(shape.cut).area == pytest.approx(68 * 68, abs=1e-6)
