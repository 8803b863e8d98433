"""The blade, the centre and the background as they are cut, and every line drawn on them."""

from __future__ import annotations

import math

import pytest
import shapely
import shapely.affinity
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Contour, Path, Side, arc_of, area, chords
from cutfiles.geometry.points import points_on
from cutfiles.geometry.pose import Pose, placed
from cutfiles.pieces.plate_shapes import background_shape, blade_shape, centre_shape
from cutfiles.pieces.shape import Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.tips.registry import Tip
from cutfiles.tips.round import arc_centre_mm, arc_radius_mm
from tests.strategies import blades, plates

NEAR_MM = 1e-6
CHORD_MM = 0.005  # how far the polygons of these tests may stray from an arc


def polygon(contour: Contour, *, side: Side = Side.INSIDE) -> shapely.Polygon:
    """A closed path as a polygon."""
    return shapely.Polygon(chords(contour, stray_mm=CHORD_MM, side=side))


def drawn(contour: Contour) -> shapely.LineString:
    """A drawn path as a chain of points."""
    points = chords(contour, stray_mm=CHORD_MM)
    closed = isinstance(contour, Circle) or contour.closed
    return shapely.LineString([*points, points[0]] if closed else points)


@given(blade=blades())
def test_a_cut_outline_runs_counter_clockwise_from_its_narrow_end(blade: Blade) -> None:
    """Closed, positive in area, its own mirror image."""
    shape = blade_shape(blade)
    assert isinstance(shape.cut, Path)
    assert shape.cut.closed
    assert area(shape.cut) > 0
    assert [vertex.y for vertex in shape.cut.vertices[:2]] == [blade.inner_radius_mm] * 2
    assert_own_mirror_image(shape)


def assert_own_mirror_image(shape: Shape) -> None:
    """Flipped over, a symmetric shape covers what it covered."""
    assert shape.symmetric
    flipped = polygon(placed(shape.cut, Pose(mirrored=True)))
    assert polygon(shape.cut).symmetric_difference(flipped).area < 1e-6


@given(blade=blades(tip=Tip.ROUND))
def test_a_round_tips_arc_runs_into_the_edges_smoothly(blade: Blade) -> None:
    """It is a true arc about one middle, tangent to both cut edges, over the top."""
    path = blade_shape(blade).cut
    assert isinstance(path, Path)
    bulged = [(start, end) for start, end in path.edges() if start.bulge]
    first, second = (arc_of(start, end) for start, end in bulged)
    for arc in (first, second):
        assert arc.centre == pytest.approx((0.0, arc_centre_mm(blade)), abs=NEAR_MM)
        assert arc.radius == pytest.approx(arc_radius_mm(blade) + blade.seam_mm, abs=NEAR_MM)
    assert first.at(1.0) == pytest.approx((0.0, blade.outer_radius_mm), abs=NEAR_MM)
    assert second.at(0.0) == pytest.approx((0.0, blade.outer_radius_mm), abs=NEAR_MM)
    # Square to the edge is the spoke to where the arc leaves it.
    foot, corner = path.vertices[2], path.vertices[1]
    edge = (foot.x - corner.x, foot.y - corner.y)
    spoke = (foot.x, foot.y - arc_centre_mm(blade))
    square = edge[0] * spoke[0] + edge[1] * spoke[1]
    assert square / math.hypot(*edge) / math.hypot(*spoke) == pytest.approx(0.0, abs=1e-6)


@given(blade=blades(tip=Tip.ROUND))
def test_no_cut_arc_is_more_than_half_a_circle(blade: Blade) -> None:
    """A bulge above 1 is read wrongly by some readers of DXF, so the arc over the top is given as two."""
    assert all(vertex.bulge <= 1 for vertex in blade_shape(blade).cut.vertices)  # type: ignore[union-attr]


def marks_of(shape: Shape, kind: Drawn) -> list[Contour]:
    return [mark.path for mark in shape.marks if mark.kind is kind]


