"""The finest feature of a shape, beside what the machine can cut."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from cutfiles.core.tolerance import FLAT_ARC_MM
from cutfiles.core.units import Unit, in_both
from cutfiles.geometry.edge import edges_of, turns_of
from cutfiles.geometry.outline import Circle, Contour, Path
from cutfiles.geometry.points import points_on
from cutfiles.job.model.job import MachineSpec
from cutfiles.nest.base.layout import Layout

# An edge between lesser turns, or an arc of a lesser sweep, is part of a longer curve: no feature of its own.
_CORNER_RAD = math.radians(15)
_HALVINGS = 20


def too_small(layout: Layout, machine: MachineSpec, unit: Unit) -> tuple[str, ...]:
    """Warn of features below the size that the user's machine can cut."""
    notes = []
    for shape in layout.shapes:
        features = [
            feature
            for outline in (shape.cut, *shape.inner)
            for feature in _features(outline, below_mm=machine.smallest_mm)
        ]
        if features:
            least, what = min(features)
            notes.append(
                f"{shape.name}: its {what} is {in_both(least, unit)}, the machine's smallest feature is "
                f"{in_both(machine.smallest_mm, unit)}"
            )
    return tuple(notes)


def _features(outline: Contour, *, below_mm: float) -> Iterator[tuple[float, str]]:
    """Features finer than a size: edges, arcs, and where the shape is narrow."""
    if isinstance(outline, Path):
        turns = [abs(turn) for turn in turns_of(outline)]
        for number, edge in enumerate(edges_of(outline)):
            size = edge.length()
            ends = (turns[number], turns[(number + 1) % len(turns)])
            if size < below_mm and min(ends) > _CORNER_RAD:
                yield size, "smallest edge"
            arc = edge.arc
            if arc and arc.radius < below_mm and math.radians(abs(arc.sweep_deg)) > _CORNER_RAD:
                yield arc.radius, "smallest arc's radius"
    width = narrowest(outline, below_mm=below_mm)
    if width < below_mm:
        yield width, "narrowest part"


def narrowest(outline: Contour, *, below_mm: float) -> float:
    """Return the width of the narrowest neck of a closed outline, or of all of it where that is less, mm.

    Only what is below `below_mm` is looked for: otherwise that is returned.
    """
    if isinstance(outline, Circle):
        return min(below_mm, 2 * outline.radius)
    whole = shapely.Polygon(points_on(outline, stray_mm=FLAT_ARC_MM / 10))
    # Sharp points are no necks: made narrower all round, a shape falls apart, or vanishes, at necks alone.
    low, high = 0.0, below_mm
    if _in_one(whole, high):
        return below_mm
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _in_one(whole, middle) else (low, middle)
    return high


def _in_one(whole: shapely.Polygon, width_mm: float) -> bool:
    left = whole.buffer(-width_mm / 2)
    return isinstance(left, shapely.Polygon) and not left.is_empty
