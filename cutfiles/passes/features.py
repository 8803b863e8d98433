"""The finest features of a shape, beside what the machine can cut."""

from __future__ import annotations

from cutfiles.core.outline import Contour, Path, bounds
from cutfiles.job.model import MachineSpec
from cutfiles.nest.layout import Layout


def too_small(layout: Layout, machine: MachineSpec) -> tuple[str, ...]:
    """Warn of features below the size that the user's machine can cut."""
    notes = []
    for shape in layout.shapes:
        least = _least_feature(shape.cut)
        if least < machine.smallest_mm:
            notes.append(
                f"{shape.name}: its smallest edge is {least:.2f} mm, the machine's smallest feature is "
                f"{machine.smallest_mm:.2f} mm"
            )
    return tuple(notes)


def _least_feature(cut: Contour) -> float:
    left, low, right, high = bounds(cut)
    sizes = [right - left, high - low]
    if isinstance(cut, Path):
        sizes += [((end[0] - start.x) ** 2 + (end[1] - start.y) ** 2) ** 0.5 for start, end in cut.edges()]
    return min(sizes)
