"""DXF entities as lines and arcs. Own code.

Source: Autodesk, DXF reference: entities LINE, ARC, CIRCLE, LWPOLYLINE, POLYLINE/VERTEX/SEQEND, and the
arbitrary axis algorithm for extrusions (only ±z occurs in flat drawings).
"""

from __future__ import annotations

import math

from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.dxf.read_pairs import Entity, number_of
from cutfiles.formats.model.drawing import chain, circle
from cutfiles.geometry.outline import Contour, Point, bulge_of

# What may stand in a file without being drawn.
_SILENT = {"ATTDEF", "SEQEND", "VIEWPORT"}
_MESH = 8 | 16 | 64  # polylines that aren't flat
_SPLINE_FRAME = 16


class _TiltedError(Exception):
    """An entity isn't flat."""


def path_of(entity: Entity) -> Contour | Fault | None:
    """Return the line that an entity stands for, or the fault in it; None if nothing is drawn."""
    if entity.kind in _SILENT:
        return None
    read = _READ.get(entity.kind)
    try:
        if entity.text(67, "0") == "1":
            return Fault(Code.UNKNOWN_ELEMENT, "", "lies in paper space, not in the drawing")
        if read is None:
            return Fault(Code.UNKNOWN_ELEMENT, "", "is neither line, arc, circle nor polyline")
        return read(entity)
    except _TiltedError:
        return Fault(Code.UNKNOWN_ELEMENT, "", "lies in a tilted plane")
    except ValueError as error:
        return Fault(Code.NOT_A_NUMBER, "", str(error))


def point_of(entity: Entity) -> Point | Fault:
    """Return where a POINT lies, mm, or the fault in it."""
    try:
        point = (side_of(entity) * entity.number(10), entity.number(20))
    except _TiltedError:
        return Fault(Code.UNKNOWN_ELEMENT, "", "lies in a tilted plane")
    except ValueError as error:
        return Fault(Code.NOT_A_NUMBER, "", str(error))
    if not all(math.isfinite(number) for number in point):
        return Fault(Code.NOT_A_NUMBER, "", "a coordinate is not a finite number")
    return point


def side_of(entity: Entity) -> float:
    """Return +1, or −1 where the entity is seen from behind: its x axis then runs the other way."""
    if entity.number(210) or entity.number(220):
        raise _TiltedError
    return -1.0 if entity.number(230, 1.0) < 0 else 1.0


def _line(entity: Entity) -> Contour | Fault:
    start = (entity.number(10), entity.number(20), 0.0)
    return chain([start, (entity.number(11), entity.number(21), 0.0)], closed=False)


def _circle(entity: Entity) -> Contour | Fault:
    return circle(side_of(entity) * entity.number(10), entity.number(20), entity.number(40))


def _arc(entity: Entity) -> Contour | Fault:
    side, x, y, radius = side_of(entity), entity.number(10), entity.number(20), entity.number(40)
    first, last = entity.number(50), entity.number(51)
    sweep = (last - first) % 360.0
    if sweep == 0:
        return circle(side * x, y, radius)
    if not radius > 0:
        return Fault(Code.ZERO_LENGTH, "", f"has radius {radius:g} mm")

    def at(angle_deg: float, bulge: float) -> tuple[float, float, float]:
        angle = math.radians(angle_deg)
        return (side * (x + radius * math.cos(angle)), y + radius * math.sin(angle), side * bulge)

    bulge = bulge_of(math.radians(sweep))
    return chain([at(first, bulge), at(first + sweep, 0.0)], closed=False)


def _lwpolyline(entity: Entity) -> Contour | Fault:
    side = side_of(entity)
    corners: list[tuple[float, float, float]] = []
    for code, value in zip(entity.codes, entity.values, strict=True):
        if code == 10:
            corners.append((side * number_of(value), 0.0, 0.0))
        elif code == 20 and corners:
            corners[-1] = (corners[-1][0], number_of(value), corners[-1][2])
        elif code == 42 and corners:
            corners[-1] = (*corners[-1][:2], side * number_of(value))
    return chain(corners, closed=bool(entity.flags() & 1))


def _polyline(entity: Entity) -> Contour | Fault:
    flags = entity.flags()
    if flags & _MESH:
        return Fault(Code.UNKNOWN_ELEMENT, "", "is a polyline in space or a mesh, not flat")
    if not any(vertex.kind == "SEQEND" for vertex in entity.vertices):
        return Fault(Code.UNKNOWN_ELEMENT, "", "has no SEQEND after its vertices")
    side = side_of(entity)
    corners = [
        (side * vertex.number(10), vertex.number(20), side * vertex.number(42))
        for vertex in entity.vertices
        if vertex.kind == "VERTEX" and not vertex.flags() & _SPLINE_FRAME
    ]
    return chain(corners, closed=bool(flags & 1))


_READ = {"LINE": _line, "CIRCLE": _circle, "ARC": _arc, "LWPOLYLINE": _lwpolyline, "POLYLINE": _polyline}
