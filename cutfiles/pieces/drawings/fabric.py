"""A scrap whose edge is a drawing: the polygon of straight edges inside it that pieces may lie on. mm."""

from __future__ import annotations

from dataclasses import replace

import shapely
from shapely.geometry.polygon import orient

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.tolerance import CLOTH_ARC_MM, CLOTH_STRAY_MM, CLOTH_STRAY_MOST_MM
from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Contour, Point, Side, chords
from cutfiles.job.model.job import FabricSpec
from cutfiles.job.parse.fabric_shape import FabricShape, check_avoided, check_margin
from cutfiles.pieces.drawings.outline import drawn_outline

# The search's work grows with the corners of a scrap; a traced edge has hundreds.
_MANY_CORNERS = 60


def drawn_fabric(fabric: FabricSpec, where: str, unit: Unit) -> FabricSpec:
    """Return a fabric with the size and the outline that its drawing gives; any other as it is.

    Args:
        fabric: as the job has it.
        where: its key, for messages.
        unit: the job's, for a drawing that names none.

    Raises:
        JobError: the drawing holds no outline, or a margin or something avoided that doesn't go with it.
    """
    if fabric.drawing is None:
        return fabric
    try:
        outline = cloth_within(drawn_outline(fabric.drawing, unit))
    except GeometryError as error:
        raise JobError(f"{where}.outline", str(error)) from None
    width, length = (max(point[axis] for point in outline) for axis in (0, 1))
    check_avoided(where, FabricShape(width, length, outline, fabric.avoid), unit)
    check_margin(where, fabric.margin_mm, min(width, length), unit)
    return replace(fabric, width_mm=width, length_mm=length, outline=outline, drawing=None)


def cloth_within(drawn: Contour) -> tuple[Point, ...]:
    """Return a polygon inside an outline, counter-clockwise, the lower left corner of its bounds at (0, 0).

    It lies within CLOTH_ARC_MM of the outline. An edge of very many corners, traced or pinked, is
    straightened inwards, by up to twice CLOTH_STRAY_MM, or twice CLOTH_STRAY_MOST_MM if need be; a neck
    narrower than that parts the scrap, and the larger part counts.

    Raises:
        GeometryError: nothing is left.
    """
    cloth = shapely.Polygon(chords(drawn, stray_mm=CLOTH_ARC_MM, side=Side.INSIDE))
    stray_mm, fewer = CLOTH_STRAY_MM, cloth
    while len(fewer.exterior.coords) > _MANY_CORNERS and stray_mm <= CLOTH_STRAY_MOST_MM:
        fewer = _straightened(cloth, stray_mm)
        stray_mm *= 2
    cloth = fewer
    if cloth.is_empty or not cloth.is_valid:
        raise GeometryError("is too small or too narrow for a scrap; check its unit")
    left, low, _, _ = cloth.bounds
    return tuple((float(x) - left, float(y) - low) for x, y in orient(cloth).exterior.coords[:-1])


def _straightened(cloth: shapely.Polygon, stray_mm: float) -> shapely.Polygon:
    """A polygon of fewer corners, inside: what straightening adds is taken off all round first."""
    less = cloth.buffer(-stray_mm, join_style="mitre").simplify(stray_mm)
    return max(shapely.get_parts(less), key=lambda part: round(part.area, 3), default=shapely.Polygon())
