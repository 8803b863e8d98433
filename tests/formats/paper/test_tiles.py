"""Tiles: they cover the mat, overlap as asked, are as few as can be; none that isn't is taken for empty."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.core.tolerance import FLAT_ARC_MM
from cutfiles.core.units import Unit
from cutfiles.formats.model.style import DEFAULT_STYLE
from cutfiles.formats.paper.sizes import Paper, PaperSpec
from cutfiles.formats.paper.tiles import STRIP_MM, Tiling, tiles_under, tiling
from cutfiles.formats.pdf.write import write_pdf
from cutfiles.formats.pdf.write_map import cell
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, ring
from cutfiles.geometry.points import points_on
from tests.formats.plans import plan

HAIR_MM = 1e-6
EDGE = ring((0, 0), (1, 0), (1, 1))
papers = st.one_of(
    st.builds(
        PaperSpec,
        st.sampled_from([Paper.A4, Paper.LETTER]),
        st.none(),
        st.floats(3.0, 25.4),
        st.floats(5.0, 50.0),
    ),
    st.builds(
        PaperSpec, st.just(Paper.ROLL), st.floats(200.0, 2000.0), st.floats(3.0, 25.4), st.floats(5.0, 50.0)
    ),
)
mats = st.tuples(st.floats(10.0, 900.0), st.floats(10.0, 1300.0))


def whole_mat(mat: tuple[float, float]) -> Path:
    """A zigzag that leaves no tile empty."""
    steps = [mat[1] * step / 40 for step in range(41)]
    corners = [(mat[0] if index % 2 else 0.0, y) for index, y in enumerate(steps)]
    return Path(tuple(Vertex(*corner) for corner in corners), closed=False)


@given(mat=mats, paper=papers)
@example(mat=(304.8, 609.6), paper=PaperSpec())
@example(mat=(190.0, 263.0), paper=PaperSpec())
@example(mat=(10.0, 10.0), paper=PaperSpec(Paper.ROLL, 200.0, 3.0, 21.0))  # shorter than the overlap
def test_tiles_cover_the_mat_and_overlap_and_no_fewer_would_do(
    mat: tuple[float, float], paper: PaperSpec
) -> None:
    """Along both axes: the first begins at the mat's corner, the last reaches its edge, one less doesn't."""
    whole = tiling(*mat, [whole_mat(mat)], paper)
    for axis, usable, count in (
        (0, whole.tile_width_mm, whole.columns),
        (1, whole.tile_height_mm, whole.rows),
    ):
        starts = sorted({(tile.x_mm, tile.y_mm)[axis] for tile in whole.tiles})
        assert len(starts) == count
        assert starts[0] == 0.0
        for here, there in pairwise(starts):
            assert here + usable - there == pytest.approx(paper.overlap_mm)
        assert starts[-1] + usable >= mat[axis] - HAIR_MM
        if count > 1:
            assert starts[-2] + usable < mat[axis] - HAIR_MM / 2
    assert whole.tile_width_mm == pytest.approx(whole.page_width_mm - 2 * paper.margin_mm)
    assert whole.tile_height_mm == pytest.approx(whole.page_height_mm - 2 * paper.margin_mm - STRIP_MM)
    assert whole.tile_width_mm > 2 * paper.overlap_mm


@given(mat=mats, paper=papers)
def test_what_is_left_after_trimming_is_the_mat_and_no_part_of_it_twice(
    mat: tuple[float, float], paper: PaperSpec
) -> None:
    """The cells of the map lie side by side, and each inside what its page shows."""
    whole = tiling(*mat, [EDGE], paper)
    cells = [cell(tile, whole, mat) for tile in whole.tiles]
    boxes = [shapely.box(*corners) for corners in cells]
    assert sum(box.area for box in boxes) == pytest.approx(mat[0] * mat[1])
    assert shapely.unary_union(boxes).area == pytest.approx(mat[0] * mat[1])
    for tile, box in zip(whole.tiles, boxes, strict=True):
        assert shapely.box(*whole.box(tile)).buffer(HAIR_MM).covers(box)


paths = st.one_of(
    st.builds(Circle, st.floats(0, 500), st.floats(0, 700), st.floats(0.1, 400)),
    st.builds(
        lambda corners, closed: Path(tuple(Vertex(*corner) for corner in corners), closed),
        st.lists(
            st.tuples(st.floats(0, 500), st.floats(0, 700), st.floats(-2, 2)), min_size=2, max_size=5,
            unique_by=lambda corner: (round(corner[0]), round(corner[1])),
        ),
        st.booleans(),
    ),
)  # fmt: skip


@given(path=paths)
@example(path=Circle(250, 350, 240))  # around tiles that it doesn't touch
@example(path=Circle(114, 319, 66))  # within one tile, and its bounds within reach of another
def test_a_path_is_on_the_tiles_that_it_touches(path: Contour) -> None:
    """As the geometry library sees it; within a hair either answer will do."""
    whole = tiling(500, 700, [EDGE], PaperSpec())
    points = points_on(path, stray_mm=FLAT_ARC_MM / 10)
    closed = isinstance(path, Circle) or path.closed
    line = shapely.LineString([*points, points[0]] if closed else points)
    touched = {(tile.row, tile.column) for tile in tiles_under(path, whole)}
    for tile in whole.tiles:
        box = shapely.box(*whole.box(tile))
        if line.distance(box) > 2 * FLAT_ARC_MM:
            assert (tile.row, tile.column) not in touched
        if line.intersects(box.buffer(-2 * FLAT_ARC_MM)):
            assert (tile.row, tile.column) in touched


def rows_and_columns(whole: Tiling) -> tuple[int, int]:
    return whole.rows, whole.columns


def test_the_page_lies_as_needs_fewer_tiles() -> None:
    """Counted by hand: A4 shows 190 by 263 mm upright, 277 by 176 on its side; Letter 195.9 by 245.4."""
    everywhere = whole_mat((277, 176))
    assert rows_and_columns(tiling(277, 176, [everywhere], PaperSpec())) == (1, 1)
    assert tiling(277, 176, [everywhere], PaperSpec()).page_width_mm == 297
    assert rows_and_columns(tiling(190, 263, [whole_mat((190, 263))], PaperSpec())) == (1, 1)
    # (305 − 10) / 180 and (610 − 10) / 253 upright; (305 − 10) / 267 and (610 − 10) / 166 on its side.
    assert rows_and_columns(tiling(305, 610, [whole_mat((305, 610))], PaperSpec())) == (3, 2)
    # (305 − 10) / 185.9 and (610 − 10) / 235.4.
    assert rows_and_columns(tiling(305, 610, [whole_mat((305, 610))], PaperSpec(Paper.LETTER))) == (3, 2)


def test_a_roll_takes_the_mat_in_one_where_it_is_wide_enough() -> None:
    """Along the roll or across it; the page is as long as it must be."""
    narrow = PaperSpec(Paper.ROLL, 330.0)
    along = tiling(305, 610, [whole_mat((305, 610))], narrow)
    assert (along.page_width_mm, along.page_height_mm) == (330, pytest.approx(610 + 20 + STRIP_MM))
    across = tiling(610, 280, [whole_mat((610, 280))], narrow)
    assert (across.page_width_mm, across.page_height_mm) == (630, 330)
    assert len(along.tiles) == len(across.tiles) == 1


def test_empty_tiles_are_known_by_row_and_column() -> None:
    """One small piece at the lower right of two by three: only that tile is left."""
    whole = tiling(305, 610, [ring((250, 20), (280, 20), (280, 60))], PaperSpec())
    assert [(tile.row, tile.column) for tile in whole.printed] == [(whole.rows, whole.columns)]
    assert whole.at(1, 1) is None
    assert whole.at(0, 1) is None
    assert whole.at(whole.rows, whole.columns) == whole.printed[0]


@pytest.mark.parametrize(
    ("unit", "told"),
    [(Unit.IN, r"12 in \(304.8 mm\) by 7.894 in \(200.5 mm\)"), (Unit.MM, r"304.8 mm \(12 in\) by")],
)
def test_the_cover_tells_lengths_in_the_jobs_unit_first(unit: Unit, told: str) -> None:
    """A job in inches has inches first; a metric job keeps its mm."""
    style = replace(DEFAULT_STYLE, paper=PaperSpec(unit=unit))
    # In a PDF's text brackets are escaped.
    text = write_pdf(plan(), style=style).decode("latin-1").replace("\\(", "(").replace("\\)", ")")
    assert re.search(f"edges in long grey dashes are {told}", text)
