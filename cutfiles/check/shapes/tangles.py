"""Lines with too many intersections: found early, as enclosed areas are computed from every one of them."""

from __future__ import annotations

import numpy as np
import shapely

# Two copies of one outline meet in some three places an edge; nothing that anybody cuts does so more often.
_MOST_PLACES = 1_000
_MOST_AN_EDGE = 10
_MOST_CANDIDATES = 3_000_000  # pairs of edges whose rectangles meet
_CHUNK = 1_000_000
_Edges = np.ndarray[tuple[int], np.dtype[np.object_]]


def is_tangled(line: shapely.LineString) -> bool:
    """Return whether a line meets itself in more places than a thousand, and ten for each edge."""
    if line.is_simple:
        return False
    edges = _edges(line)
    return _meet_often(edges, edges, itself=True)


def meet_often(first: shapely.LineString, second: shapely.LineString) -> bool:
    """Return whether two lines meet in more places than a thousand, and ten for each edge."""
    if (len(first.coords) - 1) * (len(second.coords) - 1) <= _MOST_PLACES:
        return False
    return _meet_often(_edges(first), _edges(second), itself=False)


def _edges(line: shapely.LineString) -> _Edges:
    points = shapely.get_coordinates(line)
    edges: _Edges = np.asarray(shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1)), dtype=object)
    return edges


def _meet_often(mine: _Edges, theirs: _Edges, *, itself: bool) -> bool:
    tree = shapely.STRtree(theirs)
    places = looked_at = 0
    most = _MOST_PLACES + _MOST_AN_EDGE * (len(mine) + len(theirs))
    step = max(1, _CHUNK // len(theirs))
    for start in range(0, len(mine), step):
        ones, others = tree.query(mine[start : start + step])
        ones = ones + start
        if itself:
            later = others > ones + 1
            ones, others = ones[later], others[later]
        looked_at += len(ones)
        places += int(shapely.intersects(mine[ones], theirs[others]).sum())
        if places > most or looked_at > _MOST_CANDIDATES:
            return True
    return False
