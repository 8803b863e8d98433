"""A closed outline as the area it bounds: how deep a point lies in it, and whether two areas overlap.

Exact for lines and arcs. Polygons that err to a known side decide most cases; only where they can't do the
arcs themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import shapely

from cutfiles.core.tolerance import FLAT_ARC_MM, SAME_POINT_MM
from cutfiles.geometry.distance import near_edges
from cutfiles.geometry.edge import Edge, crossings, edges_of
from cutfiles.geometry.outline import Contour, Path, Point, Side, chords, counter_clockwise


@dataclass(frozen=True)  # no slots: the polygons are made when they are asked for
class Solid:
    """The area inside a closed outline."""

    contour: Contour

    @cached_property
    def edges(self) -> list[Edge]:
        """The outline's edges, counter-clockwise."""
        return edges_of(counter_clockwise(self.contour))

    @property
    def is_straight(self) -> bool:
        """Whether it is a polygon: then `inner` and `outer` are the area itself."""
        return isinstance(self.contour, Path) and not any(vertex.bulge for vertex in self.contour.vertices)

    @cached_property
    def inner(self) -> shapely.Polygon:
        """A polygon within the area, at most FLAT_ARC_MM smaller."""
        return self._polygon(Side.INSIDE)

    @cached_property
    def outer(self) -> shapely.Polygon:
        """A polygon around the area, at most FLAT_ARC_MM larger."""
        return self._polygon(Side.OUTSIDE)

    def _polygon(self, side: Side) -> shapely.Polygon:
        return shapely.Polygon(chords(counter_clockwise(self.contour), stray_mm=FLAT_ARC_MM, side=side))

    def depth_mm(self, point: Point) -> float:
        """Return how far a point lies inside the outline, exactly; below 0 outside."""
        off = min(edge.distance_to(point) for edge in self.edges)
        return off if self._holds(point) else -off

    def _holds(self, point: Point) -> bool:
        if shapely.intersects_xy(self.inner, *point):
            return True
        if self.is_straight or not shapely.intersects_xy(self.outer, *point):
            return False
        # Between the two polygons there is nothing but the rim of an arc.
        arc = min((edge for edge in self.edges if edge.arc), key=lambda edge: edge.distance_to(point)).arc
        assert arc is not None
        within = math.dist(point, arc.centre) <= arc.radius
        return within == (arc.sweep_deg > 0)


def overlap_mm(first: Solid, second: Solid) -> float:
    """Return how deep two areas lie in each other, 0 or less where they don't.

    It is the greatest depth of a point that is tried: of each stretch of either outline between two points
    where the other crosses or touches it, the middle; and a point within each.
    """
    depths = [second.depth_mm(point) for point in (*_tried(first, second), _within(first))]
    depths += [first.depth_mm(point) for point in (*_tried(second, first), _within(second))]
    return max(depths)


def outside_mm(first: Solid, second: Solid) -> float:
    """Return how far the first area reaches out of the second, 0 or less where it doesn't.

    Points are tried as in `overlap_mm`; that both outlines are simple is taken for granted.
    """
    return -min(second.depth_mm(point) for point in _tried(first, second))


def _within(solid: Solid) -> Point:
    point = solid.inner.representative_point()
    return (point.x, point.y)


def _tried(first: Solid, second: Solid) -> Iterator[Point]:
    """Middles of the stretches into which the other outline divides this one's edges."""
    near: dict[Edge, list[Edge]] = {}
    for edge, another in near_edges(first.edges, second.edges, SAME_POINT_MM):
        near.setdefault(edge, []).append(another)
    for edge in first.edges:
        for start, end in pairwise(_split(edge, near.get(edge, ()))):
            yield edge.at((start + end) / 2)


def _split(edge: Edge, others: Sequence[Edge]) -> list[float]:
    shares = {0.0, 1.0}
    for other in others:
        shares.update((edge.share_of(other.start), edge.share_of(other.end)))
        shares.update(share for share, _ in crossings(edge, other))
    return sorted(shares)
