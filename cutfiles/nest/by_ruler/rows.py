"""How a shape lies along a strip: how high the strip is, how many it holds, and where they are cut."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.tolerance import RULE_MM
from cutfiles.nest.base.layout import Lie
from cutfiles.nest.cutting_rules.turns import Turns
from cutfiles.plate.strips import (
    StripMarks,
    StripWedge,
    end_for_end,
    marks_end_for_end,
    marks_one_way,
    marks_side_by_side,
    one_way,
)


@dataclass(frozen=True, slots=True)
class Ruled:
    """A shape as a ruler cuts it: a wedge, or the rectangle that its template is laid on."""

    name: str
    width_mm: float
    height_mm: float
    wedge: StripWedge | None = None

    def ways(self, turns: Turns) -> tuple[tuple[float, Lie], ...]:
        """Return the turns of strips that grain and print allow, and how pieces lie in them; 0 is across."""
        allowed = (0.0, 90.0, 180.0, 270.0) if turns is None else turns
        ways = []
        for turn in (0.0, 90.0):
            both = [way for way in (turn, turn + 180.0) if way in allowed]
            if not both:
                continue
            if self.wedge is None:
                ways.append((turn, Lie.SIDE_BY_SIDE))
            elif len(both) == 2:
                ways.append((turn, Lie.END_FOR_END))
            else:
                # Across, turned over is the same strip with its upper edge below.
                ways.append((both[0] if turn else 0.0, Lie.ONE_WAY))
        return tuple(ways)

    def most(self, lie: Lie, usable_mm: float) -> int:
        """Return how many lie along so much of a strip."""
        if self.wedge is None:
            return max(0, math.floor((usable_mm + RULE_MM) / self.width_mm))
        if lie is Lie.ONE_WAY:
            return max(0, one_way(self.wedge, usable_mm))
        return end_for_end(self.wedge, usable_mm)

    def marks(self, lie: Lie, count: int) -> StripMarks:
        """Return where a strip with so many is marked."""
        if self.wedge is None:
            return marks_side_by_side(self.width_mm, count)
        if lie is Lie.ONE_WAY:
            return marks_one_way(self.wedge, count)
        return marks_end_for_end(self.wedge, count)
