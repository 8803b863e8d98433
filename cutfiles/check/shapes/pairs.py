"""Faults between two outlines: doubled, crossing, one in the other, too near.

Distances are exact (closed forms, to the rounding of doubles). Overlaps are measured on polygons within a
thousandth of a mm of the outlines: one 0.01 mm deep is always found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.check.shapes.contours import as_area, same_outline
from cutfiles.check.shapes.tangles import meet_often
from cutfiles.core.tolerance import CHORD_MM, TOUCH_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item
from cutfiles.geometry.distance import contours_apart, shared_mm
from cutfiles.geometry.edge import Edge, edges_of
from cutfiles.geometry.outline import Circle
from cutfiles.geometry.overlay import common, less

# Two lines that run on each other for less than this don't count as doubled: they touch.
_DOUBLED_MM = 0.1
_PART_IN = 20.0  # times the rounding: lines that are at three degrees to each other
# A thousand pieces on a mat make some four thousand pairs; a tenth of a millisecond each.
_MOST_PAIRS = 60_000
_MOST_FAULTS = 1_000
_MOST_LOOKED_AT = 2_000_000
_CHUNK = 64


@dataclass(frozen=True, slots=True)
class Spacing:
    """How far apart outlines must be.

    Args:
        gap_mm: least distance; 0 lets them touch, None where nobody knows.
        slack_mm: how far coordinates may be off by rounding.
        over_mm: how far lines that end on another's may run on along it.
    """

    gap_mm: float | None
    slack_mm: float
    over_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Between:
    """The faults, the indices of outlines that only repeat an earlier one, and lines cut twice at gap 0."""

    faults: tuple[Fault, ...]
    doubles: frozenset[int]
    shared: int


def between(outlines: Sequence[Item], spacing: Spacing) -> Between:
    """Return what is wrong between outlines, each pair reported once, by its worst fault."""
    polygons = np.array([as_area(item.path, stray_mm=CHORD_MM) for item in outlines], dtype=object)
    edges = _EdgesOf(outlines)
    faults: list[Fault] = []
    doubles: set[int] = set()
    shared = 0
    for count, (i, j, apart) in enumerate(_near(polygons, spacing)):
        if count == _MOST_PAIRS or i == j or len(faults) > _MOST_FAULTS:
            words = "too many outlines lie over each other or near: the rest of the pairs wasn't measured"
            faults.append(Fault(Code.TOO_MUCH, "", words))
            break
        if i in doubles or j in doubles:
            continue
        first, second = outlines[i], outlines[j]
        if apart <= spacing.slack_mm and same_outline(first.path, second.path, within_mm=spacing.slack_mm):
            doubles.add(j)
            faults.append(Fault(Code.DOUBLED_CUT, second.place, f"the same outline as {first.place}"))
            continue
        overlap = None if apart > 0 else _overlap(polygons[i], polygons[j], spacing.slack_mm)
        if overlap is not None:
            inner, outer = (second, first) if overlap[1] == "second" else (first, second)
            words = "crosses" if overlap[0] is Code.CROSSING_CUTS else "lies inside"
            faults.append(Fault(overlap[0], inner.place, f"{words} {outer.place}"))
            if overlap[0] is Code.PIECE_IN_PIECE and inner.order > outer.order:
                words = f"lies inside {outer.place} and is cut after it"
                faults.append(Fault(Code.INNER_AFTER_OUTER, inner.place, words))
            continue
        # A gap that the format can't tell from none says nothing of doubled lines.
        told_apart = not spacing.gap_mm or spacing.gap_mm > 2 * spacing.slack_mm
        if told_apart and apart <= spacing.slack_mm + 2 * CHORD_MM:
            run = shared_mm(
                *(_drawn(outlines[index], edges[index]) for index in (i, j)), slack_mm=spacing.slack_mm
            )
            if run > _DOUBLED_MM and spacing.gap_mm == 0:
                # Past a common corner diverging lines stay within a coarse format's rounding for a while.
                shared += run > max(_DOUBLED_MM, _PART_IN * spacing.slack_mm) + spacing.over_mm
            elif run > _DOUBLED_MM:
                words = f"{run:.4g} mm of it run on the line of {first.place}"
                faults.append(Fault(Code.DOUBLED_CUT, second.place, words))
                continue
        if spacing.gap_mm and apart - _stray_mm(first, second) < spacing.gap_mm - spacing.slack_mm:
            fault = _too_near(first, second, (edges[i], edges[j]), spacing)
            if fault is not None:
                faults.append(fault)
    return Between(tuple(faults), frozenset(doubles), shared)


class _EdgesOf(dict[int, list[Edge]]):
    """The edges of each outline, by its index, made when they are first asked for: most never are."""

    def __init__(self, outlines: Sequence[Item]) -> None:
        super().__init__()
        self._outlines = outlines

    def __missing__(self, index: int) -> list[Edge]:
        self[index] = edges_of(self._outlines[index].path)
        return self[index]


def _stray_mm(*outlines: Item) -> float:
    """By how much two outlines may be nearer than their polygons, which stand for straight edges exactly."""
    curved = sum(isinstance(item.path, Circle) or item.path.has_arcs() for item in outlines)
    return curved * CHORD_MM + TOUCH_MM


def _drawn(item: Item, edges: list[Edge]) -> list[Edge]:
    """The edges that the file has for an outline: of a shared one not all."""
    return [edge for path in item.drawn for edge in edges_of(path)] if item.is_shared else edges


def _near(
    polygons: np.ndarray[tuple[int], np.dtype[np.object_]],
    spacing: Spacing,
) -> Iterator[tuple[int, int, float]]:
    """Yield pairs that may be at fault, in order, with the distance of their polygons.

    The distance is true to twice `CHORD_MM`. A pair of an outline with itself means: too many, given up.
    """
    if len(polygons) < 2:
        return
    reach = (spacing.gap_mm or 0.0) + spacing.slack_mm + 2 * CHORD_MM
    sides = shapely.bounds(polygons)
    tree = shapely.STRtree(np.asarray(shapely.box(*sides.T), dtype=object))
    looked_at = 0
    for start in range(0, len(polygons), _CHUNK):
        left, low, right, high = sides[start : start + _CHUNK].T
        grown = shapely.box(left - reach, low - reach, right + reach, high + reach)
        ones, others = tree.query(grown)
        looked_at += len(ones)
        if looked_at > _MOST_LOOKED_AT:
            yield start, start, 0.0
            return
        ones = ones + start
        later = ones < others
        ones, others = ones[later], others[later]
        order = np.lexsort((others, ones))
        ones, others = ones[order], others[order]
        apart = shapely.distance(polygons[ones], polygons[others])
        near = apart <= reach
        yield from zip(ones[near].tolist(), others[near].tolist(), apart[near].tolist(), strict=True)


def _overlap(first: shapely.Polygon, second: shapely.Polygon, slack_mm: float) -> tuple[Code, str] | None:
    """Whether two outlines share fabric, and which is the inner one."""
    if meet_often(first.exterior, second.exterior):
        return Code.CROSSING_CUTS, "second"
    mine: BaseGeometry = first
    theirs: BaseGeometry = second
    deep_mm = slack_mm / 2
    if not (first.is_valid and second.is_valid):
        # That an outline meets itself is another rule's fault; without loops from rounding it may be valid.
        mine, theirs = (polygon.simplify(slack_mm, preserve_topology=False) for polygon in (first, second))
        if not (mine.is_valid and theirs.is_valid):
            deep = shapely.crosses(first.exterior, second.exterior)
            return (Code.CROSSING_CUTS, "second") if deep else None
        deep_mm += slack_mm
    shared = common(mine, theirs)
    if shared.area == 0 or shared.buffer(-deep_mm).is_empty:
        return None
    for inner, outer, which in ((theirs, mine, "second"), (mine, theirs, "first")):
        if less(inner, outer).buffer(-deep_mm).is_empty:
            return Code.PIECE_IN_PIECE, which
    return Code.CROSSING_CUTS, "second"


def _too_near(
    first: Item, second: Item, edges: tuple[list[Edge], list[Edge]], spacing: Spacing
) -> Fault | None:
    assert spacing.gap_mm
    least = spacing.gap_mm - spacing.slack_mm
    apart = contours_apart(*edges, within_mm=least)
    if apart >= least:
        return None
    words = f"{apart:.4f} mm from {first.place}, where {spacing.gap_mm:g} mm is the least"
    return Fault(Code.TOO_NEAR, second.place, words)