@given(blade=blades())
def test_side_sew_lines_point_at_the_plate_centre_and_lie_a_seam_inside(blade: Blade) -> None:
    """From the narrow end to the valley, each lies on a radial line, one seam from the cut edge."""
    shape = blade_shape(blade)
    sides = marks_of(shape, Drawn.SEW)[:2]
    cut = polygon(shape.cut, side=Side.OUTSIDE)
    for side in sides:
        assert isinstance(side, Path)
        for vertex in side.vertices:
            turn = math.degrees(math.atan2(abs(vertex.x), vertex.y))
            assert vertex.y == pytest.approx(0, abs=NEAR_MM) or turn == pytest.approx(180 / blade.blades)
        low, high = side.vertices
        assert low.y == pytest.approx(blade.inner_radius_mm, abs=NEAR_MM)
        assert math.hypot(high.x, high.y) == pytest.approx(blade.valley_radius_mm, abs=NEAR_MM)
        middle = shapely.Point((low.x + high.x) / 2, (low.y + high.y) / 2)
        # The cut edge as an endless line: with few blades the foot of the square may lie past its end.
        edges = [
            (start, end)
            for start, end in shape.cut.edges()  # type: ignore[union-attr]
            if abs(start.y - end[1]) > NEAR_MM and not start.bulge
        ]
        away = [
            abs((end[0] - start.x) * (middle.y - start.y) - (end[1] - start.y) * (middle.x - start.x))
            / math.dist((start.x, start.y), end)
            for start, end in edges
        ]
        assert min(away) == pytest.approx(blade.seam_mm, abs=NEAR_MM)
        assert cut.covers(middle)


@given(blade=blades())
def test_what_a_tip_is_drawn_with_comes_after_the_sides(blade: Blade) -> None:
    """The pen draws just the tip's own lines, besides the two sides and the notches."""
    shape, tip = blade_shape(blade), blade.tip.finish.lines(blade)
    assert marks_of(shape, Drawn.SEW)[2:] == list(tip.sew)
    assert marks_of(shape, Drawn.FOLD) == list(tip.fold)
    assert shape.cut == blade.tip.finish.cut_line(blade)


@given(blade=blades())
def test_notches_start_on_the_cut_edge_and_end_within_the_seam(blade: Blade) -> None:
    """One on each side, at the same height, so that neighbours match; the seam swallows it."""
    shape = blade_shape(blade)
    right, left = marks_of(shape, Drawn.NOTCH)
    edge = polygon(shape.cut).exterior
    for notch in (right, left):
        start, end = notch.vertices  # type: ignore[union-attr]
        assert shapely.Point(start.x, start.y).distance(edge) < 2 * CHORD_MM
        depth = shapely.Point(end.x, end.y).distance(edge)
        assert 0 < depth < blade.seam_mm
    assert placed(right, Pose(mirrored=True)) == left


@given(plate=plates())
@example(plate=Plate(1, Blade(5, 0.0, 12.5, 2.0, Tip.FOLDED), 5, None, Background.square(25.0, 21.0)))
def test_no_line_leaves_its_piece(plate: Plate) -> None:
    """Whatever the pen draws lies on the piece that it is drawn on."""
    shapes = [blade_shape(plate.blade)]
    if plate.centre:
        shapes.append(centre_shape(plate.centre))
    if plate.background:
        shapes.append(background_shape(plate))
    for shape in shapes:
        piece = polygon(shape.cut, side=Side.OUTSIDE).buffer(1e-4)
        assert all(piece.covers(drawn(mark.path)) for mark in shape.marks)


@given(plate=plates())
def test_a_centre_is_a_true_circle_with_its_fold(plate: Plate) -> None:
    """Cut and fold are circles about the same middle; without a turn there is nothing to fold."""
    if plate.centre is None:
        return
    shape = centre_shape(plate.centre)
    assert shape.cut == Circle(0.0, 0.0, plate.centre.cut_radius_mm)
    folds = marks_of(shape, Drawn.FOLD)
    if plate.centre.cut_radius_mm > plate.centre.finished_radius_mm:
        assert folds == [Circle(0.0, 0.0, plate.centre.finished_radius_mm)]
    else:
        assert folds == []


