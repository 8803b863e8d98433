"""No-fit polygons of two items: where one can't lie beside the other, as half planes and as regions.

For two convex outlines A (fixed) and B (to be laid), the places of B's origin at which they are nearer
than the gap are the inside of A ⊕ (−B) ⊕ disc(gap): Minkowski sums, as in de Berg et al.,
"Computational Geometry", chapter 13. The disc is rounded outwards by a few straight edges, so that the
gap is kept everywhere and met exactly along edges.

What isn't convex is made of convex parts: where any two parts are too near, so are the two. That region
has bays and holes, and in these the pieces interlock.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import NO_FIT_STRAY_MM, SAME_POINT_MM
from cutfiles.nest.base.oriented_item import Array, OrientedItem

# Corners of the gap's disc: a tangent polygon of steps this wide strays 1 % of the gap outside it.
_CORNER_STEP_RAD = math.pi / 10
_MANY_CORNERS = 200  # of a border: above, it is straightened a little


@dataclass(frozen=True, slots=True, eq=False)
class NoFitPolygon:
    """Where B's origin must not be, A's origin at (0, 0): strictly inside a convex ring.

    `ring` has shape (k, 2), counter-clockwise; a point p is inside where normals · p < reach for every
    edge; `along` leads from each corner to the next; `along` and `normals` have shape (k, 2), `reach` (k,).
    """

    ring: Array
    along: Array
    normals: Array
    reach: Array


@dataclass(frozen=True, slots=True, eq=False)
class NoFitRegion:
    """Where B's origin must not be, A's origin at (0, 0): a region of any shape, with bays and holes.

    `starts`, `ends` and `along` have shape (k, 2): the edges of its border. `core` is the region less a
    little: what lies on the border is not in it.
    """

    starts: Array
    ends: Array
    along: Array
    core: BaseGeometry


NoFit = NoFitPolygon | NoFitRegion


def no_fit_between(fixed: OrientedItem, orbiting: OrientedItem, *, gap_mm: float) -> NoFit:
    """Return where `orbiting` would be nearer than `gap_mm` to `fixed`, bays and all."""
    if len(fixed.parts) == len(orbiting.parts) == 1:
        return no_fit_polygon(fixed, orbiting, gap_mm=gap_mm)
    return _between_parts(fixed, orbiting, gap_mm)


@lru_cache(maxsize=4096)
def _between_parts(fixed: OrientedItem, orbiting: OrientedItem, gap_mm: float) -> NoFitRegion:
    """Remembered, as many mixtures of a job have these two in common."""
    if _rank(orbiting) < _rank(fixed):
        return _seen_from_the_other(_between_parts(orbiting, fixed, gap_mm))
    return no_fit_region(fixed.parts, orbiting.parts, gap_mm=gap_mm)


def _rank(item: OrientedItem) -> tuple[str, float, bool, int]:
    return item.shape, item.turn_deg, item.mirrored, len(item.parts)


def no_fit_polygon(fixed: OrientedItem, orbiting: OrientedItem, *, gap_mm: float) -> NoFitPolygon:
    """Return where the convex ring of `orbiting` would be nearer than `gap_mm` to that of `fixed`."""
    ring = _rounded(_sum_of_convex(fixed.corners, -orbiting.corners), gap_mm)
    along = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(along[:, 0], along[:, 1])
    normals = np.stack((along[:, 1], -along[:, 0]), axis=1) / lengths[:, None]
    reach = normals[:, 0] * ring[:, 0] + normals[:, 1] * ring[:, 1]
    return NoFitPolygon(ring, along, normals, reach)


def no_fit_region(fixed: Sequence[Array], orbiting: Sequence[Array], *, gap_mm: float) -> NoFitRegion:
    """Return where any of the convex rings `orbiting` would be nearer than `gap_mm` to any that are `fixed`.

    All is made slightly smaller, so that a slot into which something fits exactly stays open.
    """
    rings = [
        _rounded(_sum_of_convex(fixed_part, -orbiting_part), gap_mm)
        for fixed_part in fixed
        for orbiting_part in orbiting
    ]
    region = shapely.union_all(_less(np.array([shapely.Polygon(ring) for ring in rings], dtype=object)))
    if shapely.get_num_coordinates(region) > _MANY_CORNERS:
        # Hundreds of tiny edges would cost seconds. It is grown first by as much as simplifying may take off.
        grown = shapely.buffer(region, NO_FIT_STRAY_MM, join_style="mitre", mitre_limit=2.0)
        region = shapely.simplify(grown, NO_FIT_STRAY_MM)
    chains = [
        shapely.get_coordinates(ring).round(9)  # so that builds of the library agree
        for part in shapely.get_parts(region)
        for ring in (part.exterior, *part.interiors)
    ]
    starts = np.concatenate([chain[:-1] for chain in chains])
    ends = np.concatenate([chain[1:] for chain in chains])
    core = _less(region)
    shapely.prepare(core)
    return NoFitRegion(starts, ends, ends - starts, core)


def _seen_from_the_other(no_fit: NoFitRegion) -> NoFitRegion:
    """Return where A must not be when B lies at the origin, from where B must not be."""
    core = shapely.transform(no_fit.core, np.negative)
    shapely.prepare(core)
    return NoFitRegion(-no_fit.starts, -no_fit.ends, -no_fit.along, core)


def _less(region: Any) -> Any:
    """Regions slightly smaller all round; corners stay corners."""
    # Of slivers the library may take the root of a number below 0; it then returns nothing, which is right.
    with np.errstate(invalid="ignore"):
        return shapely.buffer(region, -SAME_POINT_MM, join_style="mitre", mitre_limit=1000.0)


def _sum_of_convex(first: Array, second: Array) -> Array:
    """The Minkowski sum of two convex counter-clockwise rings: their edges merged by direction."""
    edges = np.concatenate([np.roll(ring, -1, axis=0) - ring for ring in (first, second)])
    merged = edges[np.argsort(np.arctan2(edges[:, 1], edges[:, 0]), kind="stable")]
    corners = np.cumsum(merged, axis=0)
    # Where the sum lies follows from its bounds. To begin at a known corner is a trap: of a level
    # edge's two ends the last bit decides which is the lowest, and the sum was off by a whole edge.
    return _without_straight_corners(corners + (first.min(axis=0) + second.min(axis=0) - corners.min(axis=0)))


def _without_straight_corners(ring: Array) -> Array:
    """Drop corners that turn by nothing: parallel edges of both rings became one."""
    kept = ring[np.hypot(*(np.roll(ring, -1, axis=0) - ring).T) > SAME_POINT_MM]
    before, after = kept - np.roll(kept, 1, axis=0), np.roll(kept, -1, axis=0) - kept
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    scale = np.hypot(before[:, 0], before[:, 1]) * np.hypot(after[:, 0], after[:, 1])
    straight: Array = kept[turn > 1e-12 * scale]
    return straight


def _rounded(ring: Array, gap_mm: float) -> Array:
    """The ring grown by the gap: edges move out exactly, corners become tangents of the gap's circle."""
    if gap_mm <= 0:
        return ring
    along = np.roll(ring, -1, axis=0) - ring
    angles = np.arctan2(-along[:, 0], along[:, 1])  # of the outward normals
    corners: list[tuple[float, float]] = []
    for index, (x, y) in enumerate(ring):
        first = angles[index - 1]
        turn = (angles[index] - first) % (2 * math.pi)
        steps = max(1, math.ceil(turn / _CORNER_STEP_RAD))
        reach = gap_mm / math.cos(turn / steps / 2)
        for step in range(steps):
            angle = first + (step + 0.5) * turn / steps
            corners.append((x + reach * math.cos(angle), y + reach * math.sin(angle)))
    return np.array(corners)
