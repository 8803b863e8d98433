"""Blades cut across a strip of cloth: how many it gives, end for end and one way, and where a ruler cuts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.tolerance import RULE_MM
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Plate


@dataclass(frozen=True, slots=True)
class StripWedge:
    """What of a blade, or of one of its bands, a ruler cuts: two parallel ends and two slanted sides.

    Of a tip that isn't straight it is what that is cut from: the sides run on to the height of its top.
    """

    narrow_width_mm: float
    wide_width_mm: float
    height_mm: float  # on the centre line: as high as the strip

    @property
    def side_mm(self) -> float:
        """How long each slanted side is."""
        return math.hypot(self.height_mm, (self.wide_width_mm - self.narrow_width_mm) / 2)


def wedges_of(plate: Plate) -> dict[str, StripWedge]:
    """Return the wedge of each shape that a plate's blades are cut as, by the shape's name."""
    if plate.bands:
        cut_width = plate.blade.cut_half_width_mm
        return {
            band.name: StripWedge(
                2 * cut_width(band.cut_low_mm), 2 * cut_width(band.cut_high_mm), band.strip_mm
            )
            for band in plate.bands
        }
    blades = (plate.blade, *((plate.second,) if plate.second else ()))
    return {
        shape.name: StripWedge(blade.narrow_width_mm, blade.wide_width_mm, blade.length_mm)
        for shape, blade in zip(plate.shapes, blades, strict=True)
    }


def end_for_end(blade: Blade | StripWedge, usable_mm: float) -> int:
    """Return how many blades lie side by side in a strip as high as a blade is long, every other turned.

    Args:
        blade: as it is cut; no gap is kept between two, as a ruler needs none.
        usable_mm: the strip's length, between selvedges.

    Source: docs/geometry.md, k blades in a row are k·(W + N)/2 + (W − N)/2 wide.
    """
    wide, narrow = blade.wide_width_mm, blade.narrow_width_mm
    return max(0, math.floor((usable_mm - (wide - narrow) / 2 + RULE_MM) / ((wide + narrow) / 2)))


def one_way(blade: Blade | StripWedge, usable_mm: float) -> int:
    """Return how many lie there all the same way up."""
    return math.floor((usable_mm + RULE_MM) / blade.wide_width_mm)


@dataclass(frozen=True, slots=True)
class StripMarks:
    """Where a strip is marked along both its long edges, from its left end, and how long it must be.

    Cuts join the marks of the upper edge with those of the lower edge, the first with the first and so on.
    """

    top_mm: tuple[float, ...]
    bottom_mm: tuple[float, ...]
    length_mm: float


def marks_end_for_end(wedge: StripWedge, count: int) -> StripMarks:
    """Return the marks of so many wedges, every other turned, the first with its wide end up.

    Source: docs/geometry.md: along the top 0, W, W + N, 2W + N, …; along the bottom (W − N)/2, and from
    there N, W + N, … further. A cut between two neighbours is the side of both.
    """
    wide, narrow = wedge.wide_width_mm, wedge.narrow_width_mm
    top, bottom = [0.0], [(wide - narrow) / 2]
    for place in range(count):
        up, down = (narrow, wide) if place % 2 else (wide, narrow)
        top.append(top[-1] + up)
        bottom.append(bottom[-1] + down)
    return StripMarks(tuple(top), tuple(bottom), max(top[-1], bottom[-1]))


def marks_one_way(wedge: StripWedge, count: int) -> StripMarks:
    """Return the marks of so many wedges that all have their wide end up.

    Two neighbours meet in a mark at the top, which stands twice; at the bottom a waste triangle parts them.
    """
    wide, narrow = wedge.wide_width_mm, wedge.narrow_width_mm
    top: list[float] = []
    bottom: list[float] = []
    for left in (place * wide for place in range(count)):
        top += [left, left + wide]
        bottom += [left + (wide - narrow) / 2, left + (wide + narrow) / 2]
    return StripMarks(tuple(top), tuple(bottom), count * wide)


def marks_side_by_side(width_mm: float, count: int) -> StripMarks:
    """Return the marks of so many rectangles, each cut square across the strip."""
    marks = tuple(width_mm * place for place in range(count + 1))
    return StripMarks(marks, marks, marks[-1])
