"""HP-GL files: pens, whole numbers, closed outlines that stay closed, chords near their arcs."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.core.units import Unit
from cutfiles.formats.hpgl.write import far_note, write_hpgl
from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.style import DEFAULT_STYLE, HpglArcs, OutputStyle, PlotterSpec
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, line, ring
from cutfiles.geometry.points import points_on
from tests.formats.plans import plan

WITH_ARCS = replace(DEFAULT_STYLE, plotter=PlotterSpec(arcs=HpglArcs.ARCS))
UNIT_MM = 0.025
STATEMENT = re.compile(r"([A-Z]{2})([^A-Z;]*);")
Point = tuple[float, float]


def statements(load: LoadPlan, style: OutputStyle = DEFAULT_STYLE) -> list[tuple[str, list[float]]]:
    """Return name and numbers of every statement, and refuse anything between them."""
    text = write_hpgl(load, style=style).decode("ascii")
    assert STATEMENT.sub("", text).strip() == ""
    return [
        (name, [float(word) for word in numbers.split(",") if word])
        for name, numbers in STATEMENT.findall(text)
    ]


def drawn(load: LoadPlan, style: OutputStyle = DEFAULT_STYLE) -> list[tuple[int, list[Point]]]:
    """Return pen and corners (mm) of each line with the pen down; arcs by their angles, as a plotter does."""
    lines: list[tuple[int, list[Point]]] = []
    pen, here = 0, (0.0, 0.0)
    for name, numbers in statements(load, style):
        corners = [(x * UNIT_MM, y * UNIT_MM) for x, y in zip(numbers[::2], numbers[1::2], strict=False)]
        if name == "SP":
            pen = int(numbers[0])
        elif name == "PU" and corners:
            here = corners[-1]
            lines.append((pen, [here]))
        elif name == "PD":
            lines[-1][1].extend(corners)
            here = corners[-1] if corners else here
        elif name == "AA":
            centre, sweep = corners[0], math.radians(numbers[2])
            start = math.atan2(here[1] - centre[1], here[0] - centre[0])
            radius = math.dist(here, centre)
            turned = [start + sweep * step / 100 for step in range(1, 101)]
            arc = [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in turned]
            lines[-1][1].extend(arc)
            here = arc[-1]
    return lines


def shape_of(path: Contour) -> shapely.LineString:
    """Return a path as very fine chords."""
    points = points_on(path, stray_mm=1e-5)
    closed = isinstance(path, Circle) or path.closed
    return shapely.LineString([*points, points[0]] if closed else points)


def test_it_begins_plainly_and_gives_the_pen_back() -> None:
    """Initialised, default values, absolute; at the end the pen is up and returned."""
    words = statements(plan())
    assert [name for name, _ in words[:3]] == ["IN", "DF", "PA"]
    assert words[-2:] == [("PU", []), ("SP", [0.0])]


def test_pen_1_draws_and_marks_and_pen_2_cuts() -> None:
    """In this order, each pen taken once; no pen that has nothing to do."""
    pens = [pen for pen, _ in drawn(plan())]
    assert pens == [1] * 7 + [2] * 4
    assert [numbers for name, numbers in statements(plan()) if name == "SP"] == [[1.0], [2.0], [0.0]]
    cuts = replace(plan(), strokes=plan().strokes_of(Tool.CUT))
    assert [numbers for name, numbers in statements(cuts) if name == "SP"] == [[2.0], [0.0]]


def test_coordinates_are_whole_numbers() -> None:
    """No point, no exponent, but in the angles of arcs."""
    for style in (DEFAULT_STYLE, WITH_ARCS):
        for name, numbers in STATEMENT.findall(write_hpgl(plan(), style=style).decode()):
            words = numbers.split(",") if numbers else []
            whole = words[:2] if name == "AA" else words
            assert all(re.fullmatch(r"-?(0|[1-9]\d*)", word) for word in whole)
            assert all(re.fullmatch(r"-?\d+(\.\d+)?", word) for word in words)


@pytest.mark.parametrize(("style", "within_mm"), [(DEFAULT_STYLE, 0.025), (WITH_ARCS, 0.045)])
def test_every_line_lies_where_it_must(style: OutputStyle, within_mm: float) -> None:
    """Within a plotter unit for chords; arcs get their centre rounded as well, and stray by as much again."""
    lines = drawn(plan(), style)
    for stroke, (_, corners) in zip(plan().strokes, lines, strict=True):
        wanted, written = shape_of(stroke.path), shapely.LineString(corners)
        assert wanted.hausdorff_distance(written.segmentize(0.5)) < within_mm


@given(
    x=st.floats(0, 300), y=st.floats(0, 300), size=st.floats(0.001, 80), bulge=st.floats(-3, 3),
    arcs=st.sampled_from(HpglArcs),
)  # fmt: skip
@example(x=0.0125, y=0.0375, size=0.01, bulge=0.0, arcs=HpglArcs.CHORDS)
@example(x=10.0, y=10.0, size=40.0, bulge=1e-300, arcs=HpglArcs.CHORDS)
@example(x=10.0, y=10.0, size=40.0, bulge=-1.0, arcs=HpglArcs.ARCS)
def test_rounding_opens_no_outline(x: float, y: float, size: float, bulge: float, arcs: HpglArcs) -> None:
    """The last point with the pen down is the first, to the unit."""
    outline = Path((Vertex(x, y, bulge), Vertex(x + size, y, bulge), Vertex(x, y + size, bulge)), closed=True)
    circle = Circle(x, y, size)
    load = LoadPlan("load-01", 400, 400, tuple(Stroke(Tool.CUT, path, "a") for path in (outline, circle)))
    style = replace(DEFAULT_STYLE, plotter=PlotterSpec(arcs=arcs))
    for _, corners in drawn(load, style):
        assert corners[0] == corners[-1]
        assert len(corners) > 1


def test_speed_and_force_are_said_for_the_pen_that_has_them() -> None:
    """VS and FS name the pen; what the job leaves out is the plotter's own."""
    style = replace(DEFAULT_STYLE, plotter=PlotterSpec(draw_speed=30, cut_speed=8, cut_force=5))
    settings = [statement for statement in statements(plan(), style) if statement[0] in ("VS", "FS")]
    assert settings == [("VS", [30.0, 1.0]), ("VS", [8.0, 2.0]), ("FS", [5.0, 2.0])]
    assert not [name for name, _ in statements(plan()) if name in ("VS", "FS")]


@pytest.mark.parametrize(("reach_mm", "noted"), [(819.17, False), (819.2, True)])
def test_a_line_beyond_16_bits_is_noted(reach_mm: float, noted: bool) -> None:
    """32767 plotter units are 819.175 mm; the mat alone is no reason."""
    load = LoadPlan("load-01", 1000, 500, (Stroke(Tool.CUT, ring((5, 5), (reach_mm, 5), (5, 9)), "a"),))
    note = far_note(load, Unit.MM)
    assert (note is not None) == noted
    assert note is None or "load-01: lines reach 819.2 mm (32.252 in)" in note


def test_a_line_below_a_unit_is_a_dot() -> None:
    """The pen comes down once."""
    load = LoadPlan("load-01", 100, 100, (Stroke(Tool.DRAW, line((1, 1), (1.001, 1)), "a"),))
    for style in (DEFAULT_STYLE, WITH_ARCS):
        assert drawn(load, style) == [(1, [(1.0, 1.0), (1.0, 1.0)])]
