"""Pieces on their fabric: inside its edge less the margin, out of what is to be avoided."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.check.context.context import Context
from cutfiles.check.layout.layout import KnownFabric
from cutfiles.check.rules.mat import beyond, beyond_reach_of
from cutfiles.check.shapes.contours import as_area
from cutfiles.core.tolerance import CHORD_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item
from cutfiles.geometry.distance import contours_apart
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Contour
from cutfiles.geometry.overlay import common, less


def off_fabric(context: Context) -> Iterator[Fault]:
    """Yield a fault for each piece that leaves its fabric; leaving the mat is another fault."""
    if context.known is None:
        return
    outside = {item.place for item, _ in beyond_reach_of(context)}
    # The cut line may pass the fabric's edge by half the kerf: the piece doesn't.
    slack_mm = context.kind.within_mm + context.tool.kerf_mm / 2
    for item, fabric, _ in context.matched.pairs:
        if item.place not in outside:
            yield from beyond_fabric(item, fabric, slack_mm=slack_mm)


def beyond_fabric(item: Item, fabric: KnownFabric, *, slack_mm: float) -> Iterator[Fault]:
    """Yield a fault where an outline passes its fabric less the margin, or enters what is avoided.

    Only what is more than the slack counts.
    """
    over = beyond(item.path, fabric.room())
    if over > slack_mm:
        margin = f" less its margin of {fabric.margin_mm:g} mm" if fabric.margin_mm else ""
        yield Fault(Code.OFF_FABRIC, item.place, f"leaves {fabric.fabric}{margin} by {over:.4g} mm")
        return
    says = _leaves_cloth(item.path, fabric, slack_mm=slack_mm)
    if says:
        yield Fault(Code.OFF_FABRIC, item.place, says)


def _leaves_cloth(path: Contour, fabric: KnownFabric, *, slack_mm: float) -> str:
    """Return what is wrong with where a cut line lies on its fabric, or nothing.

    Distances are exact; how deep it lies in the wrong place is measured on chords within 0.001 mm.
    """
    if fabric.outline is None and not fabric.avoid:
        return ""
    piece = _area(path)
    # With mitred corners: at a bay's corner that lies on one of the fabric the slack is as wide as beside it.
    kept = piece.buffer(-slack_mm, join_style="mitre")
    if fabric.outline is not None:
        if _is_deep(less(kept, _area(fabric.outline))):
            return f"leaves the edge of {fabric.fabric}"
        margin = fabric.margin_mm
        if margin > 0:
            apart = contours_apart(edges_of(path), edges_of(fabric.outline), within_mm=margin)
            if apart < margin - slack_mm:
                words = f"inside its margin of {margin:g} mm"
                return f"lies {apart:.4g} mm from the edge of {fabric.fabric}, {words}"
    for number, avoided in enumerate(fabric.avoid, start=1):
        if _is_deep(common(kept, _area(avoided))):
            return f"enters what is to be avoided on {fabric.fabric} ({fabric.key}.avoid.{number})"
    return ""


def _area(path: Contour) -> BaseGeometry:
    # That a line crosses itself is another rule's fault; here it must only not stop the measuring.
    return shapely.make_valid(as_area(path, stray_mm=CHORD_MM))


def _is_deep(region: BaseGeometry) -> bool:
    # Chords of an arc that bulges inwards lie outside the piece.
    return not region.buffer(-CHORD_MM).is_empty
