"""Files that hold more than can be measured in reasonable time: reported first, and then nothing else."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutfiles.check.context.context import Context, Role
from cutfiles.core.tolerance import CHORD_MM
from cutfiles.findings import limits
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Layer
from cutfiles.geometry.outline import Circle, Contour, Path, bounds

_MOST_CHORDS = 3_000_000


def too_many_lines(context: Context) -> Iterator[Fault]:
    """Yield a fault where the lines of a drawing are too long or too many."""
    if sum(_chords(item.path) for item in context.source.items) > _MOST_CHORDS:
        yield Fault(Code.TOO_MUCH, "", "its lines and arcs are too long or too many: nothing was measured")


def _chords(path: Contour) -> float:
    """About how many chords stand for a path."""
    left, low, right, high = bounds(path)
    if isinstance(path, Circle):
        return 4 + math.sqrt(path.radius / CHORD_MM) * 3
    curved = any(vertex.bulge for vertex in path.vertices)
    # A chord as long as sqrt(8·r·stray) strays by `stray`; no arc is longer than about its bounds.
    return len(path.vertices) + (
        len(path.vertices) * math.sqrt((right - left + high - low) / CHORD_MM) if curved else 0.0
    )


def too_far_to_walk(context: Context) -> Iterator[Fault]:
    """Yield a fault where a trailing knife would have to be walked along too many corners."""
    if not context.tool.swivel_mm or context.role not in (Role.LOAD, Role.KNIFE):
        return
    lines = context.source.on(Layer.CUT)
    corners = sum(len(line.path.vertices) for line in lines if isinstance(line.path, Path))
    if corners > limits.MOST_WALKED:
        yield Fault(Code.TOO_MUCH, "", f"{corners} corners to walk a knife along: nothing was measured")
