"""Where fabric is laid: an outline for every fabric of a load on the layer place, just where it lies."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cutfiles.check.context.context import Context, Role
from cutfiles.check.layout.layout import KnownFabric
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, Layer, Marks
from cutfiles.geometry.outline import Path, Point

_LAYOUT_MM = 1e-5  # places of the layout have six decimals


def wrong_placing(context: Context) -> Iterator[Fault]:
    """Yield a fault for each fabric without its outline, and for each outline that is of no fabric.

    A file that is for the knife alone has none, nor has a format that knows no layers.
    """
    if context.known is None:
        return
    items = list(context.drawing.on(Layer.PLACE))
    told = context.known.layout.has_placing and context.kind.marks is Marks.APART
    wanted = list(context.known.load.fabrics) if told and context.role is not Role.KNIFE else []
    slack_mm = context.kind.pair_mm + _LAYOUT_MM
    missing: list[tuple[KnownFabric, list[Point]]] = []
    for fabric in wanted:
        corners = _corners(fabric)
        item = next((item for item in items if _has_corners(item, corners, slack_mm)), None)
        if item is None:
            missing.append((fabric, corners))
        else:
            items.remove(item)
    for fabric, corners in missing:
        x, y = corners[0]
        where = f"{fabric.fabric} has no outline with a corner at {x:.4f}, {y:.4f} mm"
        yield Fault(Code.WRONG_PLACING, fabric.key, f"{where} on the layer {Layer.PLACE.value}")
    if context.role is not Role.KNIFE:  # in the knife's file another rule says that it is not to be drawn
        for item in items:
            yield Fault(Code.WRONG_PLACING, item.place, "is the outline of no fabric that layout.json lays")


def _corners(fabric: KnownFabric) -> list[Point]:
    if isinstance(fabric.outline, Path):
        return [(vertex.x, vertex.y) for vertex in fabric.outline.vertices]
    left, low, right, high = fabric.box
    return [(left, low), (right, low), (right, high), (left, high)]


def _has_corners(item: Item, corners: list[Point], slack_mm: float) -> bool:
    """Whether a line is closed and has just these corners, whichever way round and from whichever on."""
    if not isinstance(item.path, Path) or not item.path.closed:
        return False
    found = [(vertex.x, vertex.y) for vertex in item.path.vertices]
    if len(found) != len(corners) or any(vertex.bulge for vertex in item.path.vertices):
        return False
    ways = (found, found[::-1])
    return any(
        all(
            math.dist(corner, way[(first + index) % len(way)]) <= slack_mm
            for index, corner in enumerate(corners)
        )
        for way in ways
        for first in range(len(way))
        if math.dist(corners[0], way[first]) <= slack_mm
    )
