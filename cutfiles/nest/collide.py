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
    edge; `normals` has shape (k, 2), `reach` (k,).
    """

    ring: Array
    normals: Array
    reach: Array


def no_fit(fixed: Form, laid: Form, *, gap_mm: float) -> NoFit:
    """Return where `laid` would be nearer than `gap_mm` to `fixed`."""
    ring = _rounded(_sum_of_convex(fixed.corners, -laid.corners), gap_mm)
    along = np.roll(ring, -1, axis=0) - ring
    lengths = np.hypot(along[:, 0], along[:, 1])
    normals = np.stack((along[:, 1], -along[:, 0]), axis=1) / lengths[:, None]
    reach = normals[:, 0] * ring[:, 0] + normals[:, 1] * ring[:, 1]
    return NoFit(ring, normals, reach)


def _sum_of_convex(first: Array, second: Array) -> Array:
    """The Minkowski sum of two convex counter-clockwise rings: their edges merged by direction."""
    starts, edges = [], []
    for ring in (first, second):
        # Both start at the lowest corner (the leftmost of them), where directions begin at 0°.
        lowest = np.lexsort((ring[:, 0], ring[:, 1]))[0]
        ring = np.roll(ring, -lowest, axis=0)  # noqa: PLW2901
        starts.append(ring[0])
        edges.append(np.roll(ring, -1, axis=0) - ring)
    merged = np.concatenate(edges)
    angles = np.arctan2(merged[:, 1], merged[:, 0])
    # −180° and the last bits below 0° are the end of the round, not its beginning.
    angles = np.where(angles < -1e-12, angles + 2 * math.pi, angles)
    merged = merged[np.argsort(angles, kind="stable")]
    corners = starts[0] + starts[1] + np.concatenate((np.zeros((1, 2)), np.cumsum(merged, axis=0)[:-1]))
    return _without_straight_corners(corners)


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
