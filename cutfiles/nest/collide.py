"""May a piece lie here? The no-fit polygon of two forms answers, by half planes. No search in here.

For two convex outlines A (fixed) and B (to be laid), the places of B's origin at which they are nearer
than the gap are the inside of A ⊕ (−B) ⊕ disc(gap): Minkowski sums, as in de Berg et al.,
"Computational Geometry", chapter 13. The disc is rounded outwards by a few straight edges, so that the
gap is kept everywhere and met exactly along edges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.nest.form import Array, Form

# Corners of the gap's disc: a tangent polygon of steps this wide strays 1 % of the gap outside it.
_CORNER_STEP_RAD = math.pi / 10


@dataclass(frozen=True, slots=True, eq=False)
class NoFit:
    """Where B's origin must not be, A's origin at (0, 0): strictly inside a convex ring.

    `ring` has shape (k, 2), counter-clockwise; a point p is inside where normals · p < reach for every
    edge; `along` leads from each corner to the next; `along` and `normals` have shape (k, 2), `reach` (k,).
    """

    ring: Array
    along: Array
    normals: Array
    reach: Array


def no_fit(fixed: Form, laid: Form, *, gap_mm: float) -> NoFit:
    """Return where `laid` would be nearer than `gap_mm` to `fixed`."""
    ring = _rounded(_sum_of_convex(fixed.corners, -laid.corners), gap_mm)
    along = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(along[:, 0], along[:, 1])
    normals = np.stack((along[:, 1], -along[:, 0]), axis=1) / lengths[:, None]
    reach = normals[:, 0] * ring[:, 0] + normals[:, 1] * ring[:, 1]
    return NoFit(ring, along, normals, reach)


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
