"""The seam of an outline of lines and arcs."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.offset import offset
from cutfiles.geometry.outline import Path, Vertex, arc_of, area, bounds
from cutfiles.geometry.points import points_on
from tests.pieces.drawings.samples import apart, polygon
from tests.strategies import bulged_paths, lengths_mm, star_outlines

WITHIN_MM = 0.01
SEAM_MM = 6.35
ROUND_BAR = Path((Vertex(0, 0), Vertex(40, 0, 1.0), Vertex(40, 20), Vertex(0, 20, 1.0)), closed=True)


def corners_of(path: Path) -> list[tuple[shapely.Point, float]]:
    """Each corner with its turn in radians, left above 0."""
    edges = list(path.edges())
    turns = []
    for (before, corner), (start, end) in zip(edges[-1:] + edges[:-1], edges, strict=True):
        arriving = math.atan2(corner[1] - before.y, corner[0] - before.x) + 2 * math.atan(before.bulge)
        leaving = math.atan2(end[1] - start.y, end[0] - start.x) - 2 * math.atan(start.bulge)
        turns.append((shapely.Point(corner), math.remainder(leaving - arriving, 2 * math.pi)))
    return turns


def grown_by_union(path: Path, by_mm: float) -> shapely.Geometry:
    """All within the seam of the rim, chord by chord; corners round. Slow, and nothing of the program's."""
    made = polygon(path, steps=100)
    rim = list(made.exterior.coords)
    strips = [
        shapely.LineString(rim[i : i + 2]).buffer(abs(by_mm), quad_segs=64) for i in range(len(rim) - 1)
    ]
    near = shapely.union_all(strips)
    return made.union(near) if by_mm > 0 else made.difference(near)


@given(path=st.one_of(bulged_paths(), star_outlines()), by=lengths_mm(1.0, 8.0), out=st.booleans())
@settings(max_examples=25, deadline=None)
def test_the_seam_is_that_wide_everywhere_but_at_mitres(path: Path, by: float, out: bool) -> None:
    """What is wider lies about a corner, by twice the seam (and half of that to the side) at most."""
    if not polygon(path).is_valid:
        return  # arcs of neighbours may cross
    by = by if out else -by
    expected = grown_by_union(path, by)
    moved = offset(path, by)
    if moved is None:
        assert not isinstance(expected, shapely.Polygon) or expected.area < 1 or expected.interiors
        return
    made = polygon(moved, steps=100)
    assert made.is_valid
    assert area(moved) > 0
    if isinstance(expected, shapely.MultiPolygon):  # what a mitre inside has bitten off
        expected = max(expected.geoms, key=lambda part: part.area)
    assert isinstance(expected, shapely.Polygon)
    outside = shapely.Polygon(expected.exterior)
    # Growing leaves nothing out; what a mitre adds stays near its corner. Shrinking, the same of the bay.
    less, more = (outside, made) if out else (made, outside)
    assert less.difference(more.buffer(WITHIN_MM)).area < 1e-6
    beyond = more.difference(less.buffer(WITHIN_MM))
    reach = math.hypot(2, math.sqrt(3)) * abs(by) + 2 * WITHIN_MM
    near = shapely.union_all(
        [point.buffer(reach) for point, turn in corners_of(path) if turn * by > 0] or [shapely.Point()]
    )
    assert beyond.difference(near).area < 1e-6


@given(path=st.one_of(bulged_paths(), star_outlines()), by=lengths_mm(0.5, 8.0))
@settings(max_examples=60, deadline=None)
def test_arcs_stay_arcs(path: Path, by: float) -> None:
    """Every arc of the seam is about a centre of the outline, the seam further out or in."""
    if not polygon(path).is_valid:
        return
    moved = offset(path, by)
    assert moved is not None
    given_arcs = [arc_of(start, end) for start, end in path.edges() if start.bulge]
    allowed = [(arc.centre, arc.radius + math.copysign(by, arc.sweep_deg)) for arc in given_arcs]
    for start, end in moved.edges():
        if start.bulge:
            arc = arc_of(start, end)
            miss = min(math.dist(arc.centre, at) + abs(arc.radius - radius) for at, radius in allowed)
            assert miss < 1e-4 * (1 + arc.radius)
    # No more edges than moved ones, two mitred ones a corner, and what bays cut in two.
    assert len(moved.vertices) <= 5 * len(path.vertices)


