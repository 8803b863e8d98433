"""Where a print repeats itself: the places on a fabric at which pieces may have their origin. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.tolerance import TOUCH_MM
from cutfiles.geometry.outline import Point
from cutfiles.nest.cutting_rules.cloth import Cloth
from cutfiles.nest.cutting_rules.reach import Rect

_PLACES = 9  # of a mm: containers that show the same print in the same place are equal


@dataclass(frozen=True, slots=True)
class Lattice:
    """All (x + i·width, y + j·length) for whole numbers i and j, of any sign.

    (x, y) is the one of least coordinates above the lower left corner that they count from, or on it.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    length_mm: float


def lattice_in(cloth: Cloth, rect: Rect) -> Lattice | None:
    """Return the places of the motif, counted from a rectangle's lower left corner; None without a repeat.

    Args:
        cloth: its motif is measured on the right side; wrong side up it is seen in a mirror, so the motif's
            distance from the left edge becomes that from the right edge.
        rect: of the fabric, as it lies face up or down, from its lower left corner.
    """
    repeat = cloth.repeat
    if repeat is None:
        return None
    x, y = on_face(cloth, repeat.motif)
    width, length = repeat.width_mm, repeat.length_mm
    return Lattice(_first(x - rect.x_mm, width), _first(y - rect.y_mm, length), width, length)


def on_face(cloth: Cloth, point: Point) -> Point:
    """Return where a point measured on the right side lies, from the lower left of the side that is up."""
    x, y = point
    return (cloth.width_mm - x, y) if cloth.mirrored else (x, y)


def _first(place: float, step: float) -> float:
    """The least of place + i·step that isn't below 0."""
    remainder = round(place % step, _PLACES)
    # Slightly below a whole repeat is none.
    return 0.0 if remainder >= round(step, _PLACES) else remainder


def next_on(place: float, step: float, least: float) -> float:
    """Return the first of place + i·step, for whole numbers i, that isn't below `least`."""
    return place + math.ceil((least - place - TOUCH_MM) / step) * step


def strides(repeat_mm: float, reach_mm: float) -> tuple[int, ...]:
    """Return how many repeats apart rough cuts may begin: all that the mat takes, or with waste between."""
    return tuple(sorted({math.floor(reach_mm / repeat_mm), math.ceil(reach_mm / repeat_mm)} - {0}))
