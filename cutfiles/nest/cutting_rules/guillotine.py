"""The order in which rectangles come out of a piece of cloth: cuts that go through from edge to edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from cutfiles.core.tolerance import RULE_MM
from cutfiles.geometry.outline import Bounds


@dataclass(frozen=True, slots=True)
class ThroughCut:
    """A straight cut through all of what is then in one piece.

    Args:
        is_across: it runs from left to right; else from the lower edge up.
        at_mm: where it is, from the lower or the left edge of the whole piece.
        begin_mm: its left or lower end.
        end_mm: its right or upper end.
        off_mm: how far it is from the lower or left edge of what is cut, or from the cut before it.
        further: a cut before it, parallel to it, has just been made through the same.
    """

    is_across: bool
    at_mm: float
    begin_mm: float
    end_mm: float
    off_mm: float
    further: bool


def through_cuts(whole: Bounds, parts: Sequence[Bounds]) -> tuple[ThroughCut, ...] | None:
    """Return the cuts, in order, that free every part from a rectangle; None where some cut would part one.

    Cuts across come first, from the lower edge up, then those within each of the strips that they make.

    Args:
        whole: left, low, right and high of the piece.
        parts: rectangles in it that don't overlap.
    """
    cuts: list[ThroughCut] = []
    waiting = [(whole, list(parts))]
    while waiting:
        region, inside = waiting.pop(0)
        if not inside or (len(inside) == 1 and _is_all(inside[0], region)):
            continue
        for axis in (1, 0):
            places = _free_places(region, inside, axis)
            if places:
                break
        else:
            return None
        ends = (region[1 - axis], region[3 - axis])
        edges = [region[axis], *places, region[axis + 2]]
        for number, at in enumerate(places):
            cuts.append(ThroughCut(axis == 1, at, *ends, at - edges[number], further=number > 0))
        for low, high in pairwise(edges):
            strip = (region[0], low, region[2], high) if axis == 1 else (low, region[1], high, region[3])
            waiting.append((strip, [part for part in inside if low - RULE_MM < part[axis] < high - RULE_MM]))
    return tuple(cuts)


def _is_all(part: Bounds, region: Bounds) -> bool:
    return all(abs(mine - other) < RULE_MM for mine, other in zip(part, region, strict=True))


def _free_places(region: Bounds, parts: Sequence[Bounds], axis: int) -> list[float]:
    """Where edges of parts lie on a line that parts none of them, in order."""
    edges = sorted({part[side] for part in parts for side in (axis, axis + 2)})
    places: list[float] = []
    for at in edges:
        inside = region[axis] + RULE_MM < at < region[axis + 2] - RULE_MM
        parts_one = any(part[axis] + RULE_MM < at < part[axis + 2] - RULE_MM for part in parts)
        if inside and not parts_one and not (places and at - places[-1] < RULE_MM):
            places.append(at)
    return places
