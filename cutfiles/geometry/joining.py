"""Lines that meet end to end: which ends are one point, and the chains and loops that follow from it. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cutfiles.geometry.edge import Edge
from cutfiles.geometry.outline import Path, Point

End = tuple[int, int]  # number of the path; 0 its start, 1 its end
Partners = Mapping[End, End]


@dataclass(frozen=True, slots=True)
class Walk:
    """Paths that follow each other: the number of each, and whether it is run forwards."""

    steps: tuple[tuple[int, bool], ...]
    closed: bool  # the last one ends where the first begins

    def paths(self, paths: Sequence[Path]) -> list[Path]:
        """Return the paths in order, each as it is run."""
        return [paths[number] if forwards else paths[number].backwards() for number, forwards in self.steps]


@dataclass(frozen=True, slots=True)
class Meetings:
    """Pairs of ends that lie within a distance of each other, and whether some lie in a crowd."""

    pairs: tuple[tuple[End, End], ...]
    is_crowded: bool

    def sole_partners(self) -> Partners:
        """Return the partner of each end that has but one other near it, if that has no other either."""
        near: dict[End, list[End]] = {}
        for first, second in self.pairs:
            near.setdefault(first, []).append(second)
            near.setdefault(second, []).append(first)
        return {
            end: others[0] for end, others in near.items() if len(others) == 1 and len(near[others[0]]) == 1
        }

    def nearest(self, paths: Sequence[Path]) -> Partners:
        """Return the partner of each end that gets one: the nearest pairs first."""
        partners: dict[End, End] = {}
        apart = [
            (math.dist(_place(paths, first), _place(paths, second)), first, second)
            for first, second in self.pairs
        ]
        for _, first, second in sorted(apart):
            if first not in partners and second not in partners:
                partners[first], partners[second] = second, first
        return partners


def meetings(paths: Sequence[Path], *, within_mm: float, most: int) -> Meetings:
    """Return which ends of open paths lie near each other.

    Args:
        paths: open ones.
        within_mm: how far apart two ends may be, above 0.
        most: ends in one place; where there are more all of them are left out, as a million lines that meet
            in one point would take the square of them.
    """
    if not paths:
        return Meetings((), is_crowded=False)
    places = np.array([path.vertices[side][:2] for path in paths for side in (0, -1)], dtype=np.float64)
    cell = np.unique(np.round(places / within_mm).astype(np.int64), axis=0, return_inverse=True)[1].ravel()
    kept = np.flatnonzero(np.bincount(cell)[cell] <= most)
    points = np.asarray(shapely.points(places[kept]), dtype=object)
    pairs = kept[shapely.STRtree(points).query(points, predicate="dwithin", distance=within_mm)]
    index_pairs = sorted((first, second) for first, second in pairs.T.tolist() if first < second)
    ends = tuple(((first // 2, first % 2), (second // 2, second % 2)) for first, second in index_pairs)
    return Meetings(ends, is_crowded=len(kept) < len(places))


def walks(count: int, partners: Partners) -> Iterator[Walk]:
    """Yield the chains into which so many paths join, each path once.

    A chain is run so that the path of its lowest number runs forwards; a closed one begins there.
    """
    seen: set[int] = set()
    for first in range(count):
        if first in seen:
            continue
        walk = _onward((first, True), partners)
        if not walk.closed:
            # It may have begun before `first`: go back to its beginning, then all along it.
            last, forwards = _onward((first, False), partners).steps[-1]
            walk = _onward((last, not forwards), partners)
        seen.update(number for number, _ in walk.steps)
        yield walk


def _onward(start: tuple[int, bool], partners: Partners) -> Walk:
    steps = [start]
    end = (start[0], 1 if start[1] else 0)
    while end in partners:
        number, side = partners[end]
        if number == start[0]:
            return Walk(tuple(steps), closed=True)
        steps.append((number, side == 0))
        end = (number, 1 - side)
    return Walk(tuple(steps), closed=False)


def _place(paths: Sequence[Path], end: End) -> Point:
    return paths[end[0]].vertices[-end[1]][:2]


def followed(path: Path, following: Path, *, within_mm: float, turnable: bool) -> Path | None:
    """Return two open paths as one where `following` begins or ends at the end of `path`, else None.

    Args:
        path: the one that comes first.
        following: the one that goes on, from either end.
        within_mm: how far apart the ends may be.
        turnable: whether the first may be run backwards, too.
    """
    for first in (path, path.backwards()) if turnable else (path,):
        for second in (following, following.backwards()):
            if math.dist(first.vertices[-1][:2], second.vertices[0][:2]) <= within_mm:
                return Path((*first.vertices[:-1], *second.vertices), closed=False)
    return None


def loops(edges: Sequence[Edge], *, within_mm: float) -> list[Path]:
    """Return the closed paths of edges that follow each other, each run its own way; dead ends are left out.

    Where several begin at one point the first that is left is taken.
    """
    following = _followers(edges, within_mm)
    paths = []
    used: set[int] = set()
    for first in range(len(edges)):
        chain: list[int] = []
        now = first
        while now not in used and following[now]:
            used.add(now)
            chain.append(now)
            now = next((after for after in following[now] if after not in used or after == first), now)
            if now == first:
                break
        if chain and now == first and len(chain) > 1:
            paths.append(Path(tuple(edges[number].vertex() for number in chain), closed=True))
    return paths


def _followers(edges: Sequence[Edge], within_mm: float) -> list[list[int]]:
    """Of each edge those that begin where it ends, without dead ends: every one is led to, and leads on."""
    if not edges:
        return []
    starts = shapely.STRtree([shapely.Point(edge.start) for edge in edges])
    ends = shapely.points([edge.end for edge in edges])
    pairs = {(int(a), int(b)) for a, b in starts.query(ends, "dwithin", distance=within_mm).T}
    while True:
        alive = {a for a, _ in pairs} & {b for _, b in pairs}
        kept = {(a, b) for a, b in pairs if a in alive and b in alive}
        if kept == pairs:
            break
        pairs = kept
    following: list[list[int]] = [[] for _ in edges]
    for before, after in sorted(pairs):
        following[before].append(after)
    return following
