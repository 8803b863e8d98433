"""Outlines out of SVG files, at true size."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Circle, area, bounds
from cutfiles.geometry.outline import Path as Outline
from tests.pieces.drawings.samples import apart, centred, outline_of, polygon, svg

WITHIN_MM = 0.01
SQUARE = '<path d="M 0 0 H 10 V 10 H 0 Z"/>'
L_SHAPE = [(0, 0), (20, 0), (20, 5), (5, 5), (5, 30), (0, 30)]  # y down; neither symmetric nor square


def bezier(*handles: tuple[float, float], steps: int = 3000) -> list[tuple[float, float]]:
    """Points of a Bézier curve of any degree by repeated halving of ways (de Casteljau), y turned up."""
    points = []
    for i in range(steps):
        t, row = i / steps, list(handles)
        while len(row) > 1:
            row = [((1 - t) * a[0] + t * b[0], (1 - t) * a[1] + t * b[1]) for a, b in pairwise(row)]
        points.append((row[0][0], -row[0][1]))
    return points


@pytest.mark.parametrize(
    ("attributes", "mm"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 1.0),
        ('width="10cm" height="10cm" viewBox="0 0 100 100"', 1.0),
        ('width="1in" height="1in" viewBox="0 0 10 10"', 2.54),
        ('width="72pt" height="72pt" viewBox="0 0 10 10"', 2.54),
        ('width="6pc" height="6pc" viewBox="0 0 10 10"', 2.54),
        ('width="96px" height="96px" viewBox="0 0 10 10"', 2.54),
        ('width="96" height="96" viewBox="0 0 10 10"', 2.54),
        ('viewBox="0 0 10 10"', 25.4 / 96),
        ('width="96" height="96"', 25.4 / 96),
        ("", 25.4 / 96),
        ('width="100%" height="100%" viewBox="0 0 10 10"', 25.4 / 96),
        ('width="50mm" viewBox="0 0 100 100"', 0.5),
        ('width="50mm" height="90mm" viewBox="-7 3 100 100"', 0.5),  # fits the narrower way
        ('width="50mm" height="90mm" viewBox="0 0 100 100" preserveAspectRatio="xMinYMin slice"', 0.9),
    ],
)
def test_a_square_has_its_true_size(tmp_path: Path, attributes: str, mm: float) -> None:
    """In every unit, and in none: then 96 make an inch."""
    outline = outline_of(tmp_path, svg(SQUARE, attributes=attributes))
    assert bounds(outline) == pytest.approx((-5 * mm, -5 * mm, 5 * mm, 5 * mm), abs=1e-9)


def test_a_page_stretched_both_ways_stretches_its_outline(tmp_path: Path) -> None:
    """Only where the page says that its shape need not be kept."""
    box = 'width="50mm" height="90mm" viewBox="0 0 100 100" preserveAspectRatio="none"'
    outline = outline_of(tmp_path, svg(SQUARE, attributes=box))
    assert bounds(outline) == pytest.approx((-2.5, -4.5, 2.5, 4.5), abs=1e-9)


@pytest.mark.parametrize(
    "inside",
    [
        '<path d="M0,0 20,0 20,5 5,5 5,30 0,30z"/>',
        '<path d="m0 0h20v5h-15v25h-5v-30"/>',
        '<path d="m0 0h20v5h-15v25h-5"/><line x1="0" y1="30" x2="0" y2="0.04"/>',
        '<polygon points="0,0 0,30 5,30 5,5 20,5 20,0"/>',
        '<polyline points="0 0 20 0 20 5 5 5 5 30 0 30 0 0"/>',
        '<g transform="translate(3 4)"><g transform="scale(.5)">'
        '<polygon transform="translate(9)" points="0,0 40,0 40,10 10,10 10,60 0,60"/></g></g>',
        '<polygon transform="rotate(90 7 7)" points="0,0 0,-20 5,-20 5,-5 30,-5 30,0"/>',
        '<polygon transform="matrix(0 1 1 0 0 0)" points="0,0 0,20 5,20 5,5 30,5 30,0"/>',
        '<polygon transform="skewX(45) skewX(-45)" points="0,0 0,30 5,30 5,5 20,5 20,0"/>',
        '<line x1="20" x2="0"/><polyline points="20 0 20 5 5 5"/><polyline points="0 0 0 30 5 30 5 5"/>',
        '<a><switch><polygon points="0,0 0,30 5,30 5,5 20,5 20,0"/></switch></a><text>leaf</text>',
        '<defs><circle r="9"/></defs><circle r="9" display="none"/><g style="fill:none;display:none"><rect '
        'width="9" height="9"/></g><polygon points="0,0 0,30 5,30 5,5 20,5 20,0"/>',
        '<path d="M 90 90 m 0 0 z"/><polygon points="0,0 0,30 5,30 5,5 20,5 20,0"/>',
    ],
)
def test_an_l_is_read_whatever_draws_it(tmp_path: Path, inside: str) -> None:
    """Upright, counter-clockwise, its middle at the origin; hidden things and lone dots are not there."""
    outline = outline_of(tmp_path, svg(inside))
    expected = centred([(x, -y) for x, y in L_SHAPE])
    assert area(outline) == pytest.approx(225, abs=0.5)
    assert apart(polygon(outline), expected) < 0.03  # half of the gap that one of them leaves


@pytest.mark.parametrize(
    ("path", "curve"),
    [
        ("M0 0 C 30 -20 60 40 80 0", bezier((0, 0), (30, -20), (60, 40), (80, 0))),
        ("m0 0 c 30 -20 60 -60 80 0", bezier((0, 0), (30, -20), (60, -60), (80, 0))),
        ("M0 0 Q 40 60 80 0", bezier((0, 0), (40, 60), (80, 0))),
        (
            "M0 0 Q 10 30 30 10 T 80 0",
            bezier((0, 0), (10, 30), (30, 10)) + bezier((30, 10), (50, -10), (80, 0)),
        ),
        (
            "M0 0 C 0 20 20 40 30 10 S 70 -30 80 0",
            bezier((0, 0), (0, 20), (20, 40), (30, 10)) + bezier((30, 10), (40, -20), (70, -30), (80, 0)),
        ),
        ("M0 0 C 0 0 60 40 80 0", bezier((0, 0), (0, 0), (60, 40), (80, 0))),  # a handle of no length
        ("M0 0 C 75 50 5 50 80 0", bezier((0, 0), (75, 50), (5, 50), (80, 0))),  # nearly a cusp
        ("M0 0 C 80 50 0 50 80 0", bezier((0, 0), (80, 50), (0, 50), (80, 0))),  # a cusp
        ("M0 0 C 20 0 60 0 80 0", [(0.0, 0.0), (80.0, 0.0)]),  # straight
    ],
)
def test_curves_become_arcs_within_a_hundredth(
    tmp_path: Path, path: str, curve: list[tuple[float, float]]
) -> None:
    """Held against points of the curve that the test works out by itself, closed far above it."""
    outline = outline_of(tmp_path, svg(f'<path d="{path} V -60 H 0 Z"/>'))
    assert isinstance(outline, Outline)
    assert apart(polygon(outline), centred([*curve, (80, 0), (80, 60), (0, 60)])) < WITHIN_MM
    assert len(outline.vertices) < 100


def test_fitted_arcs_run_on_without_a_corner(tmp_path: Path) -> None:
    """A kink would become a false mitre in the seam."""
    leaf = outline_of(tmp_path, svg('<path d="M 25 5 C 47 25 50 55 25 85 C 0 55 3 25 25 5 Z"/>'))
    assert isinstance(leaf, Outline)
    chords = [math.atan2(end[1] - v.y, end[0] - v.x) for v, end in leaf.edges()]
    halves = [2 * math.atan(v.bulge) for v in leaf.vertices]
    turns = [
        math.remainder(chords[i] - halves[i] - chords[i - 1] - halves[i - 1], 2 * math.pi)
        for i in range(len(chords))
    ]
    assert sorted(abs(turn) for turn in turns)[:-2] == pytest.approx([0.0] * (len(turns) - 2), abs=1e-7)
    assert sum(abs(turn) > 0.1 for turn in turns) == 2  # the leaf's two points


@pytest.mark.parametrize(
    "inside",
    [
        '<circle cx="40" cy="9" r="12.5"/>',
        '<ellipse cx="4" rx="25" ry="25" transform="scale(.5) rotate(33)"/>',
        '<circle r="12.5" transform="scale(-1 1)"/>',
        '<circle r="12.5mm" transform="scale(.26458333333333333)"/>',
    ],
)
def test_a_circle_stays_a_circle(tmp_path: Path, inside: str) -> None:
    """Turned, mirrored or scaled alike both ways."""
    outline = outline_of(tmp_path, svg(inside))
    assert isinstance(outline, Circle)
    assert (outline.x, outline.y, outline.radius) == pytest.approx((0, 0, 12.5), abs=1e-9)


@pytest.mark.parametrize("transform", ["", "rotate(25)", "skewX(30)", "scale(1 -2)"])
def test_an_ellipse_has_its_area(tmp_path: Path, transform: str) -> None:
    """pi·a·b, times what the transform stretches."""
    outline = outline_of(tmp_path, svg(f'<ellipse rx="30" ry="12" transform="{transform}"/>'))
    stretch = 2 if "scale" in transform else 1
    assert area(outline) == pytest.approx(math.pi * 30 * 12 * stretch, abs=0.01 * 2 * math.pi * 60)


@pytest.mark.parametrize(
    ("inside", "corner"),
    [
        ('<rect x="9" y="9" width="40" height="30" rx="5"/>', (5, 5)),
        ('<rect width="40" height="30" ry="5" rx="auto"/>', (5, 5)),
        ('<rect width="40" height="30" rx="99" ry="5"/>', (20, 5)),
        ('<rect width="40" height="30"/>', (0, 0)),
        ('<rect width="40" height="30" rx="4" ry="8" transform="rotate(180)"/>', (4, 8)),
    ],
)
def test_a_rectangle_may_have_round_corners(tmp_path: Path, inside: str, corner: tuple[float, float]) -> None:
    """Its area is short of width times height by four corners, (4 − pi)·a·b in all."""
    outline = outline_of(tmp_path, svg(inside))
    assert bounds(outline) == pytest.approx((-20, -15, 20, 15), abs=WITHIN_MM)
    exact = corner[0] == corner[1]
    short = (4 - math.pi) * corner[0] * corner[1]
    assert area(outline) == pytest.approx(1200 - short, abs=1e-9 if exact else 0.2)
    if exact:
        assert isinstance(outline, Outline)
        assert len(outline.vertices) == (8 if corner[0] else 4)


@pytest.mark.parametrize("flags", [(0, 0), (0, 1), (1, 0), (1, 1)])
@given(
    turn=st.floats(-180, 180),
    radii=st.tuples(st.floats(10, 40), st.floats(10, 40)),
    end=st.tuples(st.floats(5, 18), st.floats(-8, 8)),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=20, deadline=None)
def test_an_elliptical_arc_is_the_one_that_its_flags_choose(
    tmp_path: Path, flags: tuple[int, int], turn: float, radii: tuple[float, float], end: tuple[float, float]
) -> None:
    """Its area tells: with its chord it closes the smaller or the larger segment of the ellipse."""
    (large, sweep), (across, up) = flags, radii
    path = f"M0 0 A {across} {up} {turn} {large} {sweep} {end[0]} {end[1]} Z"
    outline = outline_of(tmp_path, svg(f'<path d="{path}"/>'))
    # Made a unit circle of: areas there are times across·up here.
    angle = math.radians(turn)
    x = (math.cos(angle) * end[0] + math.sin(angle) * end[1]) / across
    y = (math.cos(angle) * end[1] - math.sin(angle) * end[0]) / up
    half = 2 * math.asin(min(1.0, math.hypot(x, y) / 2))
    smaller = (half - math.sin(half)) / 2
    expected = (math.pi - smaller if large else smaller) * across * up
    assert area(outline) == pytest.approx(expected, abs=WITHIN_MM * 2 * math.pi * 40)


@pytest.mark.parametrize("sweep", [0, 1])
def test_a_swept_half_circle_lies_to_its_side(tmp_path: Path, sweep: int) -> None:
    """Sweep 1 from left to right passes above: y down, positive angles run clockwise on paper."""
    arc = f'<path d="M 0 0 A 10 10 0 0 {sweep} 20 0 L 10 {1 if sweep else -1} Z"/>'
    outline = outline_of(tmp_path, svg(arc))
    assert isinstance(outline, Outline)
    single = min(outline.vertices, key=lambda v: abs(v.x))  # the corner that is no end of the arc
    assert (single.y < 0) is bool(sweep)
    assert bounds(outline)[3] - bounds(outline)[1] == pytest.approx(11)


@given(x=st.floats(-500, 500), y=st.floats(-500, 500), turn=st.integers(0, 3), way=st.booleans())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30, deadline=None)
def test_where_on_the_page_and_which_way_round_does_not_matter(
    tmp_path: Path, x: float, y: float, turn: int, way: bool
) -> None:
    """A quarter turn of the drawing is one of the outline, the other way round since y is turned up."""
    points = " ".join(f"{a},{b}" for a, b in (L_SHAPE if way else L_SHAPE[::-1]))
    place = f"translate({x} {y}) rotate({90 * turn})"
    outline = outline_of(tmp_path, svg(f'<polygon transform="{place}" points="{points}"/>'))
    upright = centred([(a, -b) for a, b in L_SHAPE])
    expected = shapely.affinity.rotate(upright, -90 * turn, origin=(0, 0))
    assert apart(polygon(outline), expected) < 1e-6
    assert area(outline) > 0
