"""Outlines out of DXF files of every version and entity."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely
from ezdxf.layouts import Modelspace

from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Circle, area, bounds
from cutfiles.geometry.outline import Path as Outline
from tests.pieces.drawings.samples import apart, centred, dxf, outline_of, polygon

L_SHAPE = [(0, 0), (20, 0), (20, 5), (5, 5), (5, 30), (0, 30)]


@pytest.mark.parametrize(
    ("code", "mm"),
    [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000), (9, 0.0254), (10, 914.4), (13, 0.001), (14, 100)],
)
def test_a_square_has_its_true_size(tmp_path: Path, code: int, mm: float) -> None:
    """As $INSUNITS says, whatever the job's unit is."""
    side = 60 / mm

    def draw(space: Modelspace) -> None:
        space.add_lwpolyline([(0, 0), (side, 0), (side, side), (0, side)], close=True)

    outline = outline_of(tmp_path, dxf(draw, insunits=code), name="a.dxf", unit=Unit.CM)
    assert bounds(outline) == pytest.approx((-30, -30, 30, 30))


@pytest.mark.parametrize("unit", list(Unit))
def test_a_drawing_without_a_unit_is_in_the_jobs(tmp_path: Path, unit: Unit) -> None:
    """Missing in R12, or 0."""

    def draw(space: Modelspace) -> None:
        space.add_polyline2d([(0, 0), (10, 0), (10, 10), (0, 10)], close=True)

    for text in (dxf(draw, insunits=0), dxf(draw, version="R12")):
        outline = outline_of(tmp_path, text, name="a.dxf", unit=unit)
        assert area(outline) == pytest.approx(100 * unit.mm**2)


def _polyline(space: Modelspace) -> None:
    space.add_polyline2d(L_SHAPE, close=True)


def _polyline_3d(space: Modelspace) -> None:
    space.add_polyline3d([(x, y, 0) for x, y in L_SHAPE], close=True)


def _lines(space: Modelspace) -> None:
    # Not in order, not all the same way round, and off by what other programs round.
    corners = [*L_SHAPE, L_SHAPE[0]]
    for i in (3, 0, 5, 2, 4, 1):
        start, end = corners[i], corners[i + 1]
        start = (start[0] + 0.02, start[1])
        space.add_line(*((end, start) if i % 2 else (start, end)))


def _block(space: Modelspace) -> None:
    inner = space.doc.blocks.new("INNER")
    inner.add_lwpolyline([(y, x) for x, y in L_SHAPE], close=True)  # mirrored in x = y
    outer = space.doc.blocks.new("OUTER", base_point=(7, 7))
    outer.add_blockref("INNER", (50, 9), dxfattribs={"xscale": 0.5, "yscale": 0.5, "rotation": 90})
    space.add_blockref("OUTER", (3, 3), dxfattribs={"xscale": -2, "yscale": 2})


def _from_below(space: Modelspace) -> None:
    mirrored = [(-x, y) for x, y in L_SHAPE]
    space.add_lwpolyline(mirrored, close=True, dxfattribs={"extrusion": (0, 0, -1)})


def _with_words(space: Modelspace) -> None:
    _polyline(space)
    space.add_text("leaf")
    space.doc.layers.add("GUIDES").off()
    space.add_line((0, 0), (99, 99), dxfattribs={"layer": "GUIDES"})
    space.add_line((0, 0), (99, 99), dxfattribs={"invisible": 1})
    space.doc.paperspace().add_line((0, 0), (99, 99))


@pytest.mark.parametrize(
    "draw",
    [_polyline, _polyline_3d, _lines, _block, _from_below, _with_words],
    ids=lambda draw: draw.__name__,
)
def test_an_l_is_read_whatever_draws_it(tmp_path: Path, draw: object) -> None:
    """Joined, inserted, mirrored by its normal; what is hidden and what is written is not there."""
    outline = outline_of(tmp_path, dxf(draw), name="a.dxf")  # type: ignore[arg-type]
    assert apart(polygon(outline), centred([(float(x), float(y)) for x, y in L_SHAPE])) < 0.021
    assert area(outline) == pytest.approx(225, abs=0.5)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_every_version_keeps_bulges(tmp_path: Path, version: str) -> None:
    """A stadium: a rectangle of 20 by 10 with a half circle at either end, one of them drawn backwards."""
    corners = [(0.0, 0.0, 0.0), (20.0, 0.0, 1.0), (20.0, 10.0, 0.0), (0.0, 10.0, 1.0)]

    def draw(space: Modelspace) -> None:
        space.add_polyline2d(corners, format="xyb", close=True)

    outline = outline_of(tmp_path, dxf(draw, version=version), name="a.dxf")
    assert isinstance(outline, Outline)
    assert sorted(vertex.bulge for vertex in outline.vertices) == pytest.approx([0, 0, 1, 1], abs=1e-12)
    assert area(outline) == pytest.approx(200 + math.pi * 25)
    assert bounds(outline) == pytest.approx((-15, -5, 15, 5))


