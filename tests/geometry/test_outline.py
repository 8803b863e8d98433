"""Outlines of straight edges and arcs, against the geometry library and plain numeric integration."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.core.errors import GeometryError
from cutfiles.geometry.outline import (
    Arc,
    Circle,
    Path,
    Point,
    Side,
    Vertex,
    arc_of,
    area,
    bounds,
    chords,
    length,
    line,
    ring,
)
from tests.strategies import bulged_paths, lengths_mm

EXACT_MM = 1e-6
# Two arcs that meet in a point finer than any chord.
SHARP = Path(
    (
        Vertex(59.0, 0.0, -0.09765625),
        Vertex(-29.499999999999986, 17.320508075688775, 0.0),
        Vertex(-29.500000000000025, -17.320508075688767, -0.09765625),
    ),
    closed=True,
)
EDGES = st.tuples(*[st.floats(-100, 100)] * 4, st.floats(0.01, 5.0), st.booleans())


def sampled(path: Path, *, steps: int = 400) -> list[Point]:
    """Points on the path, each arc worked out from three points on it: not the way of the code under test."""
    points: list[Point] = []
    for start, (end_x, end_y) in path.edges():
        points.append((start.x, start.y))
        if not start.bulge:
            continue
        # A bulge is also the sagitta over half the chord; the arc lies to the right of its chord.
        half = ((end_x - start.x) / 2, (end_y - start.y) / 2)
        top = (
            start.x + half[0] + start.bulge * half[1],
            start.y + half[1] - start.bulge * half[0],
        )
        points += _through((start.x, start.y), top, (end_x, end_y), start.bulge, steps)
    return points


def _through(a: Point, b: Point, c: Point, bulge: float, steps: int) -> list[Point]:
    d = 2 * (a[0] * (b[1] - c[1]) + b[0] * (c[1] - a[1]) + c[0] * (a[1] - b[1]))
    squares = [x * x + y * y for x, y in (a, b, c)]
    x = (squares[0] * (b[1] - c[1]) + squares[1] * (c[1] - a[1]) + squares[2] * (a[1] - b[1])) / d
    y = (squares[0] * (c[0] - b[0]) + squares[1] * (a[0] - c[0]) + squares[2] * (b[0] - a[0])) / d
    radius = math.hypot(a[0] - x, a[1] - y)
    first, last = math.atan2(a[1] - y, a[0] - x), math.atan2(c[1] - y, c[0] - x)
    sweep = (last - first) % (2 * math.pi) if bulge > 0 else -((first - last) % (2 * math.pi))
    turns = [first + sweep * i / steps for i in range(1, steps)]
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]


def test_a_half_disc_has_the_area_of_half_a_circle() -> None:
    """One straight edge and a bulge of 1 make a half disc."""
    half_disc = Path((Vertex(3.0, 0.0, 1.0), Vertex(-3.0, 0.0)), closed=True)
    assert area(half_disc) == pytest.approx(math.pi * 9 / 2, abs=EXACT_MM)
    assert length(half_disc) == pytest.approx(math.pi * 3 + 6, abs=EXACT_MM)
    assert bounds(half_disc) == pytest.approx((-3, 0, 3, 3), abs=EXACT_MM)


@given(path=bulged_paths())
def test_area_and_length_agree_with_many_short_chords(path: Path) -> None:
    """The closed forms for arcs meet the polygon library on finely chopped arcs."""
    polygon = shapely.Polygon(sampled(path))
    # 400 chords of a sweep below 360° miss its segment by a share of (2π/400)²/6 at most.
    slack = 1e-4
    assert area(path) == pytest.approx(polygon.area, rel=slack)
    assert length(path) == pytest.approx(polygon.exterior.length, rel=slack)


@given(path=bulged_paths())
def test_bounds_hold_every_point_and_touch_on_all_sides(path: Path) -> None:
    """No point of an arc lies outside the bounds, and each bound is reached."""
    left, low, right, high = bounds(path)
    reached = shapely.LineString([*sampled(path), sampled(path)[0]]).bounds
    reach = max(right - left, high - low)
    for mine, theirs, outward in zip((left, low, right, high), reached, (-1, -1, 1, 1), strict=True):
        assert outward * (mine - theirs) >= -EXACT_MM
        assert outward * (mine - theirs) <= 1e-3 * reach


@given(path=bulged_paths(), stray=st.sampled_from([0.005, 0.1, 2.0]), side=st.sampled_from(Side))
@example(path=SHARP, stray=0.005, side=Side.INSIDE)
def test_chords_err_to_the_stated_side_and_no_further_than_allowed(
    path: Path, stray: float, side: Side
) -> None:
    """The polygon lies inside (or around) the outline, and within the stray of it."""
    outline = shapely.Polygon(sampled(path))
    polygon = shapely.Polygon(chords(path, stray_mm=stray, side=side))
    # The sampled outline itself is off by this much at the longest arcs.
    slack = 0.02
    # A tip that is narrower than the stray may cross itself by less than that.
    inner, outer = (polygon, outline) if side is Side.INSIDE else (outline, polygon)
    assert shapely.make_valid(inner).difference(shapely.make_valid(outer).buffer(slack)).is_empty
    assert polygon.exterior.hausdorff_distance(outline.exterior) <= stray * 1.05 + slack


@given(x=st.floats(-9, 9), radius=st.floats(0.5, 300), stray=st.sampled_from([0.005, 0.1, 5.0]))
def test_a_circle_is_chopped_to_the_stated_side(x: float, radius: float, stray: float) -> None:
    """Inside, every corner is on the circle; outside, each edge touches it."""
    circle = Circle(x, 2.0, radius)
    inside = shapely.Polygon(chords(circle, stray_mm=stray, side=Side.INSIDE))
    outside = shapely.Polygon(chords(circle, stray_mm=stray, side=Side.OUTSIDE))
    assert inside.area < area(circle) < outside.area
    assert outside.bounds == pytest.approx(bounds(circle), abs=EXACT_MM)
    middle = shapely.Point(x, 2.0)
    assert middle.distance(inside.exterior) >= radius - stray - EXACT_MM
    assert middle.distance(outside.exterior) == pytest.approx(radius, abs=EXACT_MM)
    assert (
        middle.hausdorff_distance(outside.exterior) <= max(radius + stray, radius * math.sqrt(2)) + EXACT_MM
    )


@given(edge=EDGES)
def test_an_arc_starts_and_ends_where_its_edge_does(
    edge: tuple[float, float, float, float, float, bool],
) -> None:
    """Centre, radius and sweep that are worked out from a bulge lead back to both ends and to the sagitta."""
    x, y, dx, dy, bulge, clockwise = edge
    if math.hypot(dx, dy) < 0.01:
        dx += 1.0
    start = Vertex(x, y, -bulge if clockwise else bulge)
    arc = arc_of(start, (x + dx, y + dy))
    assert arc.at(0.0) == pytest.approx((x, y), abs=EXACT_MM)
    assert arc.at(1.0) == pytest.approx((x + dx, y + dy), abs=EXACT_MM)
    top = (x + dx / 2 + start.bulge * dy / 2, y + dy / 2 - start.bulge * dx / 2)
    assert arc.at(0.5) == pytest.approx(top, abs=EXACT_MM)


@given(path=bulged_paths(), closed=st.booleans())
def test_backwards_twice_is_the_same_path(path: Path, closed: bool) -> None:
    """Running a path the other way turns its area around, keeps its length and its points."""
    path = Path(path.vertices, closed)
    back = path.backwards()
    assert length(back) == pytest.approx(length(path), abs=EXACT_MM)
    assert bounds(back) == pytest.approx(bounds(path), abs=EXACT_MM)
    if closed:
        assert area(back) == pytest.approx(-area(path), abs=EXACT_MM)
        assert back.backwards() == path
    else:
        # The last bulge of an open path means nothing.
        assert list(back.backwards().edges()) == list(path.edges())


@given(path=bulged_paths(), stray=st.sampled_from([0.01, 1.0]))
def test_an_open_path_keeps_its_ends(path: Path, stray: float) -> None:
    """The chords of an open path run from its first point to its last."""
    points = chords(Path(path.vertices, closed=False), stray_mm=stray)
    assert points[0] == (path.vertices[0].x, path.vertices[0].y)
    assert points[-1] == (path.vertices[-1].x, path.vertices[-1].y)


def test_area_is_negative_clockwise() -> None:
    """The sign of the area tells the way round."""
    assert area(ring((0, 0), (4, 0), (4, 3))) == 6
    assert area(ring((4, 3), (4, 0), (0, 0))) == -6


def test_a_line_is_open_and_a_ring_closed() -> None:
    """Three points make two edges or three."""
    points = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0))
    assert len(list(line(*points).edges())) == 2
    assert length(line(*points)) == 7
    assert length(ring(*points)) == 12


@given(radius=lengths_mm(1.0, 50.0), sweep=st.floats(-360, 360))
def test_an_arc_keeps_its_radius_all_along(radius: float, sweep: float) -> None:
    """Every point of an arc is one radius from its centre."""
    arc = Arc((5.0, -7.0), radius, 30.0, sweep)
    for share in (0.0, 0.3, 1.0):
        assert math.dist(arc.at(share), (5.0, -7.0)) == pytest.approx(radius, abs=EXACT_MM)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_numbers_that_are_none_are_refused(bad: float) -> None:
    """NaN and infinity never get into an outline."""
    with pytest.raises(GeometryError):
        ring((0, 0), (1, 0), (bad, 1))
    with pytest.raises(GeometryError):
        Path((Vertex(0, 0, bad), Vertex(1, 0)), closed=True)
    with pytest.raises(GeometryError):
        Circle(0, 0, bad)
    with pytest.raises(GeometryError):
        Circle(bad, 0, 1)


def test_what_is_no_outline_is_refused() -> None:
    """A single point is no path, a circle has a size, a straight edge is no arc."""
    with pytest.raises(GeometryError, match="2 points"):
        line((0, 0))
    for radius in (0.0, -1.0):
        with pytest.raises(GeometryError, match="radius above 0"):
            Circle(0, 0, radius)
    with pytest.raises(GeometryError, match="bulge"):
        arc_of(Vertex(0, 0, 0.0), (1, 0))
    with pytest.raises(GeometryError, match="two ends apart"):
        arc_of(Vertex(0, 0, 1.0), (0, 0))
