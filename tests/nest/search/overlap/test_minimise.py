"""One piece more, inserted: the gap is kept, and what is known to fit is found."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.geometry.outline import Path
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.nofit.half_planes import HalfPlanes
from cutfiles.nest.search.overlap.minimise import OverlapMinimisation, Start
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape
from tests.nest.shapes import HALF, IN, wedge
from tests.strategies import convex_outlines


def polygon(placed: PlacedItem) -> shapely.Polygon:
    """The piece as it lies, for shapely."""
    return shapely.Polygon(placed.item.corners + np.array((placed.x_mm, placed.y_mm)))


def is_sound(placed: Sequence[PlacedItem], size: tuple[float, float], gap_mm: float) -> bool:
    """Whether every piece is in the rectangle and no two are nearer than the gap, by shapely."""
    pieces = [polygon(placed_item) for placed_item in placed]
    room = shapely.box(-1e-9, -1e-9, size[0] + 1e-9, size[1] + 1e-9)
    apart = all(
        piece.distance(other) >= gap_mm - 1e-6 and piece.intersection(other).area < 1e-9
        for index, piece in enumerate(pieces)
        for other in pieces[:index]
    )
    return apart and all(room.covers(piece) for piece in pieces)


@pytest.mark.parametrize(
    ("width", "height", "turns", "count"),
    [(12, 12, HALF, 12), (12, 24, HALF, 26), (18, 22, HALF, 37), (24, 24, HALF, 53)],
)
def test_the_known_yields_are_reached(
    width: float, height: float, turns: tuple[float, ...], count: int
) -> None:
    """Wedge 0.95 × 2.53 × 5 in, margin 1/4, gap 0.05: yields that general solvers were measured to reach.

    Measured for this project with open solvers of irregular packing; no published source.
    """
    # Less than the usual effort, so that it is quick: the last sheet is known to hold one more.
    solver = Solver((wedge(),), gap_mm=0.05 * IN, clock=Clock(effort=Effort(4, 250)))
    container = Container(width * IN, height * IN, 0.25 * IN, turns, mirrored=False)
    placed = list(solver.maximise(container, "blade"))
    assert len(placed) >= count
    inset = [
        PlacedItem(placed_item.item, placed_item.x_mm - 0.25 * IN, placed_item.y_mm - 0.25 * IN)
        for placed_item in placed
    ]
    assert is_sound(inset, ((width - 0.5) * IN, (height - 0.5) * IN), 0.05 * IN)


def never() -> bool:
    """Nobody wants it to stop."""
    return False


def test_a_layout_with_one_more_is_found_and_repeats() -> None:
    """Eleven wedges and room for twelve; the same start gives the same layout to the last bit."""
    items = [oriented_item(wedge(), turn_deg=turn, mirrored=False) for turn in HALF]
    size = (11.5 * IN, 11.5 * IN)
    layouts = []
    for _ in range(2):
        minimisation = OverlapMinimisation(items, gap_mm=0.05 * IN)
        placed: tuple[PlacedItem, ...] = (PlacedItem(items[0], 1.265 * IN, 0.0),)
        while len(placed) < 12:
            starts = (Start(placed, "blade", seed) for seed in range(3))
            tries = (minimisation.one_more(start, size=size, moves=300, stop=never) for start in starts)
            more = next((layout for layout in tries if layout is not None), None)
            assert more is not None, len(placed)
            placed = more
            assert is_sound(placed, size, 0.05 * IN)
        layouts.append(
            [(placed_item.item.turn_deg, placed_item.x_mm, placed_item.y_mm) for placed_item in placed]
        )
    assert layouts[0] == layouts[1]


def test_pieces_scattered_at_random_are_brought_to_lie_apart() -> None:
    """Nine wedges, all thrown anywhere, in a room that rows of blades would fill with twelve."""
    items = [oriented_item(wedge(), turn_deg=turn, mirrored=False) for turn in HALF]
    placed = (PlacedItem(items[0], 0.0, 0.0),) * 8  # where they lay doesn't count
    start = Start(placed, "blade", 1, scattered=True)
    size = (11.5 * IN, 11.5 * IN)
    layout = OverlapMinimisation(items, gap_mm=0.05 * IN).one_more(start, size=size, moves=500, stop=never)
    assert layout is not None
    assert len(layout) == 9
    assert is_sound(layout, size, 0.05 * IN)


def test_what_cannot_fit_is_not_found() -> None:
    """Two wedges don't fit into the room of one; the moves end, and so does a search told to stop."""
    items = [oriented_item(wedge(), turn_deg=turn, mirrored=False) for turn in HALF]
    start = Start((PlacedItem(items[0], 1.265 * IN, 0.0),), "blade", 0)
    minimisation = OverlapMinimisation(items, gap_mm=0.0)
    assert minimisation.one_more(start, size=(2.6 * IN, 5 * IN), moves=10, stop=never) is None
    assert minimisation.one_more(start, size=(26 * IN, 50 * IN), moves=10, stop=lambda: True) is None


@settings(max_examples=60)
@given(
    outlines=st.tuples(convex_outlines(), convex_outlines()),
    gap_mm=st.floats(0, 5),
    spot=st.tuples(st.floats(-80, 80), st.floats(-80, 80)),
)
def test_the_tables_keep_the_gap_and_little_more(
    outlines: tuple[Path, Path], gap_mm: float, spot: tuple[float, float]
) -> None:
    """Where the depth is 0 shapely measures at least the gap, and where it measures much more, it is 0."""
    shapes = [Shape(name, outline, (), symmetric=False) for name, outline in zip("ab", outlines, strict=True)]
    items = [oriented_item(shape, turn_deg=0.0, mirrored=False) for shape in shapes]
    at = tuple(np.array([number]) for number in spot)
    fixed = (np.array([0]), np.array([0.0]), np.array([0.0]))
    depth = HalfPlanes(items, gap_mm=gap_mm).depths((at[0], at[1]), 1, fixed)[0, 0]
    distance = polygon(PlacedItem(items[0], 0.0, 0.0)).distance(polygon(PlacedItem(items[1], *spot)))
    if depth == 0:
        assert distance >= gap_mm - 1e-6
    # A corner mitred up to 100 degrees keeps 1/cos(50°) of the gap.
    if distance > gap_mm * 1.56 + 1e-5:
        assert depth == 0
