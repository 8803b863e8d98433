"""Whether flaws and the print's repeat lie on the mat where the job has them, on rough cuts too."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from cutfiles.core.tolerance import GAP_CHECK_MM
from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import FabricSpec, Face
from cutfiles.nest.base.layout import Layout, PlacedFabric
from cutfiles.pieces.shape import CutList

_SAME_MM2 = 1e-3  # of area: a thousandth of what the eye sees


def print_faults(layout: Layout, cut_list: CutList) -> Iterator[str]:
    """Yield where a piece misses the motif, or the layout shows a repeat or a flaw elsewhere."""
    for demand in cut_list.demands:
        fabric = demand.fabric
        if fabric.repeat is None and not fabric.avoid:
            continue
        for load in layout.loads:
            for laid in load.fabrics:
                if laid.fabric == fabric.name:
                    yield from _of_laid(laid, fabric, _corners(layout, load.name, laid))


def _corners(layout: Layout, load: str, laid: PlacedFabric) -> list[Point]:
    """Where on its piece of fabric a laid rectangle may come from; rough cuts of one size look alike."""
    cuts = [
        cut
        for cut in layout.rough_cuts
        if (cut.fabric, cut.piece, cut.goes_to) == (laid.fabric, laid.piece, load)
        and (cut.width_mm, cut.length_mm) == (laid.width_mm, laid.length_mm)
    ]
    return [(cut.x_mm, cut.y_mm) for cut in cuts] or [(0.0, 0.0)]


def _of_laid(laid: PlacedFabric, fabric: FabricSpec, corners: list[Point]) -> Iterator[str]:
    name = f"{laid.fabric} {laid.piece}"
    if fabric.repeat is not None:
        for placement in laid.placements:
            if _off_motif(laid, fabric, (placement.pose.x_mm, placement.pose.y_mm), corners) > GAP_CHECK_MM:
                yield f"{placement.piece_id} misses the motif"
        shown = laid.repeat
        if shown is None or _off_motif(laid, fabric, (shown.x_mm, shown.y_mm), corners) > GAP_CHECK_MM:
            yield f"the print of {name} is not shown where it repeats"
    if fabric.avoid and not any(_same_flaws(laid, fabric, corner) for corner in corners):
        yield f"what is to be avoided on {name} is not where the job has it"


def _on_fabric(laid: PlacedFabric, point: Point) -> Point:
    """A place of the mat, counted on the laid rectangle: a quarter turn back if it lies turned."""
    x, y = point[0] - laid.x_mm, point[1] - laid.y_mm
    return (y, laid.length_mm - x) if laid.turn_deg else (x, y)


def _off_motif(laid: PlacedFabric, fabric: FabricSpec, point: Point, corners: list[Point]) -> float:
    """How far a place of the mat misses the motif and its repeats."""
    repeat = fabric.repeat
    assert repeat is not None
    x, y = _on_fabric(laid, point)
    distances = []
    for left, low in corners:
        across, up = x + left, y + low
        if laid.face is Face.WRONG_SIDE_UP:
            across = fabric.width_mm - across  # the motif is measured on the right side
        distances.append(
            math.hypot(
                math.remainder(across - repeat.motif[0], repeat.width_mm),
                math.remainder(up - repeat.motif[1], repeat.length_mm),
            )
        )
    return min(distances)


def _same_flaws(laid: PlacedFabric, fabric: FabricSpec, corner: Point) -> bool:
    """Whether the flaws marked on the mat cover what the job's do of the rectangle at a corner."""
    left, low = corner
    whole = shapely.box(left, low, left + laid.width_mm, low + laid.length_mm)
    wanted = shapely.union_all([shapely.Polygon(points) for points in fabric.avoid]).intersection(whole)
    marked = shapely.union_all(
        [
            shapely.Polygon([(x + left, y + low) for x, y in (_on_fabric(laid, point) for point in points)])
            for points in laid.avoid
        ]
    )
    return bool(wanted.difference(marked).area <= _SAME_MM2)
