"""Cut lines that lie on each other are cut once; what is on the fabric's edge not at all, if so wished."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.formats.model.plan import Stroke
from cutfiles.geometry.outline import Path, as_path, length, ring
from cutfiles.geometry.pose import placed
from cutfiles.job.model.job import FabricEdge
from cutfiles.nest.base.layout import Layout
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.cut.shared import left_over
from tests.nest.jobs import bed_of, cut_list_of, fabric_of, nested, usual_shapes
from tests.toolpath.castor import steps
from tests.toolpath.tools import cut_strokes, laid_out

TILE = Shape("tile", ring((0, 0), (50, 0), (50, 30), (0, 30)), (), symmetric=True)


def cut_lines(strokes: list[Stroke]) -> list[shapely.LineString]:
    return [shapely.LineString(steps(stroke.path, 100.0)) for stroke in strokes]


def outlines(layout: Layout) -> list[shapely.LinearRing]:
    """The outlines of all pieces as they lie."""
    return [
        shapely.LinearRing(steps(placed(layout.shape(placement.shape).cut, placement.pose), 100.0))
        for laid in layout.loads[0].fabrics
        for placement in laid.placements
    ]


@settings(max_examples=12, deadline=None)
@given(columns=st.integers(1, 4), rows=st.integers(1, 4), shift=st.sampled_from([0.0, 12.5, 49.95]))
def test_a_wall_of_tiles_is_cut_once_along_every_joint(columns: int, rows: int, shift: float) -> None:
    """Straight courses or shifted ones: the length cut is that of the union, as shapely merges it."""
    corners = [
        (column * 50.0 + shift * (row % 2), row * 30.0) for row in range(rows) for column in range(columns)
    ]
    layout = laid_out(TILE, corners)
    strokes = cut_strokes(layout, bed_of(gap=0.0))
    lines = cut_lines(strokes)
    joint = shapely.union_all(outlines(layout))
    total = sum(line.length for line in lines)
    # Of joints a stretch below 0.1 mm is not worth sharing.
    assert total == pytest.approx(joint.length, abs=0.11 * len(corners) if shift == 49.95 else 1e-3)
    assert shapely.union_all(lines).buffer(1e-3).covers(joint)
    if shift == 0.0:
        alone = columns * rows * 160.0
        shared = (columns - 1) * rows * 30.0 + columns * (rows - 1) * 50.0
        assert total == pytest.approx(alone - shared, abs=1e-3)


def test_nested_blades_share_their_long_edges() -> None:
    """As the nest lays them at no gap: all outlines are cut, and nothing twice."""
    bed = bed_of(gap=0.0)
    layout = nested(cut_list_of(usual_shapes(), {"blade": 8}, fabric_of(size=(18, 6), pieces=1)), bed)
    strokes = cut_strokes(layout, bed)
    lines, wanted = cut_lines(strokes), outlines(layout)
    assert shapely.union_all(lines).buffer(2e-3).covers(shapely.union_all(wanted))
    total, alone = sum(line.length for line in lines), sum(outline.length for outline in wanted)
    assert total < alone - 4 * 100.0
    # No two lines run along each other: their neighbourhoods meet in spots alone.
    for number, line in enumerate(lines):
        for other in lines[number + 1 :]:
            assert line.buffer(0.01).intersection(other).length < 0.2


def test_the_first_piece_keeps_its_outline_and_the_others_their_names() -> None:
    """Closed under its id, then open parts under theirs; a piece that is all cut with others has none."""
    around = [(0.0, 30.0), (50.0, 30.0), (0.0, 0.0), (50.0, 0.0)]
    strokes = {stroke.name: stroke.path for stroke in cut_strokes(laid_out(TILE, around), bed_of(gap=0.0))}
    assert sorted(strokes) == [f"tide-tile-{n:03d}" for n in (1, 2, 3, 4)]
    lengths = {name[-3:]: round(length(path), 6) for name, path in strokes.items()}
    assert lengths == {"001": 160.0, "002": 130.0, "003": 110.0, "004": 80.0}
    first = strokes["tide-tile-001"]
    assert isinstance(first, Path)
    assert first.closed
    bar = Shape("bar", ring((0, 0), (10, 0), (10, 30), (0, 30)), (), symmetric=True)
    ringed = laid_out(bar, [(0, 0), (20, 0), (10, 30), (10, -30), (10, 0)])
    names = [stroke.name for stroke in cut_strokes(ringed, bed_of(gap=0.0))]
    assert len(names) == 4
    ringed = laid_out(bar, [(0, 0), (20, 0), (10, 0)])
    names = sorted(stroke.name for stroke in cut_strokes(ringed, bed_of(gap=0.0)))
    assert names[2:] == ["tide-bar-003", "tide-bar-003-part-2"]


def test_edges_that_touch_at_an_angle_are_not_shared() -> None:
    """Half a degree between two edges that begin in one point: each is cut."""
    wedge = Shape("wedge", ring((0, 0), (50, -20), (50, -0.44)), (), symmetric=False)
    layout = laid_out(TILE, [(0.0, 0.0)])
    both = replace(layout, shapes=(TILE, wedge), loads=(replace(layout.loads[0], fabrics=(
        *layout.loads[0].fabrics, *laid_out(wedge, [(0.0, 0.0)]).loads[0].fabrics
    )),))  # fmt: skip
    strokes = cut_strokes(both, bed_of(gap=0.0))
    assert all(stroke.path.closed for stroke in strokes if isinstance(stroke.path, Path))
    assert len(strokes) == 2


def test_with_a_gap_of_the_kerf_one_cut_parts_two_pieces() -> None:
    """The tool runs in the middle of the gap, once; the corners between are bridged."""
    kerf = 0.2
    layout = laid_out(TILE, [(10.0, 10.0), (60.0 + kerf, 10.0)])
    strokes = cut_strokes(layout, bed_of(gap=kerf / 25.4), kerf_mm=kerf)
    assert [stroke.path.closed for stroke in strokes if isinstance(stroke.path, Path)].count(False) == 1
    removed = shapely.union_all([line.buffer(kerf / 2, quad_segs=32) for line in cut_lines(strokes)])
    for outline in outlines(layout):
        piece = shapely.Polygon(outline)
        assert piece.intersection(removed).area < 1e-2
        rim = piece.buffer(0.01).boundary
        assert removed.buffer(0.003).covers(rim)
    # A wider gap shares nothing.
    apart = cut_strokes(laid_out(TILE, [(10.0, 10.0), (60.5, 10.0)]), bed_of(gap=0.5 / 25.4), kerf_mm=kerf)
    assert all(stroke.path.closed for stroke in apart if isinstance(stroke.path, Path))


def test_the_fabrics_own_edge_is_cut_unless_told_otherwise() -> None:
    """A tile in the fabric's corner: two of its sides need no cut."""
    layout = laid_out(TILE, [(0.0, 0.0), (100.0, 100.0)])
    assert sum(length(stroke.path) for stroke in cut_strokes(layout, bed_of())) == pytest.approx(320.0)
    for kerf in (0.0, 0.2):
        strokes = cut_strokes(layout, bed_of(gap=0.1), edge=FabricEdge.SKIP, kerf_mm=kerf)
        (corner,) = (stroke.path for stroke in strokes if stroke.name == "tide-tile-001")
        assert isinstance(corner, Path)
        assert not corner.closed
        assert length(corner) == pytest.approx(80.0, abs=0.7)
        assert min(min(x, y) for x, y in steps(corner, 1.0)) > -0.11


