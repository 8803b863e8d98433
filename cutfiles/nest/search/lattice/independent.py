"""The most vertices of which no two clash: a largest independent set of a graph.

Small graphs are solved by branch and bound: every clique holds at most one vertex of a choice, so a cover by
few cliques bounds it (seen in the complement: Tomita and Seki, "An efficient branch-and-bound algorithm for
finding a maximum clique", DMTCS 2003). Larger ones are improved by swaps of one for two and by kicks
(Andrade, Resende and Werneck, "Fast local search for the maximum independent set problem", Journal of
Heuristics 18, 2012).

Sets of vertices are the bits of whole numbers; work is counted, so that every machine does the same.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from cutfiles.nest.base.clock import Clock


@dataclass(frozen=True, slots=True)
class Chosen:
    """A choice, and whether no other has more."""

    vertices: tuple[int, ...]
    proven: bool


class Graph:
    """Vertices 0, 1, …, and which of them clash; those near in number should be near in place."""

    def __init__(self, clashes: Sequence[int]) -> None:
        """Take of each vertex the bits of those it clashes with, never its own."""
        self.clashes = clashes
        self.everything = (1 << len(clashes)) - 1

    def cover(self) -> int:
        """Return how many cliques cover all vertices: no choice has more vertices."""
        return sum(1 for _ in self.cliques(self.everything))

    def cliques(self, left: int) -> Iterator[list[int]]:
        """Yield cliques that together hold each of some vertices once, the lowest vertex leading."""
        while left:
            clique, fitting = [], left
            while fitting:
                lowest = fitting & -fitting
                vertex = lowest.bit_length() - 1
                clique.append(vertex)
                left ^= lowest
                fitting &= self.clashes[vertex]
            yield clique

    def largest(self, start: Iterable[int], *, nodes: int, clock: Clock) -> Chosen:
        """Return the largest choice there is, or the best found when the nodes are used up."""
        search = _Branches(self, list(start), nodes, clock)
        search.grow(self.everything)
        return Chosen(tuple(sorted(search.best)), search.nodes > 0)

    def improved(self, start: Iterable[int], *, most: int, kicks: int, clock: Clock) -> tuple[int, ...]:
        """Return a choice no smaller than where it starts, at most `most` vertices."""
        walk = _LocalSearch(self, start)
        walk.settle()
        best = walk.chosen
        for _ in range(kicks):
            if best.bit_count() >= most or clock.poll():
                break
            before = walk.chosen
            walk.kick()
            walk.settle()
            # It goes on from a choice of the same size: a larger one may be reached from there.
            if walk.chosen.bit_count() < before.bit_count():
                walk.chosen = before
            elif walk.chosen.bit_count() > best.bit_count():
                best = walk.chosen
        return tuple(_bits(best))[:most]


def _bits(vertices: int) -> Iterator[int]:
    while vertices:
        lowest = vertices & -vertices
        yield lowest.bit_length() - 1
        vertices ^= lowest


class _Branches:
    """Branch and bound."""

    def __init__(self, graph: Graph, start: list[int], nodes: int, clock: Clock) -> None:
        self._graph, self._clock = graph, clock
        self._chosen: list[int] = []
        self.best = start
        self.nodes = nodes  # left; 0: given up

    def grow(self, left: int) -> None:
        """Try all choices of what is left beside what is chosen, that may beat the best."""
        if not left:
            if len(self._chosen) > len(self.best):
                self.best = list(self._chosen)
            return
        needed = len(self.best) - len(self._chosen)
        # Vertices of the first cliques can't beat the best by themselves; others are tried, the last first.
        tried: list[tuple[int, int]] = []
        for count, clique in enumerate(self._graph.cliques(left), start=1):
            if count > needed:
                tried += [(vertex, count) for vertex in clique]
        for vertex, count in reversed(tried):
            if len(self._chosen) + count <= len(self.best):
                return
            self.nodes -= 1
            if self.nodes <= 0 or self._clock.poll():
                self.nodes = 0
                return
            self._chosen.append(vertex)
            self.grow(left & ~self._graph.clashes[vertex] & ~(1 << vertex))
            self._chosen.pop()
            left ^= 1 << vertex


class _LocalSearch:
    """A choice that changes by swaps and kicks; nothing more could be added to it when settled."""

    def __init__(self, graph: Graph, start: Iterable[int]) -> None:
        self._graph = graph
        self.chosen = sum(1 << vertex for vertex in start)
        self._dice = random.Random(0)  # the same every time

    def kick(self) -> None:
        """Choose a vertex that wasn't, and drop those in its way."""
        others = self._graph.everything & ~self.chosen
        if others:
            vertex = self._nth(others)
            self.chosen = self.chosen & ~self._graph.clashes[vertex] | 1 << vertex

    def _nth(self, vertices: int) -> int:
        """Any of some vertices: the first at or after a number drawn."""
        number = self._dice.randrange(len(self._graph.clashes))
        later = vertices >> number << number
        lowest = (later or vertices) & -(later or vertices)
        return lowest.bit_length() - 1

    def settle(self) -> None:
        """Add what can be added; swap one for two until no such swap is left."""
        self._add_free()
        swapped = True
        while swapped:
            swapped = False
            once, twice = self._blocked()
            only_once = once & ~twice & ~self.chosen
            for vertex in _bits(self.chosen):
                waiting = only_once & self._graph.clashes[vertex]
                pair = self._pair(waiting)
                if pair:
                    self.chosen = self.chosen & ~(1 << vertex) | pair
                    self._add_free()
                    swapped = True
                    break

    def _pair(self, waiting: int) -> int:
        for vertex in _bits(waiting):
            apart = waiting & ~self._graph.clashes[vertex] & ~(1 << vertex)
            if apart:
                return 1 << vertex | (apart & -apart)
        return 0

    def _blocked(self) -> tuple[int, int]:
        """What clashes with a chosen vertex, and what with two or more."""
        once = twice = 0
        for vertex in _bits(self.chosen):
            twice |= once & self._graph.clashes[vertex]
            once |= self._graph.clashes[vertex]
        return once, twice

    def _add_free(self) -> None:
        free = self._graph.everything & ~self.chosen & ~self._blocked()[0]
        while free:
            vertex = self._nth(free)
            self.chosen |= 1 << vertex
            free &= ~self._graph.clashes[vertex] & ~(1 << vertex)