def test_a_circle_stays_a_circle(tmp_path: Path) -> None:
    """Also one that is inserted at half its size."""

    def inserted(space: Modelspace) -> None:
        space.doc.blocks.new("RING").add_circle((9, 9), 25)
        space.add_blockref("RING", (1, 1), dxfattribs={"xscale": 0.5, "yscale": 0.5})

    for draw in (lambda space: space.add_circle((70, -3), 12.5), inserted):
        outline = outline_of(tmp_path, dxf(draw), name="a.dxf")
        assert isinstance(outline, Circle)
        assert (outline.x, outline.y, outline.radius) == pytest.approx((0, 0, 12.5))


def test_a_circle_inserted_unevenly_is_an_ellipse(tmp_path: Path) -> None:
    """pi·a·b."""

    def draw(space: Modelspace) -> None:
        space.doc.blocks.new("RING").add_circle((0, 0), 10)
        space.add_blockref("RING", (0, 0), dxfattribs={"xscale": 3, "yscale": 1})

    assert area(outline_of(tmp_path, dxf(draw), name="a.dxf")) == pytest.approx(math.pi * 300, abs=0.5)


@pytest.mark.parametrize("below", [False, True])
def test_half_an_ellipse_closed_by_a_line(tmp_path: Path, below: bool) -> None:
    """Parameters count from the long axis, counter-clockwise about the normal."""

    def draw(space: Modelspace) -> None:
        attributes = {"extrusion": (0, 0, -1)} if below else {}
        space.add_ellipse((5, 5), (0, 20), 0.5, 0, math.pi, dxfattribs=attributes)
        space.add_line((5, 25), (5, -15))

    outline = outline_of(tmp_path, dxf(draw), name="a.dxf")
    assert area(outline) == pytest.approx(math.pi * 100, abs=0.2)
    # Seen from above the half lies left of its upright axis; from below, right of it.
    assert (polygon(outline).centroid.x > 0) is (not below)


def test_arcs_and_lines_make_a_pennant(tmp_path: Path) -> None:
    """An arc runs counter-clockwise from its start angle, in degrees."""

    def draw(space: Modelspace) -> None:
        space.add_arc((0, 0), 10, 90, 270)
        space.add_line((0, 10), (30, 0))
        space.add_line((0, -10), (30, 0))

    outline = outline_of(tmp_path, dxf(draw), name="a.dxf")
    assert area(outline) == pytest.approx(math.pi * 50 + 300)
    assert bounds(outline) == pytest.approx((-20, -10, 20, 10))


@pytest.mark.parametrize("weights", [None, [1, 2, 0.5, 1, 3, 1]])
def test_a_spline_is_followed_within_a_hundredth(tmp_path: Path, weights: list[float] | None) -> None:
    """Against points by de Boor's recursion, worked out in the test; at one knot it turns sharply."""
    poles = [(0.0, 0.0), (10.0, 30.0), (30.0, 30.0), (40.0, 10.0), (60.0, 25.0), (70.0, 0.0)]
    knots = [0.0, 0, 0, 1, 2, 2, 3, 3, 3]
    degree, given = 2, weights or [1.0] * 6

    def draw(space: Modelspace) -> None:
        spline = space.add_spline()
        spline.dxf.degree = degree
        spline.control_points = [(*pole, 0) for pole in poles]
        spline.knots = knots
        if weights:
            spline.weights = weights
        space.add_line((0, 0), (70, 0))

    points = []
    for i in range(6000):
        t = 3 * i / 6000
        k = max(j for j in range(degree, 6) if knots[j] <= t)
        d = [(given[j] * poles[j][0], given[j] * poles[j][1], given[j]) for j in range(k - degree, k + 1)]
        for r in range(1, degree + 1):
            for j in range(degree, r - 1, -1):
                low, high = knots[j + k - degree], knots[j + 1 + k - r]
                a = (t - low) / (high - low)
                d[j] = tuple((1 - a) * p + a * q for p, q in zip(d[j - 1], d[j], strict=True))  # type: ignore[assignment]
        points.append((d[degree][0] / d[degree][2], d[degree][1] / d[degree][2]))
    outline = outline_of(tmp_path, dxf(draw), name="a.dxf")
    assert apart(polygon(outline), centred([*points, (70.0, 0.0)])) < 0.01
    assert isinstance(outline, Outline)
    assert len(outline.vertices) < 80


def test_both_kinds_of_file_hold_the_same_leaf(tmp_path: Path) -> None:
    """The fixtures: Béziers in SVG, splines in a block of a DXF."""
    folder = Path(__file__).parents[3] / "fixtures/outlines"
    from_svg, from_dxf = (
        outline_of(tmp_path, (folder / name).read_bytes(), name=name) for name in ("leaf.svg", "leaf.dxf")
    )
    assert shapely.symmetric_difference(polygon(from_svg), polygon(from_dxf)).area < 0.05
