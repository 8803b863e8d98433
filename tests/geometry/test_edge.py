"""One edge by itself: nearest points, parts and crossings, against fine chords and sampled circles."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from cutfiles.geometry.edge import Edge, crossings, edge, edges_of, turns_of
from cutfiles.geometry.outline import Circle, Path, Point, Vertex, ring

_NUMBERS = st.floats(-50, 50, allow_nan=False).map(lambda value: round(value, 3))
_BULGES = st.one_of(st.just(0.0), st.floats(-3, 3).filter(lambda bulge: abs(bulge) > 0.01))
HALVINGS = 9


@st.composite
def edges(draw: st.DrawFn) -> Edge:
    """Straight edges and arcs, up to nearly a whole circle."""
    start, end = (draw(_NUMBERS), draw(_NUMBERS)), (draw(_NUMBERS), draw(_NUMBERS))
    assume(math.dist(start, end) > 0.1)
    return edge(Vertex(*start, draw(_BULGES)), end)


def sampled(segment: Edge) -> list[Point]:
    """Points along an edge: the chord's middle moved by the arc's height, then both halves the same way.

    Halving an arc needs no centre and no angle: tan(a/2) = (√(1 + tan² a) − 1)/tan a.
    """

    def halves(start: Point, end: Point, bulge: float, deep: int) -> list[Point]:
        if deep == 0:
            return [start]
        x, y = end[0] - start[0], end[1] - start[1]
        middle = (start[0] + x / 2 + bulge / 2 * y, start[1] + y / 2 - bulge / 2 * x)
        half = (math.sqrt(1 + bulge * bulge) - 1) / bulge if bulge else 0.0
        return [*halves(start, middle, half, deep - 1), *halves(middle, end, half, deep - 1)]

    return [*halves(segment.start, segment.end, segment.bulge, HALVINGS), segment.end]


def stray_mm(segment: Edge) -> float:
    """How far the sampled chords may be off: their height, with room for rounding."""
    longest = math.dist(*sampled(segment)[:2])  # all are alike
    return longest * math.tan(abs(math.atan(segment.bulge)) / 2**HALVINGS) + 1e-9


@settings(max_examples=60, deadline=None)
@given(segment=edges(), point=st.tuples(_NUMBERS, _NUMBERS))
@example(segment=edge(Vertex(0, 0, 1.0), (10, 0)), point=(5, 0))  # the centre itself
def test_a_point_is_as_far_from_an_edge_as_from_its_chords(segment: Edge, point: Point) -> None:
    """Measured by another library, on points found by halving."""
    apart = shapely.LineString(sampled(segment)).distance(shapely.Point(point))
    assert segment.distance_to(point) == pytest.approx(apart, abs=stray_mm(segment))
    left, low, right, high = segment.box
    box = shapely.box(left - 1e-9, low - 1e-9, right + 1e-9, high + 1e-9)
    assert all(box.covers(shapely.Point(at)) for at in sampled(segment)[::50])


@settings(max_examples=60, deadline=None)
@given(segment=edges(), first=st.floats(0, 0.9), share=st.floats(0.05, 1.0))
def test_a_part_of_an_edge_lies_on_it_and_is_as_long_as_its_share(
    segment: Edge, first: float, share: float
) -> None:
    """Lengths are summed over chords; a part from 0 to 1 is the edge itself."""
    last = min(1.0, first + share)
    part = segment.part(first, last)
    chords = shapely.LineString(sampled(part))
    assert part.length() == pytest.approx((last - first) * segment.length(), rel=1e-9, abs=1e-9)
    assert chords.length == pytest.approx(part.length(), rel=1e-4)
    whole = shapely.LineString(sampled(segment))
    off = shapely.distance(whole, shapely.points(sampled(part)[::16]))
    assert off.max() <= stray_mm(segment)
    assert segment.part(0.0, 1.0).vertex() == pytest.approx(segment.vertex())
    assert segment.part(0.0, 1.0).end == segment.end


@settings(max_examples=60, deadline=None)
@given(first=edges(), second=edges())
@example(first=edge(Vertex(0, 0), (10, 0)), second=edge(Vertex(10, 0), (10, 5)))  # an end on an end
@example(first=edge(Vertex(0, 0, 1.0), (10, 0)), second=edge(Vertex(5, -20), (5, 20)))
@example(first=edge(Vertex(0, 0, 1.0), (10, 0)), second=edge(Vertex(0, -2, -1.0), (10, -2)))
def test_crossings_are_those_of_chords(first: Edge, second: Edge) -> None:
    """Each lies on both edges, and where chords cross squarely there is one."""
    pairs = crossings(first, second)
    for share, other_share in pairs:
        assert math.dist(first.at(share), second.at(other_share)) < 1e-5
    first_chords, second_chords = (shapely.LineString(sampled(each)) for each in (first, second))
    points = [first.at(share) for share, _ in pairs]
    common = shapely.get_parts(first_chords.intersection(second_chords))
    away = stray_mm(first) + stray_mm(second)
    for point in (part for part in common if part.geom_type == "Point"):
        # Where chords cross at a hair's angle the arcs may miss each other, or cross a way off.
        ends = [shapely.Point(at) for at in (first.start, first.end, second.start, second.end)]
        a = math.atan2(*reversed(_heading_near(first, (point.x, point.y))))
        b = math.atan2(*reversed(_heading_near(second, (point.x, point.y))))
        if abs(math.sin(a - b)) < 0.2 or min(point.distance(end) for end in ends) < 10 * away:
            continue
        assert any(math.dist((point.x, point.y), at) < 10 * away + 1e-6 for at in points)


def _heading_near(segment: Edge, point: Point) -> Point:
    share = segment.share_of(point)
    before, after = segment.at(max(0.0, share - 1e-6)), segment.at(min(1.0, share + 1e-6))
    size = math.dist(before, after)
    return ((after[0] - before[0]) / size, (after[1] - before[1]) / size)


def test_crossings_known_by_heart() -> None:
    """A line through a half circle; two that touch at their ends; two on each other."""
    half = edge(Vertex(5, 0, 1.0), (-5, 0))
    ((share, other),) = crossings(half, edge(Vertex(3, 0), (3, 8)))
    assert half.at(share) == pytest.approx((3, 4))
    assert other == pytest.approx(0.5)
    assert crossings(edge(Vertex(0, 0), (10, 0)), edge(Vertex(10, 0), (10, 5))) == [(1.0, 0.0)]
    assert crossings(edge(Vertex(0, 0), (10, 0)), edge(Vertex(2, 0), (8, 0))) == []
    assert crossings(half, half) == []
    assert crossings(*edges_of(Circle(0, 0, 5))) == []


def test_an_arc_whose_centre_is_lost_is_measured_as_its_chord() -> None:
    """Its bulge is kept for the files."""
    flat = edge(Vertex(0, 0, 1e-9), (10, 0))
    assert flat.arc is None
    assert flat.distance_to((5, 3)) == 3
    assert flat.vertex().bulge == 1e-9


def test_a_ring_turns_once_round() -> None:
    """Corner by corner; arcs turn by themselves, and what is left is at the corners."""
    assert turns_of(ring((0, 0), (4, 0), (4, 3))) == pytest.approx(
        [math.pi / 2 + math.atan(4 / 3), math.pi / 2, math.pi / 2 + math.atan(3 / 4)]
    )
    bar = Path((Vertex(0, 0), Vertex(40, 0, 1.0), Vertex(40, 20), Vertex(0, 20, 1.0)), closed=True)
    assert turns_of(bar) == pytest.approx([0, 0, 0, 0])
