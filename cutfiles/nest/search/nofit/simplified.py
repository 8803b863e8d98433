"""An item simplified: a disc, or a few convex parts of few edges that together hold it. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from cutfiles.core.tolerance import ROUGH_STRAY_MM, SIMPLIFIED_STRAY_MM
from cutfiles.geometry.convex_parts import Array, convex_parts
from cutfiles.nest.base.oriented_item import OrientedItem


@dataclass(frozen=True, slots=True)
class Detail:
    """How true a simplified item is to its shape: what has more edges is given fewer if it strays little.

    The work of a move grows with the square of the parts, and of their edges.
    """

    edges: int  # of a part
    stray_mm: float  # outwards
    disc_edges: int  # of the polygon around a disc, where it meets what is none; two discs meet as discs
    inward: int  # corners that turn inwards: about as many parts


FINE = Detail(16, SIMPLIFIED_STRAY_MM, 24, 5)
FINER = Detail(32, SIMPLIFIED_STRAY_MM / 5, 48, 12)
ROUGH = Detail(7, ROUGH_STRAY_MM, 10, 5)  # enough to say where to look
ONLY_DISCS = Detail(4, 0.0, 8, 0)

# Beyond this turn a corner grown by the gap would keep far more than that; it is cut off square to its
# middle.
_MITRED_UP_TO_RAD = math.radians(100.0)


@dataclass(frozen=True, slots=True, eq=False)
class ConvexPart:
    """A convex part: inside where normals · p ≤ reach; `corners` (c, 2) ccw, `normals` (k, 2), k ≥ c."""

    normals: Array
    reach: Array
    corners: Array


@dataclass(frozen=True, slots=True, eq=False)
class SimplifiedItem:
    """What an item occupies: parts that hold it and, if it is a disc, its middle and radius."""

    parts: tuple[ConvexPart, ...]
    middle: tuple[float, float] = (0.0, 0.0)
    disc_mm: float | None = None


@lru_cache(maxsize=1024)
def simplified(item: OrientedItem, detail: Detail) -> SimplifiedItem:
    """Return an item simplified; the same item gives the same one."""
    left, low, right, high = item.bounds
    middle = ((left + right) / 2, (low + high) / 2)
    if item.is_disc:
        radius = (right - left) / 2
        return SimplifiedItem((convex_part(_around(middle, radius, detail.disc_edges)),), middle, radius)
    rings: Iterable[Array] = item.parts
    if len(item.parts) > 1:
        points = [(float(x), float(y)) for x, y in item.ring]
        rings = convex_parts(points, most_inward=detail.inward)
    return SimplifiedItem(tuple(convex_part(with_fewer_edges(ring, detail)) for ring in rings))


def with_fewer_edges(ring: Array, detail: Detail) -> Array:
    """Return a convex ring around another, with few edges if that takes little more room.

    An edge is left out by letting its neighbours run on until they meet; always the one that adds least,
    until there are few or it would stray too far.
    """
    corners = [(float(x), float(y)) for x, y in ring]
    while len(corners) > detail.edges:
        strays = [(_stray(corners, index), index) for index in range(len(corners))]
        least, index = min(strays, key=lambda candidate: (round(candidate[0], 9), candidate[1]))
        if least > detail.stray_mm:
            break
        corners[index] = _meeting(corners, index)
        del corners[(index + 1) % len(corners)]
    return np.array(corners)


def _meeting(corners: list[tuple[float, float]], index: int) -> tuple[float, float]:
    """Where the edges before and after the edge that leaves a corner meet, both run on."""
    count = len(corners)
    (ax, ay), (bx, by) = corners[index - 1], corners[index]
    (cx, cy), (dx, dy) = corners[(index + 1) % count], corners[(index + 2) % count]
    ex, ey, fx, fy = bx - ax, by - ay, dx - cx, dy - cy
    cross = ex * fy - ey * fx
    if cross <= 1e-12 * math.sqrt((ex * ex + ey * ey) * (fx * fx + fy * fy)):
        return (math.inf, math.inf)
    share = ((cx - bx) * fy - (cy - by) * fx) / cross
    return (bx + share * ex, by + share * ey)


def _stray(corners: list[tuple[float, float]], index: int) -> float:
    x, y = _meeting(corners, index)
    if math.isinf(x):
        return math.inf
    (bx, by), (cx, cy) = corners[index], corners[(index + 1) % len(corners)]
    along = math.sqrt((cx - bx) ** 2 + (cy - by) ** 2)
    return abs((cx - bx) * (y - by) - (cy - by) * (x - bx)) / along


def _around(middle: tuple[float, float], radius: float, edges: int) -> Array:
    """The regular polygon whose edges touch a circle."""
    reach = radius / math.cos(math.pi / edges)
    angles = [(step + 0.5) * 2 * math.pi / edges for step in range(edges)]
    return np.array([(middle[0] + reach * math.cos(a), middle[1] + reach * math.sin(a)) for a in angles])


def convex_part(ring: Array) -> ConvexPart:
    """Return a convex ring, counter-clockwise, as a part with all its edges."""
    along = np.roll(ring, -1, axis=0) - ring
    lengths = np.sqrt((along * along).sum(axis=1))
    normals = np.stack((along[:, 1], -along[:, 0]), axis=1) / lengths[:, None]
    before = np.roll(normals, 1, axis=0)
    cos = (before * normals).sum(axis=1)
    sharp = cos < math.cos(_MITRED_UP_TO_RAD)
    middles = before[sharp] + normals[sharp]
    middles /= np.sqrt((middles * middles).sum(axis=1))[:, None]
    normals = np.concatenate((normals, middles))
    reach = (normals[:, :1] * ring[:, 0] + normals[:, 1:] * ring[:, 1]).max(axis=1)
    return ConvexPart(normals, reach, ring)
