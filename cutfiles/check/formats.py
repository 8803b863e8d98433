"""Whether two files of one load hold the same lines, edge by edge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely

from cutfiles.check.codes import Code
from cutfiles.check.drawing import Drawing, Item, Layer
from cutfiles.check.report import Fault
from cutfiles.core.distance import Edge, edges_of
from cutfiles.core.tolerance import FILE_MM, SAME_POINT_MM

# Each of the two may be off by the files' rounding.
_SAME_MM = 2 * FILE_MM
_MOST_TRIES = 2_000_000


def formats_differ(
    mine: Drawing, theirs: Drawing, other_name: str, layers: Sequence[Layer]
) -> Iterator[Fault]:
    """Yield a fault for each layer on which two files of one load differ.

    Args:
        mine: the file that is reported on.
        theirs: the file that it is compared with.
        other_name: how that one is called.
        layers: which layers to compare.
    """
    for layer in layers:
        extra, missing = _unmatched(_edges(mine.on(layer)), _edges(theirs.on(layer)))
        if extra or missing:
            words = f"{extra} lines that {other_name} lacks, and lacks {missing} of its lines"
            yield Fault(Code.FORMATS_DIFFER, layer.value, f"has {words}")


def _edges(items: Sequence[Item]) -> list[Edge]:
    return [edge for item in items for edge in edges_of(item.path) if edge.length() > SAME_POINT_MM]


def _unmatched(mine: list[Edge], theirs: list[Edge]) -> tuple[int, int]:
    """How many edges of each have no partner in the other."""
    if not mine or not theirs:
        return len(mine), len(theirs)
    tree = shapely.STRtree([shapely.Point(edge.at(0.5)) for edge in theirs])
    taken: set[int] = set()
    tries = 0
    for edge in mine:
        x, y = edge.at(0.5)
        spot = shapely.box(x - _SAME_MM, y - _SAME_MM, x + _SAME_MM, y + _SAME_MM)
        for index in tree.query(spot).tolist():
            tries += 1
            if index not in taken and _same(edge, theirs[index]):
                taken.add(index)
                break
        if tries > _MOST_TRIES:
            break
    return len(mine) - len(taken), len(theirs) - len(taken)


def _same(one: Edge, other: Edge) -> bool:
    along = max(math.dist(one.start, other.start), math.dist(one.end, other.end))
    against = max(math.dist(one.start, other.end), math.dist(one.end, other.start))
    return min(along, against) <= _SAME_MM
