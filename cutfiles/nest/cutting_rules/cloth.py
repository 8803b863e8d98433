"""What a search knows of a fabric: its size and the rules of cutting it, and nothing else.

A name, a title, a colour, the file that an edge was drawn in: none of them is here, so none of them can
change a search. Whatever is remembered by cloth holds for every fabric of the same cloth.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import FabricSpec, Face, RepeatSpec
from cutfiles.nest.cutting_rules.turns import Turns, allowed_turns

LEAST_SAVED_MM = 2.0  # nobody cuts fabric off a roll by less


@dataclass(frozen=True, slots=True)
class Cloth:
    """One piece of a fabric, seen from the side that faces up; mm, from the lower left corner."""

    width_mm: float  # crosswise
    length_mm: float  # along the lengthwise grain; where it is as needed, the longest that it may be
    margin_mm: float
    turns: Turns  # that print and grain allow
    mirrored: bool  # the wrong side is up
    outline: tuple[Point, ...]  # of an irregular scrap; empty: the whole rectangle
    avoid: tuple[tuple[Point, ...], ...]  # polygons that no cut line enters
    repeat: RepeatSpec | None
    as_needed: bool

    @property
    def is_rectangle(self) -> bool:
        """Whether all of width × length may be cut."""
        return not (self.outline or self.avoid)


def cloth_of(fabric: FabricSpec) -> Cloth:
    """Return what a search knows of a fabric."""
    return Cloth(
        fabric.width_mm,
        fabric.length_mm,
        fabric.margin_mm,
        allowed_turns(fabric.print_, fabric.grain, fabric.face),
        fabric.face is Face.WRONG_SIDE_UP,
        fabric.outline,
        fabric.avoid,
        fabric.repeat,
        fabric.as_needed,
    )
