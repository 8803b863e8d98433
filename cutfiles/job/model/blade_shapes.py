"""The shapes that blades are cut as, and at which places of a plate each of them is sewn."""

from __future__ import annotations

from dataclasses import dataclass

BLADE, SECOND_BLADE = "blade", "second-blade"


@dataclass(frozen=True, slots=True)
class BladeShape:
    """A shape by its name, at every `step`-th place of a plate, from place `first`, counted from 0."""

    name: str
    first: int = 0
    step: int = 1

    def places(self, sewn: int) -> range:
        """Return its places, counted from 0 in the order of sewing, where so many blades are sewn."""
        return range(self.first, sewn, self.step)


def blade_shapes(*, two_lengths: bool) -> tuple[BladeShape, ...]:
    """Return the shapes of a plate's blades.

    >>> [(shape.name, len(shape.places(5))) for shape in blade_shapes(two_lengths=True)]
    [('blade', 3), ('second-blade', 2)]
    """
    if two_lengths:
        return (BladeShape(BLADE, 0, 2), BladeShape(SECOND_BLADE, 1, 2))
    return (BladeShape(BLADE),)
