"""A shape of the user's own: grown by its seam, or with its sew line drawn inside the cut line."""

from __future__ import annotations

from cutfiles.core.errors import GeometryError
from cutfiles.core.outline import Path, Point, ring
from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.core.units import in_both
from cutfiles.job.model import Drawn, OutlineSpec, SewnOrCut
from cutfiles.pieces.shape import Mark, Shape

# Beyond twice the seam a mitred corner is cut off square, as sewers trim a long point: common
# practice, no published source.
MITRE_LIMIT = 2.0


def outline_shape(spec: OutlineSpec) -> Shape:
    """Return the outline as it is cut, with its sew line if it has a seam.

    Raises:
        GeometryError: the seam eats the outline, or splits it.
    """
    given = ring(*spec.points)
    if spec.seam_mm < SAME_POINT_MM:
        return Shape(spec.name, given, (), symmetric=_is_symmetric(spec.points))
    if spec.line is SewnOrCut.SEWN:
        cut, sewn = _offset(spec, spec.seam_mm), given
    else:
        cut, sewn = given, _offset(spec, -spec.seam_mm)
    marks = (Mark(Drawn.SEW, sewn),)
    return Shape(spec.name, cut, marks, symmetric=_is_symmetric(spec.points))


def _offset(spec: OutlineSpec, by_mm: float) -> Path:
    from shapely import Polygon  # noqa: PLC0415  (`size` runs without the geometry library)

    grown = Polygon(spec.points).buffer(by_mm, join_style="mitre", mitre_limit=MITRE_LIMIT)
    if not isinstance(grown, Polygon) or grown.is_empty:
        raise GeometryError(
            f"a seam of {in_both(spec.seam_mm)} leaves no single sewn shape inside {spec.name}; narrow it"
        )
    # Growing may close a narrow bay into a hole; what is cut is the outside.
    points = list(grown.exterior.coords)[:-1]
    if not grown.exterior.is_ccw:
        points.reverse()
    return ring(*[(float(x), float(y)) for x, y in points])


def _is_symmetric(points: tuple[Point, ...]) -> bool:
    """Whether the corners are their own mirror image about the y axis."""

    def key(point: Point) -> tuple[int, int]:
        return (round(point[0] / SAME_POINT_MM), round(point[1] / SAME_POINT_MM))

    # Corners alone don't tell: the same four can be joined to more than one shape. Mirrored and run
    # backwards, the ring must read the same from some corner on.
    corners = [key(point) for point in points]
    mirrored = [(-x, y) for x, y in reversed(corners)]
    if mirrored[0] not in corners:
        return False
    start = corners.index(mirrored[0])
    return corners[start:] + corners[:start] == mirrored
