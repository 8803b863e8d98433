"""Outlines out of a DXF of any version from R12 on: what its model space draws, at true size.

Source: Autodesk DXF reference, entities CIRCLE, ARC, LINE, ELLIPSE, SPLINE, LWPOLYLINE, POLYLINE, INSERT;
header variable $INSUNITS.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities import Arc, Ellipse, Insert, LWPolyline, Polyline, Spline
from ezdxf.entities import Circle as DxfCircle
from ezdxf.entities import Line as DxfLine
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.math import BSpline, Vec3

from cutfiles.core.errors import CutfilesError, GeometryError
from cutfiles.core.silence import silent
from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.core.units import MM_PER_INCH, Unit
from cutfiles.geometry.arc_fit import Curve
from cutfiles.geometry.outline import Circle, Point, Vertex, arc_of
from cutfiles.pieces.drawings.strokes import (
    MOST_STROKES,
    Affine,
    DrawingStroke,
    FreeCurve,
    Oval,
    Run,
    Straight,
    moved,
    run_of,
)

_MM = {
    1: MM_PER_INCH,
    2: 12 * MM_PER_INCH,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    9: MM_PER_INCH / 1000,
    10: 36 * MM_PER_INCH,
    13: 1e-3,
    14: 100.0,
}
_DEEPEST = 16  # blocks within blocks
_MOST_ENTITIES = 20_000  # looked at, those in blocks each time that they are inserted
_FLAT = 1e-6  # how far an entity's normal may lean
_STRAIGHT = 1e-7  # bulge: less leaves the chord by a twenty-millionth of its length
_FRAME = 16  # flag of a vertex that only steers a spline


@silent("ezdxf")
def dxf_runs(content: bytes, unit: Unit) -> list[Run | Circle]:
    """Return all lines and curves of the model space, in mm.

    Args:
        content: the file.
        unit: what a drawing that names no unit is drawn in.

    Raises:
        GeometryError: it can't be read, or draws what no outline is made of.
    """
    if content.startswith(b"AutoCAD Binary DXF"):
        raise GeometryError("is a binary DXF; save it as a text (ASCII) DXF")
    try:
        drawing, _ = recover.read(io.BytesIO(content))
        return list(_EntityReader(drawing).runs(_unit_mm(drawing, unit)))
    except CutfilesError:
        raise
    except Exception as error:
        # What a broken file may cause inside the DXF library has no common root: from KeyError over
        # struct.error to RecursionError. All of it says one thing of the drawing.
        reason = " ".join(str(error).split())[:80] or type(error).__name__
        shown = reason if reason.isprintable() else ascii(reason)
        raise GeometryError(f"is no DXF that can be read ({shown}); export it anew") from None


def _unit_mm(drawing: Drawing, unit: Unit) -> float:
    code = drawing.header.get("$INSUNITS", 0)
    if not code:
        return unit.mm
    if code not in _MM:
        raise GeometryError(f"is drawn in unit {code} of $INSUNITS; draw it in mm, cm, m or inches")
    return _MM[code]


class _EntityReader:
    """Walks the entities, and counts them: blocks in blocks multiply fast."""

    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        self._seen = 0
        self._strokes = 0

    def runs(self, size_mm: float) -> Iterator[Run | Circle]:
        return self._of_all(self._drawing.modelspace(), Affine(size_mm, 0.0, 0.0, size_mm), 0)

    def _of_all(self, entities: Iterable[DXFEntity], place: Affine, depth: int) -> Iterator[Run | Circle]:
        if depth > _DEEPEST:
            raise GeometryError("holds blocks within blocks without end; explode them and save again")
        for entity in entities:
            self._seen += 1
            if self._seen > _MOST_ENTITIES:
                raise GeometryError(f"holds more than {_MOST_ENTITIES} things; leave only the outline in it")
            if self._is_hidden(entity):
                continue
            if isinstance(entity, Insert):
                yield from self._of_insert(entity, place, depth)
            else:
                strokes, closed = _strokes(entity, place)
                self._strokes += len(strokes)
                if self._strokes > MOST_STROKES:
                    raise GeometryError(f"is of more than {MOST_STROKES} lines and curves; simplify it")
                if strokes:
                    yield run_of(strokes, closed=closed)

    def _of_insert(self, insert: Insert, place: Affine, depth: int) -> Iterator[Run | Circle]:
        block = insert.block()
        if block is None:
            return
        for copy in insert.multi_insert():
            self._seen += 1
            map_ = copy.matrix44()
            origin, x, y = (map_.transform(Vec3(point)) for point in ((0, 0), (1, 0), (0, 1)))
            _refuse_leaning((x - origin).cross(y - origin))
            inner = Affine(x.x - origin.x, x.y - origin.y, y.x - origin.x, y.y - origin.y, origin.x, origin.y)
            yield from self._of_all(block, place.after(inner), depth + 1)

    def _is_hidden(self, entity: DXFEntity) -> bool:
        name = entity.dxf.get("layer", "0")
        layers = self._drawing.layers
        layer = layers.get(name) if name in layers else None
        return bool(entity.dxf.get("invisible", 0)) or (
            layer is not None and (layer.is_off() or layer.is_frozen())
        )


def _strokes(entity: DXFEntity, place: Affine) -> tuple[list[DrawingStroke], bool]:
    """The strokes of an entity in mm, and whether it closes by itself; none of what draws no line."""
    if isinstance(entity, DxfLine):
        return [moved(Straight(_flat(entity.dxf.start), _flat(entity.dxf.end)), place)], False
    if isinstance(entity, Spline):
        return _of_spline(entity, place)
    if isinstance(entity, Ellipse):
        return [moved(_of_ellipse(entity), place)], False
    if isinstance(entity, DxfCircle):  # an Arc is one too
        return [moved(_of_circle(entity), place.after(_own_frame(entity)))], False
    return _of_polyline(entity, place)


def _flat(point: Vec3) -> Point:
    return (point.x, point.y)


def _refuse_leaning(normal: Vec3) -> None:
    if math.hypot(normal.x, normal.y) > _FLAT * normal.magnitude:
        raise GeometryError("is not flat: something in it leans out of the plane; draw it in x and y")


def _own_frame(entity: DXFEntity) -> Affine:
    """A flat entity's own coordinates seen from below have x to the left (DXF: arbitrary axis algorithm)."""
    normal = Vec3(entity.dxf.get("extrusion", (0, 0, 1)))
    _refuse_leaning(normal)
    return Affine(a=-1.0) if normal.z < 0 else Affine()


