"""How blades become one: pairs, fours where that works out, two parts, and the last two seams of a ring."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Plate

# Fours are worth a stage of their own where both parts have two or more.
_FOURS_FROM = 8


@dataclass(frozen=True, slots=True)
class Group:
    """Neighbouring blades that are sewn into one: from what, in order, each given by its number of blades."""

    of: tuple[int, ...]

    @property
    def blades(self) -> int:
        """How many blades it has."""
        return sum(self.of)

    @property
    def seams(self) -> int:
        """How many seams it takes."""
        return len(self.of) - 1


@dataclass(frozen=True, slots=True)
class Joining:
    """All groups, stage by stage, and what they leave: one fan, or two parts of a ring, the larger first."""

    pairs: tuple[Group, ...]
    fours: tuple[Group, ...]
    parts: tuple[Group, ...]
    last_seams: int


def joining(plate: Plate) -> Joining:
    """Return how the blades of a plate are joined; a ring's are in two parts before it is closed.

    Two parts, so that each can be laid down and looked at before the ring hides what is wrong; of an even
    number of blades they are halves.
    """
    ring = is_ring(plate)
    sizes = ((plate.sewn + 1) // 2, plate.sewn // 2) if ring else (plate.sewn,)
    pairs = sum(size // 2 for size in sizes)
    with_fours = min(sizes) >= _FOURS_FROM
    fours = sum(size // 4 for size in sizes) if with_fours else 0
    parts = []
    for size in sizes:
        rest = size
        of: list[int] = []
        if with_fours:
            of += [4] * (rest // 4)
            rest %= 4
        of += [2] * (rest // 2) + [1] * (rest % 2)
        parts.append(Group(tuple(of)))
    return Joining((Group((1, 1)),) * pairs, (Group((2, 2)),) * fours, tuple(parts), 2 if ring else 0)
