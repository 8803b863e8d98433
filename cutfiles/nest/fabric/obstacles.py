"""What of a fabric can't be cut: what an irregular scrap lacks of its bounds, and what is to be avoided."""

from __future__ import annotations

from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.geometry.convex_parts import convex_parts
from cutfiles.geometry.outline import Point
from cutfiles.nest.base.placed_item import Rings
from cutfiles.nest.cutting_rules.cloth import Cloth
from cutfiles.nest.cutting_rules.reach import Rect

_SLIVER_MM2 = 1e-9  # what rounding leaves between two polygons that share an edge


@lru_cache(maxsize=1024)
def obstacles_in(cloth: Cloth, rect: Rect) -> Rings:
    """Return convex rings that cut lines must not enter, in a rectangle of the cloth less its margin.

    Args:
        cloth: with an outline, the margin is kept from that, none from what is avoided.
        rect: of the cloth, from its lower left corner; the rings count from its room's lower left corner.
    """
    if cloth.is_rectangle:
        return ()
    margin = cloth.margin_mm
    right, top = rect.x_mm + rect.width_mm - margin, rect.y_mm + rect.height_mm - margin
    if right <= rect.x_mm + margin or top <= rect.y_mm + margin:
        return ()
    room = shapely.box(rect.x_mm + margin, rect.y_mm + margin, right, top)
    blocked = [room.intersection(shapely.Polygon(points)) for points in cloth.avoid]
    if cloth.outline:
        # By slightly less than the margin: where both run along the bounds, no sliver is left between.
        inner = shapely.Polygon(cloth.outline).buffer(SAME_POINT_MM - margin, join_style="mitre")
        blocked.append(room.difference(inner))
    return tuple(
        tuple((float(x) - rect.x_mm - margin, float(y) - rect.y_mm - margin) for x, y in part)
        for polygon in _polygons(shapely.union_all(blocked))
        for whole in _without_holes(polygon)
        for part in convex_parts(_corners(whole), most_inward=None)
    )


def avoided_in(cloth: Cloth, rect: Rect) -> Rings:
    """Return the avoided polygons as far as they lie in a rectangle of the cloth, in its frame."""
    box = shapely.box(rect.x_mm, rect.y_mm, rect.x_mm + rect.width_mm, rect.y_mm + rect.height_mm)
    rings: list[tuple[Point, ...]] = []
    for points in cloth.avoid:
        whole = shapely.Polygon(points)
        if box.covers(whole):
            rings.append(points)
        else:
            rings += [_corners(part) for part in _polygons(box.intersection(whole))]
    return tuple(rings)


@lru_cache(maxsize=1024)
def usable_mm2(cloth: Cloth) -> float:
    """Return the area of one piece of cloth less what is avoided."""
    if cloth.is_rectangle:
        return cloth.width_mm * cloth.length_mm
    bounds = shapely.box(0.0, 0.0, cloth.width_mm, cloth.length_mm)
    whole: BaseGeometry = shapely.Polygon(cloth.outline) if cloth.outline else bounds
    avoided = shapely.union_all([shapely.Polygon(points) for points in cloth.avoid])
    return float(whole.difference(avoided).area)


def _polygons(region: BaseGeometry) -> list[shapely.Polygon]:
    parts = [part for part in shapely.get_parts(region) if isinstance(part, shapely.Polygon)]
    return [part for part in parts if part.area > _SLIVER_MM2]


def _without_holes(polygon: shapely.Polygon) -> list[shapely.Polygon]:
    """The polygon, cut across its holes until there are none."""
    if not polygon.interiors:
        return [polygon]
    left, low, right, high = polygon.bounds
    hole_left, _, hole_right, _ = polygon.interiors[0].bounds
    middle = (hole_left + hole_right) / 2
    halves = (shapely.box(left, low, middle, high), shapely.box(middle, low, right, high))
    return [
        whole
        for half in halves
        for part in _polygons(polygon.intersection(half))
        for whole in _without_holes(part)
    ]


def _corners(polygon: shapely.Polygon) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in orient(polygon).exterior.coords[:-1])
