"""How deep convex pieces lie in each other: the no-fit polygons of all pairs of forms, as tables.

The tables are padded to one number of edges by repeating the last, so that many pairs are measured at once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from cutfiles.core.tolerance import GAP_CHECK_MM
from cutfiles.nest.collide import no_fit
from cutfiles.nest.form import Array, Form

Indices = np.ndarray[Any, np.dtype[np.intp]]

# Beyond this turn a mitred corner would keep far more than the gap; it is cut off square to its middle.
_MITRED_UP_TO_RAD = math.radians(100.0)

# Pieces count as apart when no pair is deeper than this. The tables hold twice as much more than the gap,
# so that what counts as apart keeps the gap.
APART_MM = GAP_CHECK_MM


class Planes:
    """Half planes of every pair: B's origin p is too near to A at the origin where n·p < reach for all.

    Tables have the shape (forms, forms, edges), first A then B; `boxes` has (forms, forms, 4).
    """

    def __init__(self, forms: Sequence[Form], *, gap_mm: float) -> None:
        self.forms = tuple(forms)
        grown = [[_grown(a, b, gap_mm + 2 * APART_MM) for b in self.forms] for a in self.forms]
        edges = max(len(rows) for row in grown for rows in row)
        table = np.array(
            [[rows[np.minimum(np.arange(edges), len(rows) - 1)] for rows in row] for row in grown]
        )
        self.normal_x, self.normal_y, self.reach, self.corner_x, self.corner_y = np.moveaxis(
            table, 3, 0
        ).copy()
        lows = self.corner_x.min(axis=2), self.corner_y.min(axis=2)
        self.boxes = np.stack((*lows, self.corner_x.max(axis=2), self.corner_y.max(axis=2)), axis=2)

    def all_depths(self, kinds: Indices, x: Array, y: Array) -> Array:
        """Return how deep every piece lies in every other, shape (n, n), 0 on the diagonal."""
        a, b = kinds[:, None], kinds[None, :]
        slack = (
            self.reach[a, b]
            - self.normal_x[a, b] * (x[None, :] - x[:, None])[:, :, None]
            - self.normal_y[a, b] * (y[None, :] - y[:, None])[:, :, None]
        )
        depths: Array = np.maximum(slack.min(axis=2), 0.0)
        np.fill_diagonal(depths, 0.0)
        return depths

    def depths(self, spots: tuple[Array, Array], kind: int, others: tuple[Indices, Array, Array]) -> Array:
        """Return how deep a piece of one kind would lie in each of the others, shape (spots, others)."""
        kinds, x, y = others
        normal_x, normal_y = self.normal_x[kinds, kind], self.normal_y[kinds, kind]
        reach = self.reach[kinds, kind] + normal_x * x[:, None] + normal_y * y[:, None]
        slack = reach - spots[0][:, None, None] * normal_x
        slack -= spots[1][:, None, None] * normal_y
        found: Array = np.maximum(slack.min(axis=2), 0.0)
        return found


def _grown(fixed: Form, laid: Form, gap_mm: float) -> Array:
    """Normal, reach and first corner of each edge of the no-fit polygon grown by the gap, shape (k, 5)."""
    plain = no_fit(fixed, laid, gap_mm=0.0)
    edges: list[tuple[float, float, float]] = []
    count = len(plain.ring)
    for index in range(count):
        before, after = plain.normals[index - 1], plain.normals[index]
        turn = math.atan2(
            before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]
        )
        if turn > _MITRED_UP_TO_RAD and gap_mm > 0:
            middle = (before + after) / math.hypot(*(before + after))
            edges.append((middle[0], middle[1], float((middle * plain.ring[index]).sum()) + gap_mm))
        edges.append((after[0], after[1], float(plain.reach[index]) + gap_mm))
    rows = []
    for index, (x, y, reach) in enumerate(edges):
        last_x, last_y, last_reach = edges[index - 1]
        cross = last_x * y - last_y * x
        corner = ((last_reach * y - reach * last_y) / cross, (last_x * reach - x * last_reach) / cross)
        rows.append((x, y, reach, *corner))
    return np.array(rows, dtype=np.float64)
