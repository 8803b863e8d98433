"""How a fabric is parted for some shapes: into blanks for the mat, and rows of what is cut by hand.

Blanks are chosen by what a quick search finds on them; where a print repeats they begin on its grid.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

from cutfiles.core.tolerance import SAME_POINT_MM, TOUCH_MM
from cutfiles.geometry.outline import Bounds, Point, area, bounds
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import FabricSpec, Face
from cutfiles.nest.base.container import Container
from cutfiles.nest.cutting_rules.cloth import Cloth, cloth_of
from cutfiles.nest.cutting_rules.reach import Reach, Rect
from cutfiles.nest.cutting_rules.repeat import lattice_in, next_on
from cutfiles.nest.cutting_rules.turns import sizes_at, tried
from cutfiles.nest.fabric.obstacles import obstacles_in
from cutfiles.nest.fabric.supply import (
    Blank,
    ByHand,
    CellYields,
    GridBound,
    RepeatGrid,
    RepeatGrids,
    SnapToRepeat,
    Spans,
    blanks_of,
    rows_by_hand,
)
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape


def container_of(cloth: Cloth, rect: Rect) -> Container:
    """Return a rectangle of cloth as something to fill."""
    obstacles, lattice = obstacles_in(cloth, rect), lattice_in(cloth, rect)
    return Container(
        rect.width_mm,
        rect.height_mm,
        cloth.margin_mm,
        cloth.turns,
        cloth.mirrored,
        obstacles,
        lattice,
    )


class Blanks:
    """Parts the fabrics of one job."""

    def __init__(self, shapes: Sequence[Shape], reach: Reach, solver: Solver) -> None:
        self._shapes = {shape.name: shape for shape in shapes}
        self._reach, self._solver = reach, solver

    def blanks(self, fabric: FabricSpec, by_hand: list[ByHand], shape: str) -> Iterator[Blank]:
        """Yield the blanks of all of a fabric's pieces, chosen for what they give of one shape."""
        yields, grids = self._cell_yields(fabric, shape), self._repeat_grids(fabric, shape)
        return blanks_of(fabric, by_hand, self._reach, yields, grids)

    def by_hand(self, fabric: FabricSpec, shape: str) -> tuple[float, float] | None:
        """Return the size of a shape that is too big for the mat with its margin, else None."""
        fabric = fabric.lying_for(shape)
        margins = 2 * fabric.margin_mm
        sizes = self.sizes(fabric, shape)
        if any(self._reach.holds(width + margins, height + margins) for width, height in sizes):
            return None
        return sizes[0]

    def sizes(self, fabric: FabricSpec, shape: str) -> list[tuple[float, float]]:
        """Return the width and the length of a shape at each turn that the search tries on a fabric."""
        return sizes_at(cloth_of(fabric.lying_for(shape)).turns, self._shapes[shape].cut)

    def rows_by_hand(self, fabric: FabricSpec, wanted: list[tuple[str, float, float]]) -> list[ByHand]:
        """Return places for shapes (name, width, length) that are cut by hand, as far as there is room."""
        snap = self._snap_to_repeat(fabric) if fabric.repeat else None
        return rows_by_hand(fabric, wanted, snap=snap)

    def _snap_to_repeat(self, fabric: FabricSpec) -> SnapToRepeat:
        """Where a print repeats, a shape's rectangle lies so that its origin is on the motif."""
        lattice = lattice_in(cloth_of(fabric), Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm))
        assert lattice is not None

        def snap(shape: str, corner: Point) -> Point:
            left, low, _, _ = self._bounds_by_hand(fabric, shape)
            return (
                next_on(lattice.x_mm + left, lattice.width_mm, corner[0]),
                next_on(lattice.y_mm + low, lattice.length_mm, corner[1]),
            )

        return snap

    def _bounds_by_hand(self, fabric: FabricSpec, shape: str) -> Bounds:
        """The bounds of a shape as it is cut by hand, its origin at (0, 0)."""
        turn = tried(cloth_of(fabric).turns)[0]
        mirrored = fabric.face is Face.WRONG_SIDE_UP and not self._shapes[shape].symmetric
        return bounds(placed(self._shapes[shape].cut, Pose(turn_deg=turn, mirrored=mirrored)))

    def most_by_hand(self, fabric: FabricSpec, shape: str, size: tuple[float, float]) -> int:
        """Return how many of a shape are cut by hand at most, if it has that size."""
        if not fabric.is_rectangle:
            return 0  # rows are ruled on whole cloth only
        width, length = (side - 2 * fabric.margin_mm for side in (fabric.width_mm, fabric.length_mm))
        # Rows and columns are what a person cuts by hand; a ruler needs no gap between them.
        each = int((width + TOUCH_MM) // size[0]) * int((length + TOUCH_MM) // size[1])
        if fabric.repeat and each > 0:
            each = len(self.rows_by_hand(replace(fabric, pieces=1), [(shape, *size)] * each))
        return fabric.pieces * max(0, each)

    def _repeat_grids(self, fabric: FabricSpec, shape: str) -> RepeatGrids:
        """Where a print repeats, rough cuts begin with a piece of one shape, its margin before it."""
        lattice = lattice_in(cloth_of(fabric), Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm))
        if lattice is None:
            return None
        boxes = self._boxes(fabric, shape)
        starts = [
            tuple(sorted({(first + box[axis] - fabric.margin_mm - SAME_POINT_MM) % step for box in boxes}))
            for axis, first, step in (
                (0, lattice.x_mm, lattice.width_mm),
                (1, lattice.y_mm, lattice.length_mm),
            )
        ]
        return RepeatGrid(lattice.width_mm, starts[0]), RepeatGrid(lattice.length_mm, starts[1])

    def _cell_yields(self, fabric: FabricSpec, shape: str) -> CellYields:
        """A cell yields what it gives of the shape laid last, the one there is most of."""

        def found(rect: Rect) -> float:
            # There may be hundreds of ways to cut: the best so far must do then.
            if self._solver.clock.is_overdue():
                return 0.0
            return float(len(self._solver.estimate(container_of(cloth_of(fabric), rect), shape)))

        return CellYields(found, self._grid_bound(fabric, shape))

    def _grid_bound(self, fabric: FabricSpec, shape: str) -> GridBound | None:
        """Where a print repeats: what the motifs in all cells of a grid allow, and their area."""
        lattice = lattice_in(cloth_of(fabric), Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm))
        if lattice is None:
            return None
        boxes, margin, gap = self._boxes(fabric, shape), fabric.margin_mm, self._solver.gap_mm
        steps = (lattice.x_mm, lattice.width_mm), (lattice.y_mm, lattice.length_mm)

        @cache
        def along(axis: int, spans: Spans) -> tuple[float, ...]:
            """How many motifs are in reach at each turn, and last how long the room is."""
            first, step = steps[axis]
            counts = [0.0] * len(boxes)
            for start, size in spans:
                for turn, box in enumerate(boxes):
                    least = (start + margin - box[axis] - first - TOUCH_MM) / step
                    most = (start + size - margin - box[axis + 2] - first + TOUCH_MM) / step
                    counts[turn] += max(0, math.floor(most) - math.ceil(least) + 1)
            return (*counts, sum(max(0.0, size - 2 * margin + gap) for _, size in spans))

        own = area(self._shapes[shape].cut)

        def most(columns: Spans, rows: Spans) -> float:
            *by_turn, room = (
                across * up for across, up in zip(along(0, columns), along(1, rows), strict=True)
            )
            return min(sum(by_turn), room / own)

        return most

    def _boxes(self, fabric: FabricSpec, shape: str) -> list[Bounds]:
        """The bounds of a shape at each turn that the search tries on a fabric, its origin at (0, 0)."""
        mirrored = fabric.face is Face.WRONG_SIDE_UP and not self._shapes[shape].symmetric
        poses = (Pose(turn_deg=turn, mirrored=mirrored) for turn in tried(cloth_of(fabric).turns))
        return [bounds(placed(self._shapes[shape].cut, pose)) for pose in poses]
