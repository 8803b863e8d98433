"""On which side of each other pieces lie: for pairs, the edges of their no-fit polygons to keep beyond."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.search.nofit.half_planes import HalfPlanes, Indices
from cutfiles.nest.search.overlap.separate import Positions


@dataclass(frozen=True, slots=True)
class SeparatingEdges:
    """Half planes: the second's origin p, seen from the first's, is beyond where p·normal ≥ `least`, mm."""

    first: Indices
    second: Indices
    normal_x: Array
    normal_y: Array
    least: Array

    def short_mm(self, at: Positions) -> Array:
        """Return by how much each pair falls short of its side; below 0 where it lies beyond."""
        away_x, away_y = at.x[self.second] - at.x[self.first], at.y[self.second] - at.y[self.first]
        short: Array = self.least - self.normal_x * away_x - self.normal_y * away_y
        return short


def separating_edges(half_planes: HalfPlanes, at: Positions, reach_mm: float) -> SeparatingEdges:
    """Return the sides of all pairs that may come to touch while they move by less than the reach each way.

    Of each no-fit polygon it is the edge that the pair lies furthest outside of, or least deep behind; of two
    discs the tangent where they are nearest.
    """
    first, second = np.triu_indices(len(at.item_indices), 1)
    boxes = half_planes.around[at.item_indices[first], at.item_indices[second]]
    away_x, away_y = at.x[second] - at.x[first], at.y[second] - at.y[first]
    near = (boxes[:, 0] - reach_mm < away_x) & (away_x < boxes[:, 2] + reach_mm)
    near &= (boxes[:, 1] - reach_mm < away_y) & (away_y < boxes[:, 3] + reach_mm)
    first, second, away_x, away_y = first[near], second[near], away_x[near], away_y[near]
    a, b = at.item_indices[first], at.item_indices[second]
    round_ = half_planes.discs[a, b] > 0
    flat = _edges(half_planes, (first[~round_], second[~round_]), (a[~round_], b[~round_]), at, reach_mm)
    if not round_.any():
        return flat
    bent = _tangents(half_planes, (first[round_], second[round_]), (a[round_], b[round_]), at)
    return SeparatingEdges(
        np.concatenate([flat.first, bent.first]),
        np.concatenate([flat.second, bent.second]),
        np.concatenate([flat.normal_x, bent.normal_x]),
        np.concatenate([flat.normal_y, bent.normal_y]),
        np.concatenate([flat.least, bent.least]),
    )


_IndexPairs = tuple[Indices, Indices]


def _edges(
    half_planes: HalfPlanes, pairs: _IndexPairs, item_indices: _IndexPairs, at: Positions, reach_mm: float
) -> SeparatingEdges:
    away_x, away_y = at.x[pairs[1]] - at.x[pairs[0]], at.y[pairs[1]] - at.y[pairs[0]]
    if not len(away_x):
        return SeparatingEdges(*pairs, *np.empty((3, 0)))
    edges = half_planes.pair_edges.of_pairs(*item_indices)
    short = edges.reach - edges.normal_x * away_x[edges.owner]
    short -= edges.normal_y * away_y[edges.owner]
    least = np.minimum.reduceat(short, edges.polygons)
    polygon_of_edge = np.repeat(np.arange(len(least)), edges.polygon_lengths)
    deciding = np.nonzero(short == least[polygon_of_edge])[0]
    first = np.searchsorted(polygon_of_edge[deciding], np.arange(len(least)))
    chosen = deciding[first[least > -math.sqrt(2) * reach_mm]]
    pair = edges.owner[chosen]
    return SeparatingEdges(
        pairs[0][pair], pairs[1][pair], edges.normal_x[chosen], edges.normal_y[chosen], edges.reach[chosen]
    )


def _tangents(
    half_planes: HalfPlanes, pairs: _IndexPairs, item_indices: _IndexPairs, at: Positions
) -> SeparatingEdges:
    middle_x, middle_y = (half_planes.middles[item_indices[1]] - half_planes.middles[item_indices[0]]).T
    across = at.x[pairs[1]] - at.x[pairs[0]] + middle_x
    up = at.y[pairs[1]] - at.y[pairs[0]] + middle_y
    distance = np.hypot(across, up)
    coincident = distance < TOUCH_MM  # any way out will do
    distance = np.where(coincident, 1.0, distance)
    across, up = np.where(coincident, 1.0, across / distance), np.where(coincident, 0.0, up / distance)
    return SeparatingEdges(
        *pairs, across, up, half_planes.discs[item_indices] - across * middle_x - up * middle_y
    )
