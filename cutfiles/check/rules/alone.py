"""What can be said of a machine file without knowing what it should be."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from cutfiles.check.shapes.contours import as_line
from cutfiles.check.shapes.tangles import is_tangled
from cutfiles.core.tolerance import CHORD_MM, FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Drawing, Item, Layer
from cutfiles.geometry.outline import Bounds, Circle, Contour, Path, area, bounds, length

_MOST_CHORDS = 3_000_000
_FEW_CORNERS = 50  # outlines of so few are measured whatever they do
_AREALESS_MM2 = 1e-6


def too_much(drawing: Drawing) -> Fault | None:
    """Return a fault where a drawing holds more than can be measured in reasonable time."""
    if sum(_chords(item.path) for item in drawing.items) > _MOST_CHORDS:
        return Fault(Code.TOO_MUCH, "", "its lines and arcs are too long or too many: nothing was measured")
    return None


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


def unknown_layers(drawing: Drawing) -> Iterator[Fault]:
    """Yield a fault for each layer whose name isn't ours."""
    strays = Counter(item.layer_name for item in drawing.items if item.layer is None)
    for name, count in strays.items():
        shown = name[:60] or "outside every group"
        yield Fault(Code.UNKNOWN_LAYER, shown, f"{count} lines are on neither draw, register nor cut")


def wrong_order(drawing: Drawing) -> Iterator[Fault]:
    """Yield a fault at the first line that comes after a later tool's."""
    layers = list(Layer)
    latest = layers[0]
    late: tuple[int, str, Layer, Layer] | None = None
    begun: int | None = None  # where anything but drawing begins
    for item in sorted(drawing.items, key=lambda one: one.order):
        if item.layer is None:
            continue
        if begun is None and item.layer is not Layer.DRAW:
            begun = item.order
        if layers.index(item.layer) < layers.index(latest):
            late = (item.order, item.place, item.layer, latest)
            break
        latest = item.layer
    after = np.flatnonzero(drawing.drawn.order > begun) if begun is not None else np.empty(0, dtype=int)
    if len(after) and (late is None or drawing.drawn.order[after[0]] < late[0]):
        order = int(drawing.drawn.order[after[0]])
        before = [i.layer for i in drawing.items if i.layer is not None and i.order < order]
        late = (order, drawing.drawn.place(int(after[0])), Layer.DRAW, max(before, key=layers.index))
    if late is not None:
        yield Fault(
            Code.WRONG_ORDER, late[1], f"a line to {late[2].value} comes after one to {late[3].value}"
        )


def nothing_to_cut(drawing: Drawing) -> Iterator[Fault]:
    """Yield a fault where no line is to be cut."""
    if not drawing.on(Layer.CUT):
        yield Fault(Code.NOTHING_TO_CUT, "", "no line on the layer cut")


def self_crossing(outlines: Sequence[Item], *, loop_mm: float = 0.0) -> Iterator[Fault]:
    """Yield a fault for each outline that meets itself.

    Args:
        outlines: what is cut.
        loop_mm: how large a loop may be that the format's rounding makes at a corner.
    """
    for item in outlines:
        if isinstance(item.path, Circle):
            continue
        line = as_line(item.path, stray_mm=CHORD_MM)
        if abs(area(item.path)) < _AREALESS_MM2 or not (line.is_simple or _mere_loops(line, loop_mm)):
            yield Fault(Code.SELF_CROSSING, item.place, f"meets itself{_about(item.path)}")


def tangled(outlines: Sequence[Item]) -> dict[int, Fault]:
    """Return the outlines, by their index, of which nothing else can be measured in time."""
    says = "meets itself in very many places: nothing else of it was measured"
    return {
        index: Fault(Code.SELF_CROSSING, item.place, says)
        for index, item in enumerate(outlines)
        if isinstance(item.path, Path)
        and len(item.path.vertices) > _FEW_CORNERS
        and is_tangled(as_line(item.path, stray_mm=CHORD_MM))
    }


def _mere_loops(line: shapely.LineString, loop_mm: float) -> bool:
    """Whether a line meets itself only where it strays by no more than a loop may be large."""
    return loop_mm > FILE_MM and bool(line.simplify(loop_mm, preserve_topology=False).is_simple)


def _about(path: Contour) -> str:
    left, low, right, high = bounds(path)
    return f" (it lies about {(left + right) / 2:.2f}, {(low + high) / 2:.2f} mm, {length(path):.1f} mm long)"


def off_mat(items: Sequence[Item], mat: Bounds, *, slack_mm: float) -> Iterator[tuple[Item, Fault]]:
    """Yield each line that leaves what the machine reaches, with the fault.

    Args:
        items: lines to cut or mark.
        mat: least x and y, greatest x and y of the reach, mm.
        slack_mm: by how much a line may pass it.
    """
    for item in items:
        over = beyond(item.path, mat)
        if over > slack_mm:
            yield item, Fault(Code.OFF_MAT, item.place, f"{over:.4g} mm beyond what the machine reaches")


def beyond(path: Contour, limits: Bounds) -> float:
    """Return by how much a path passes an upright rectangle, mm; below 0 if it doesn't."""
    left, low, right, high = bounds(path)
    return max(limits[0] - left, limits[1] - low, right - limits[2], high - limits[3])
