"""Independent readers of our HP-GL: the interpreter of ezdxf's hpgl2 add-on, and ezhpgl."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Any

import ezhpgl
import pytest
import shapely
from ezdxf.addons.hpgl2.backend import Backend
from ezdxf.addons.hpgl2.interpreter import Interpreter
from ezdxf.addons.hpgl2.plotter import Plotter
from ezdxf.addons.hpgl2.tokenizer import hpgl2_commands

from cutfiles.formats.hpgl.write import write_hpgl
from cutfiles.formats.model.style import DEFAULT_STYLE, HpglArcs, PlotterSpec
from cutfiles.formats.model.tool import Tool
from cutfiles.tips.registry import Tip
from tests.outside.made import Made, whole_plate
from tests.outside.placed import nearest, outlines

# A plotter unit is 0.025 mm: HP, PCL 5 Printer Language Technical Reference Manual, part II.
UNIT_MM = 0.025
NEAR_MM = 1e-4
# Chords: half a unit each way of rounding, and 0.005 mm of chord. Arcs: the centre is rounded as well.
WITHIN_MM = {HpglArcs.CHORDS: 0.025, HpglArcs.ARCS: 0.045}
PACED = PlotterSpec(draw_speed=20, cut_speed=8, draw_force=2, cut_force=6)
Lines = list[tuple[int, list[tuple[float, float]]]]


@cache
def whole(tip: Tip) -> Made:
    return whole_plate(tip)


class Absolute(Backend):
    """Keeps what is drawn where it is; the add-on's own backends move a plot to its corner."""

    def __init__(self) -> None:
        self.lines: Lines = []

    def draw_polyline(self, properties: Any, points: Sequence[Any]) -> None:
        self.lines.append((properties.pen_index, [(p.x * UNIT_MM, p.y * UNIT_MM) for p in points]))

    def draw_paths(self, properties: Any, paths: Sequence[Any], filled: bool) -> None:
        raise AssertionError("nothing of ours is a filled polygon")


def read_by_ezdxf(content: bytes) -> Lines:
    """Pen and corners in mm of each polyline; arcs come as chords of the angle that the file says."""
    backend = Absolute()
    interpreter = Interpreter(Plotter(backend))
    interpreter.run(hpgl2_commands(content))
    assert interpreter.errors == []
    # IN and DF make a new plotter, which this one is; the others set speed and force.
    assert interpreter.not_implemented_commands <= {"IN", "DF", "VS", "FS"}
    return backend.lines


def read_by_ezhpgl(content: bytes) -> Lines:
    """The same; this reader gives mm of itself, and an arc by its centre and angles."""
    plot = ezhpgl.parse(content)
    assert plot.completeness == "complete"
    (page,) = plot.pages
    lines: Lines = []
    for operation in page.operations:
        curve = operation.geometry.curve
        if curve is None:
            points = [(point.x, point.y) for point in operation.geometry.points]
        else:
            points = arc_points(curve)
        lines.append((operation.style.pen, points))
    return lines


def arc_points(curve: Any) -> list[tuple[float, float]]:
    """Points of a curve that is given by its middle and two half axes, a hundred steps long."""
    start, sweep = math.radians(curve.start_angle_deg), math.radians(curve.sweep_angle_deg)
    points = []
    for step in range(101):
        angle = start + sweep * step / 100
        u, v = math.cos(angle), math.sin(angle)
        points.append(
            (
                curve.center.x + curve.axis_u.x * u + curve.axis_v.x * v,
                curve.center.y + curve.axis_u.y * u + curve.axis_v.y * v,
            )
        )
    return points


def joined(lines: Lines) -> Lines:
    """Lines that go on with the pen down where the last one ended, as one; dots left out."""
    runs: Lines = []
    for pen, points in lines:
        if all(math.dist(point, points[0]) < NEAR_MM for point in points):
            continue  # where the pen comes down for an arc, and where the arc's end is said once more
        last = runs[-1][1] if runs and runs[-1][0] == pen else None
        if last and math.dist(last[-1], points[0]) < NEAR_MM and math.dist(last[0], last[-1]) > NEAR_MM:
            last.extend(points[1:])
        else:
            runs.append((pen, list(points)))
    return runs


@pytest.mark.parametrize("read", [read_by_ezdxf, read_by_ezhpgl])
@pytest.mark.parametrize("arcs", HpglArcs)
@pytest.mark.parametrize("tip", Tip)
def test_every_cut_outline_is_closed_and_lies_where_the_layout_says(
    tip: Tip, arcs: HpglArcs, read: Any
) -> None:
    """Each of the 24 pieces is cut once by pen 2, within a plotter unit of its outline."""
    load = whole(tip).plan.loads[0]
    content = write_hpgl(load, style=replace(DEFAULT_STYLE, plotter=replace(PACED, arcs=arcs)))
    cuts = [points for pen, points in joined(read(content)) if pen == 2]
    wanted = outlines(whole(tip).layout)
    found = {}
    for points in cuts:
        assert points[0] == pytest.approx(points[-1], abs=NEAR_MM)
        piece, stray = nearest(wanted, shapely.LineString(points))
        found[piece] = stray
    assert len(cuts) == len(found) == len(wanted) == 24
    assert max(found.values()) <= WITHIN_MM[arcs]


@pytest.mark.parametrize("read", [read_by_ezdxf, read_by_ezhpgl])
def test_pen_1_draws_all_that_is_drawn_and_marked(read: Any) -> None:
    """As long in all as the strokes are, in as many lines, before anything is cut."""
    load = whole(Tip.FOLDED).plan.loads[0]
    lines = read(write_hpgl(load))
    pens = [pen for pen, _ in lines]
    assert pens == sorted(pens)
    drawn = [points for pen, points in lines if pen == 1]
    strokes = [stroke for stroke in load.strokes if stroke.tool is not Tool.CUT]
    assert len(drawn) == len(strokes)
    for points, stroke in zip(drawn, strokes, strict=True):
        line = shapely.LineString(points)
        ends = getattr(stroke.path, "vertices", None)
        if ends and not any(vertex.bulge for vertex in ends):
            corners = [(vertex.x, vertex.y) for vertex in ends]
            wanted = shapely.LineString(corners + corners[:1] if stroke.path.closed else corners)
            assert line.hausdorff_distance(wanted) <= 0.018


def test_both_readers_see_the_same() -> None:
    """Line by line, to a millionth of a mm."""
    content = write_hpgl(whole(Tip.ROUND).plan.loads[0])
    one, other = read_by_ezdxf(content), read_by_ezhpgl(content)
    assert [pen for pen, _ in one] == [pen for pen, _ in other]
    for (_, mine), (_, theirs) in zip(one, other, strict=True):
        assert shapely.LineString(mine).hausdorff_distance(shapely.LineString(theirs)) < 1e-6
