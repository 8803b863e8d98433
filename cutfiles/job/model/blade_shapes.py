"""The shapes that blades are cut as, and at which places of a plate each of them is sewn."""

from __future__ import annotations

from dataclasses import dataclass

BLADE, SECOND_BLADE, BAND = "blade", "second-blade", "band-"


@dataclass(frozen=True, slots=True)
class BladeShape:
    """A shape by its name, at every `step`-th place of a plate, from place `first`, counted from 0."""

    name: str
    first: int = 0
    step: int = 1

    def places(self, sewn: int) -> range:
        """Return its places, counted from 0 in the order of sewing, where so many blades are sewn."""
        return range(self.first, sewn, self.step)


def band_name(number: int) -> str:
    """Return what a band is called, counted from 1, the innermost."""
    return f"{BAND}{number}"


def is_blade_shape(name: str) -> bool:
    """Return whether a shape is a blade or a band of one; no outline of the user's may be called so.

    >>> is_blade_shape("band-2"), is_blade_shape("centre"), is_blade_shape("band-saw")
    (True, False, False)
    """
    return name in (BLADE, SECOND_BLADE) or (name.startswith(BAND) and name[len(BAND) :].isdigit())


def blade_shapes(*, two_lengths: bool = False, seams: int = 0) -> tuple[BladeShape, ...]:
    """Return the shapes of a plate's blades.

    Args:
        two_lengths: whether long and short blades stand in turn.
        seams: across each blade; then it is pieced of one band more, and each band is a shape.

    >>> [(shape.name, len(shape.places(5))) for shape in blade_shapes(two_lengths=True)]
    [('blade', 3), ('second-blade', 2)]
    """
    if seams:
        return tuple(BladeShape(band_name(number + 1)) for number in range(seams + 1))
    if two_lengths:
        return (BladeShape(BLADE, 0, 2), BladeShape(SECOND_BLADE, 1, 2))
    return (BladeShape(BLADE),)
