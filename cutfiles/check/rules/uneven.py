"""Outlines on a fabric that is no clean rectangle: inside its edge, out of what is to be avoided."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.check.layout.layout import KnownFabric
from cutfiles.check.shapes.contours import as_area
from cutfiles.core.tolerance import FLAT_ARC_MM
from cutfiles.geometry.distance import contours_apart
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Contour
from cutfiles.geometry.overlay import common, less

_CHORD_MM = FLAT_ARC_MM / 10


def uneven(path: Contour, fabric: KnownFabric, *, slack_mm: float) -> str:
    """Return what is wrong with where a cut line lies on its fabric, or nothing.

    Distances are exact; how deep it lies in the wrong place is measured on chords within 0.001 mm.
    """
    if fabric.outline is None and not fabric.avoid:
        return ""
    piece = _area(path)
    if fabric.outline is not None:
        if _is_deep(less(piece, _area(fabric.outline)), slack_mm):
            return f"leaves the edge of {fabric.fabric}"
        margin = fabric.margin_mm
        if margin > 0:
            apart = contours_apart(edges_of(path), edges_of(fabric.outline), within_mm=margin)
            if apart < margin - slack_mm:
                words = f"inside its margin of {margin:g} mm"
                return f"lies {apart:.4g} mm from the edge of {fabric.fabric}, {words}"
    for number, avoided in enumerate(fabric.avoid, start=1):
        if _is_deep(common(piece, _area(avoided)), slack_mm):
            return f"enters what is to be avoided on {fabric.fabric} ({fabric.key}.avoid.{number})"
    return ""


def _area(path: Contour) -> BaseGeometry:
    # A line that crosses itself is told elsewhere; here it only mustn't stop the measuring.
    return shapely.make_valid(as_area(path, stray_mm=_CHORD_MM))


def _is_deep(region: BaseGeometry, slack_mm: float) -> bool:
    # Chords of an arc that bulges inwards lie outside the piece.
    return not region.buffer(-slack_mm / 2 - _CHORD_MM).is_empty
