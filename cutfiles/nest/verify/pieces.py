"""Pieces as they lie on the mat, and whether any two come nearer than the gap. Exact for lines and arcs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from cutfiles.core.tolerance import FLAT_ARC_MM, GAP_CHECK_MM
from cutfiles.geometry.distance import contours_apart
from cutfiles.geometry.outline import Bounds, bounds
from cutfiles.geometry.overlay import common
from cutfiles.geometry.pose import placed
from cutfiles.geometry.solid import Solid, overlap_mm
from cutfiles.nest.base.layout import Placement
from cutfiles.pieces.shape import Shape


@dataclass(frozen=True)
class Piece:
    """A placement's outline on the mat."""

    piece_id: str
    solid: Solid

    @cached_property
    def bounds(self) -> Bounds:
        """The smallest upright rectangle around it, exact."""
        return bounds(self.solid.contour)

    def distance_mm(self, other: Solid, *, within_mm: float) -> float:
        """Return how far its line is from another outline's, exact where that is below `within_mm`."""
        return contours_apart(self.solid.edges, other.edges, within_mm=within_mm)

    def enters(self, other: Solid) -> bool:
        """Return whether the two areas lie in each other by more than what counts."""
        shared = common(self.solid.outer, other.outer)
        # Where not even polygons around both have more than a sliver in common, no arc need be measured.
        if shared.buffer(-GAP_CHECK_MM / 2, join_style="mitre").is_empty:
            return False
        return overlap_mm(self.solid, other) > GAP_CHECK_MM


class PlacedPieces:
    """Makes pieces of placements, each once."""

    def __init__(self, shapes: Sequence[Shape]) -> None:
        self._shapes = {shape.name: shape for shape in shapes}
        self._known: dict[Placement, Piece] = {}

    def piece(self, placement: Placement) -> Piece:
        """Return the outline of a placement on the mat."""
        if placement not in self._known:
            contour = placed(self._shapes[placement.shape].cut, placement.pose)
            self._known[placement] = Piece(placement.piece_id, Solid(contour))
        return self._known[placement]


def too_near(pieces: Sequence[Piece], gap_mm: float) -> Iterator[str]:
    """Yield each pair of pieces that overlap or are nearer than the gap.

    Polygons inside the outlines tell most: they are further apart than the outlines, by two strays at most.
    Where that leaves a doubt, and arcs meet, the arcs are measured.
    """
    if len(pieces) < 2:
        return
    inner = np.array([piece.solid.inner for piece in pieces], dtype=object)
    reach = gap_mm + 2 * FLAT_ARC_MM
    firsts, seconds = shapely.STRtree(inner).query(inner, predicate="dwithin", distance=reach)
    firsts, seconds = firsts[firsts < seconds], seconds[firsts < seconds]
    order = np.lexsort((seconds, firsts))
    firsts, seconds = firsts[order], seconds[order]
    apart = shapely.distance(inner[firsts], inner[seconds])
    deep = _deep(inner, firsts, seconds, apart)
    for i, j, span, overlap in zip(firsts.tolist(), seconds.tolist(), apart, deep, strict=True):
        first, second = pieces[i], pieces[j]
        if overlap or _overlap(first, second, float(span)):
            yield f"{first.piece_id} and {second.piece_id} overlap"
            continue
        near = _apart(first, second, float(span), gap_mm)
        if near < gap_mm - GAP_CHECK_MM:
            yield (
                f"{first.piece_id} and {second.piece_id} are {near:.6g} mm apart, the gap is {gap_mm:g} mm"
            )


_Indices = np.ndarray[tuple[int], np.dtype[np.int64]]
_Polygons = np.ndarray[tuple[int], np.dtype[np.object_]]
_Numbers = np.ndarray[tuple[int], np.dtype[np.float64]]


def _deep(inner: _Polygons, firsts: _Indices, seconds: _Indices, apart: _Numbers) -> list[bool]:
    """Whether the polygons of each pair have more in common than a sliver."""
    deep = apart <= 0
    shared = common(inner[firsts[deep]], inner[seconds[deep]])
    # Deep is what doesn't vanish when half of the tolerance is taken off all round.
    deep[deep] = ~shapely.is_empty(shapely.buffer(shared, -GAP_CHECK_MM / 2, join_style="mitre"))
    overlapping: list[bool] = deep.tolist()
    return overlapping


def _overlap(first: Piece, second: Piece, apart_mm: float) -> bool:
    """Whether two pieces whose inner polygons don't overlap do so themselves: only arcs can."""
    if (first.solid.is_straight and second.solid.is_straight) or apart_mm > 2 * FLAT_ARC_MM:
        return False
    return first.enters(second.solid)


def _apart(first: Piece, second: Piece, apart_mm: float, gap_mm: float) -> float:
    if gap_mm <= GAP_CHECK_MM or (first.solid.is_straight and second.solid.is_straight):
        return apart_mm
    if apart_mm < gap_mm - GAP_CHECK_MM:
        return apart_mm
    return first.distance_mm(second.solid, within_mm=gap_mm)