def on_background(blade: Blade, sewn: int, *, centre: bool) -> Plate:
    """A plate on a background that holds it with room to spare; a centre covers its opening."""
    side = 4 * blade.valley_radius_mm + 2 * blade.seam_mm
    cover = Centre(blade.opening_radius_mm + 6.35, blade.opening_radius_mm + 13.0) if centre else None
    return Plate(1, blade, sewn, cover, Background.square(side, side - 2 * blade.seam_mm))


def finished_area(plate: Plate) -> shapely.Polygon:
    """What the sewn plate surely covers: of each blade the wedge from the opening to the valleys."""
    blade, half = plate.blade, math.pi / plate.blade.blades
    narrow = blade.inner_radius_mm * math.tan(half)
    x, y = blade.valley_radius_mm * math.sin(half), blade.valley_radius_mm * math.cos(half)
    wedge = shapely.Polygon(
        [(-narrow, blade.inner_radius_mm), (narrow, blade.inner_radius_mm), (x, y), (-x, y)]
    )
    first = half * (plate.sewn - 1)
    wedges = [
        shapely.affinity.rotate(wedge, first - 2 * half * number, origin=(0, 0), use_radians=True)
        for number in range(plate.sewn)
    ]
    cover = [shapely.Point(0, 0).buffer(plate.centre.finished_radius_mm, 128)] if plate.centre else []
    return shapely.union_all([*(part.buffer(1e-6) for part in wedges), *cover])


@settings(max_examples=40)
@given(blade=blades(), centre=st.booleans())
@example(blade=Blade(20, 0.0, 100.0, 6.0, Tip.FOLDED), centre=False)
@example(blade=Blade(20, 31.75, 120.65, 6.35, Tip.FOLDED), centre=False)
@example(blade=Blade(20, 31.75, 120.65, 6.35, Tip.FLAT), centre=True)
@example(blade=Blade(7, 30.0, 100.0, 6.0, Tip.ROUND), centre=True)
@example(blade=Blade(3, 3.0, 4.0, 2.0, Tip.FLAT), centre=True)
def test_the_guides_on_a_background_are_hidden_by_the_finished_plate(blade: Blade, centre: bool) -> None:
    """Wholly, whichever tips; and one ray a seam points to the middle, under the seam itself."""
    half = math.pi / blade.blades
    for sewn in {blade.blades, max(1, blade.blades // 2)}:
        plate = on_background(blade, sewn, centre=centre)
        hidden = finished_area(plate)
        paths = [mark.path for mark in background_shape(plate).marks]
        for path in paths:
            assert hidden.covers(shapely.LineString(points_on(path, stray_mm=0.01)))
        lines = [path for path in paths if isinstance(path, Path) and len(path.vertices) == 2]
        # The arms of the cross have the middle in their own middle.
        rays = [
            path
            for path in lines
            if path.vertices[0].x != -path.vertices[1].x or path.vertices[0].y != -path.vertices[1].y
        ]
        if blade.valley_radius_mm * math.cos(half) - blade.opening_radius_mm < 12:
            continue  # there may be no room for any
        assert len(rays) == (sewn if sewn == blade.blades else sewn - 1)
        for ray in rays:
            inner, outer = ray.vertices
            assert inner.x * outer.y - inner.y * outer.x == pytest.approx(0, abs=1e-6)
            # Seams lie half a blade beside the blades' middles.
            turn = math.atan2(outer.x, outer.y) / half - sewn
            assert turn / 2 == pytest.approx(round(turn / 2), abs=1e-6)


@given(plate=plates())
def test_a_background_is_a_square_about_the_plate_centre(plate: Plate) -> None:
    """Its side is the cut side, its middle the origin."""
    if plate.background is None:
        with pytest.raises(ValueError, match="no background"):
            background_shape(plate)
        return
    half = plate.background.cut_width_mm / 2
    shape = background_shape(plate)
    assert polygon(shape.cut).equals(shapely.box(-half, -half, half, half))
    assert_own_mirror_image(shape)