def _of_circle(entity: DxfCircle) -> Oval:
    centre, radius = _flat(entity.dxf.center), abs(entity.dxf.radius)
    if not isinstance(entity, Arc):
        return Oval(centre, (radius, 0.0), (0.0, radius))
    start, sweep = entity.dxf.start_angle, (entity.dxf.end_angle - entity.dxf.start_angle) % 360 or 360.0
    return Oval(centre, (radius, 0.0), (0.0, radius), math.radians(start), math.radians(sweep))


def _of_ellipse(entity: Ellipse) -> Oval:
    normal = Vec3(entity.dxf.get("extrusion", (0, 0, 1)))
    _refuse_leaning(normal)
    major = Vec3(entity.dxf.major_axis)
    minor = normal.normalize().cross(major) * entity.dxf.ratio
    start = entity.dxf.get("start_param", 0.0)
    sweep = (entity.dxf.get("end_param", 2 * math.pi) - start) % (2 * math.pi)
    if sweep < 1e-9:
        sweep = 2 * math.pi
    return Oval(_flat(entity.dxf.center), _flat(major), _flat(minor), start, sweep)


def _of_polyline(entity: DXFEntity, place: Affine) -> tuple[list[DrawingStroke], bool]:
    if isinstance(entity, LWPolyline):
        corners = [Vertex(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
    elif isinstance(entity, Polyline) and (entity.is_2d_polyline or entity.is_3d_polyline):
        drawn = [vertex.dxf for vertex in entity.vertices if not vertex.dxf.get("flags", 0) & _FRAME]
        corners = [Vertex(*_flat(dxf.location), dxf.get("bulge", 0.0)) for dxf in drawn]
    else:
        return [], False  # words, hatchings, dimensions
    closed, place = bool(entity.is_closed), place.after(_own_frame(entity))
    strokes: list[DrawingStroke] = []
    for start, end in zip(corners, corners[1:] + (corners[:1] if closed else []), strict=False):
        if math.dist(start[:2], end[:2]) < SAME_POINT_MM:
            continue
        if abs(start.bulge) < _STRAIGHT or not math.isfinite(start.bulge):
            strokes.append(moved(Straight(start[:2], end[:2]), place))
            continue
        arc = arc_of(start, end[:2])
        u, v = (arc.radius, 0.0), (0.0, arc.radius)
        oval = Oval(arc.centre, u, v, math.radians(arc.start_deg), math.radians(arc.sweep_deg))
        strokes.append(moved(oval, place))
    return strokes, closed


def _of_spline(entity: Spline, place: Affine) -> tuple[list[DrawingStroke], bool]:
    _refuse_leaning(Vec3(entity.dxf.get("extrusion", (0, 0, 1))))
    spline = entity.construction_tool()
    knots = spline.knots()
    # Knots before and after these only steer.
    first, last = spline.order - 1, len(knots) - spline.order
    stops = sorted({float(knot) for knot in knots[first : last + 1]})
    if len(stops) > MOST_STROKES:
        raise GeometryError(f"is of more than {MOST_STROKES} lines and curves; simplify it")
    curves = [_span(spline, place, start, end) for start, end in pairwise(stops)]
    return ([FreeCurve(tuple(curves))] if curves else []), False


def _span(spline: BSpline, place: Affine, start: float, end: float) -> Curve:
    """Between two knots a spline is smooth; at one it may turn, so slopes are taken just inside."""
    inside = 1e-7 * (end - start)

    def at(t: float) -> Point:
        return place.point(_flat(next(iter(spline.points([t])))))

    def slope(t: float) -> Point:
        t = min(max(t, start + inside), end - inside)
        return place.vector(_flat(next(iter(spline.derivatives([t], n=1)))[1]))

    return Curve(at, slope, start, end)