def test_overcut_runs_on_along_the_outline() -> None:
    """Past the start of a whole outline, past both ends of a part, along circles too."""
    over = 3.0
    plain = cut_strokes(laid_out(TILE, [(0.0, 0.0), (50.0, 0.0)]), bed_of(gap=0.0))
    longer = cut_strokes(laid_out(TILE, [(0.0, 0.0), (50.0, 0.0)]), bed_of(gap=0.0), overcut_mm=over)
    by_name = {stroke.name: length(stroke.path) for stroke in plain}
    for stroke in longer:
        assert isinstance(stroke.path, Path)
        assert not stroke.path.closed
        more = over if stroke.name == "tide-tile-001" else 2 * over
        assert length(stroke.path) == pytest.approx(by_name[stroke.name] + more)
    tiles = shapely.union_all(outlines(laid_out(TILE, [(0.0, 0.0), (50.0, 0.0)])))
    assert tiles.buffer(1e-6).covers(shapely.union_all(cut_lines(longer)))
    centre = replace(usual_shapes()[1])
    (ring_cut,) = cut_strokes(laid_out(centre, [(60.0, 60.0)]), bed_of(), overcut_mm=over)
    assert length(ring_cut.path) == pytest.approx(length(centre.cut) + over)
    x, y = steps(ring_cut.path, 1.0)[-1]
    assert ((x - 60) ** 2 + (y - 60) ** 2) ** 0.5 == pytest.approx(2 * 25.4)


@given(rest=st.floats(1e-4, 0.3), off=st.floats(0.0, 0.1))
def test_what_is_left_of_a_line_is_cut_where_it_is_longer_than_a_dot(rest: float, off: float) -> None:
    """In HP-GL's units of 0.025 mm no stroke is a dot, and hardly more of a line is left than that takes."""
    gone = [(0.0, 20.0 + off), (20.0 + off + rest, 160.0)]
    left = left_over(as_path(TILE.cut), gone, kerf_mm=0.0)
    if rest > 0.0365:
        assert left == [(20.0 + off, pytest.approx(20.0 + off + rest))]
    if left:
        assert rest > 0.025 * 2**0.5