@pytest.mark.parametrize("by", [SEAM_MM, -SEAM_MM, 0.5, -9.5])
def test_a_round_bar_stays_one(by: float) -> None:
    """Two half circles and two lines; only the radius changes."""
    moved = offset(ROUND_BAR, by)
    assert moved is not None
    radius = 10 + by
    assert len(moved.vertices) == 4
    assert area(moved) == pytest.approx(math.pi * radius**2 + 40 * 2 * radius, abs=1e-6)
    assert bounds(moved) == pytest.approx((-radius, 10 - radius, 40 + radius, 10 + radius), abs=1e-6)


def test_a_seam_as_wide_as_half_the_bar_leaves_nothing() -> None:
    """Or a hair of it, which no one can sew."""
    assert offset(ROUND_BAR, -10.0) is None
    assert offset(ROUND_BAR, -11.0) is None


def test_two_lobes_joined_by_a_strip_are_split_by_a_seam() -> None:
    """A dumb-bell: nothing single is left."""
    half = math.tan((2 * math.pi - 2 * math.asin(0.4)) / 4)
    lobes = Path((Vertex(0, -4), Vertex(30, -4, half), Vertex(30, 4), Vertex(0, 4, half)), closed=True)
    assert offset(lobes, -3.0) is not None
    assert offset(lobes, -5.0) is None


def test_a_sharp_tip_is_cut_off_square_at_twice_the_seam() -> None:
    """A lens of two arcs: its tips turn by 120° and more."""
    lens = Path((Vertex(0, -30, 0.2), Vertex(0, 30, 0.2)), closed=True)
    assert math.pi - 4 * math.atan(0.2) > 2 * math.pi / 3
    moved = offset(lens, SEAM_MM)
    assert moved is not None
    assert bounds(moved)[1::2] == pytest.approx((-30 - 2 * SEAM_MM, 30 + 2 * SEAM_MM), abs=1e-9)
    assert sum(vertex.y == pytest.approx(30 + 2 * SEAM_MM) for vertex in moved.vertices) == 2


def test_a_blunt_tip_keeps_its_mitre() -> None:
    """Where the tangents, each moved out by the seam, cross."""
    lens = Path((Vertex(0, -30, 0.4), Vertex(0, 30, 0.4)), closed=True)
    moved = offset(lens, SEAM_MM)
    assert moved is not None
    half_turn = (math.pi - 4 * math.atan(0.4)) / 2
    assert bounds(moved)[3] == pytest.approx(30 + SEAM_MM / math.cos(half_turn), abs=1e-9)


def test_a_bay_narrower_than_two_seams_closes() -> None:
    """A keyhole in the edge is cut over, with no hole left."""
    neck = math.asin(0.2)
    hole = -math.tan((2 * math.pi - 2 * neck) / 4)
    top = 40 - 10 * math.cos(neck)
    keyhole = Path(
        (Vertex(0, 0), Vertex(60, 0), Vertex(60, 60), Vertex(32, 60), Vertex(32, 50 - top + 40, hole),
         Vertex(28, 50 - top + 40), Vertex(28, 60), Vertex(0, 60)),
        closed=True,
    )  # fmt: skip
    moved = offset(keyhole, 3.0)
    assert moved is not None
    assert area(moved) == pytest.approx(66 * 66, abs=1e-3)


@given(path=bulged_paths(), stray=st.sampled_from([0.1, 0.01, 0.001]))
def test_points_on_an_outline_keep_as_near_as_asked(path: Path, stray: float) -> None:
    """Points lie on it, the edges between them within the stray."""
    points = points_on(path, stray_mm=stray)
    assert apart(shapely.Polygon(points), polygon(path, steps=400)) < stray + 1e-3
