"""A rectangle to fill, and how pieces may lie on it: all identical containers are solved once."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutfiles.nest.base.placed_item import Rings
from cutfiles.nest.cutting_rules.repeat import Lattice
from cutfiles.nest.cutting_rules.turns import Turns

Wanted = tuple[tuple[str, int], ...]  # shape and how many at most, the one to lay first leading


@dataclass(frozen=True, slots=True)
class Container:
    """A rectangle of fabric with a margin kept clear inside its edge."""

    width_mm: float
    length_mm: float
    margin_mm: float
    turns: Turns
    mirrored: bool  # the fabric lies wrong side up
    obstacles: Rings = ()  # convex, cut lines stay out of them; from the room's lower left corner
    lattice: Lattice | None = (
        None  # where pieces may have their origin, from the container's lower left corner
    )

    @property
    def room(self) -> tuple[float, float]:
        """Width and length left for cut lines."""
        return self.width_mm - 2 * self.margin_mm, self.length_mm - 2 * self.margin_mm

    def with_turns(self, turns: Turns) -> Container:
        """Return the same rectangle under another rule."""
        return replace(self, turns=turns)

    def quarter_back(self) -> Container:
        """Return the container that, turned by 90 degrees counter-clockwise, is this one."""
        turns = None if self.turns is None else tuple(sorted((turn - 90.0) % 360.0 for turn in self.turns))
        return replace(self, width_mm=self.length_mm, length_mm=self.width_mm, turns=turns)
