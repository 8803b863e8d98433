"""Corners eased: sharp points of rigid sheet chip, and crack from within."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import SAME_POINT_MM, SMOOTH_RAD
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, bulge_of, heading, turn_rad

# What an eased corner takes of an edge at most, so that the two corners of an edge never meet.
_OF_EDGE = 0.45


def eased(outline: Contour, radius_mm: float) -> Contour:
    """Return a closed ccw outline whose convex corners between straight edges are arcs of a radius.

    Corners at arcs stay as they are. Where an edge is too short the radius is smaller.

    Source: the arc that touches both edges of a corner that turns by t begins r·tan(t/2) from it.
    """
    if isinstance(outline, Circle) or radius_mm < SAME_POINT_MM:
        return outline
    edges = list(outline.edges())
    vertices: list[Vertex] = []
    for (before, corner), (start, end) in zip(edges[-1:] + edges[:-1], edges, strict=True):
        turn = turn_rad(heading(before, corner, at_end=True), heading(start, end, at_end=False))
        if before.bulge or start.bulge or turn < SMOOTH_RAD:
            vertices.append(start)
            continue
        longest = _OF_EDGE * min(math.dist(before[:2], corner), math.dist(corner, end))
        back = min(radius_mm * math.tan(turn / 2), longest)
        came, goes = heading(before, corner, at_end=True), heading(start, end, at_end=False)
        vertices.append(Vertex(start.x - back * came[0], start.y - back * came[1], bulge_of(turn)))
        vertices.append(Vertex(start.x + back * goes[0], start.y + back * goes[1]))
    return Path(tuple(vertices), closed=True)
