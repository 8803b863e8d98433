"""A shape of the user's own: grown by its seam, or with its sew line drawn inside the cut line."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.core.units import SizeError, Unit
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.offset import offset
from cutfiles.geometry.outline import Circle, Contour, Vertex, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import OutlineSpec
from cutfiles.job.model.template import SewnOrCut
from cutfiles.pieces.drawings.outline import drawn_outline
from cutfiles.pieces.shape import Mark, Shape

# Corners of a drawing this near to their own mirror images are them: programs write three or four
# decimals of a pixel or a mm, and no machine resolves a hundredth.
_MIRRORED_MM = 2e-3


def given_outline(spec: OutlineSpec, unit: Unit) -> Contour:
    """Return the outline as the user gave it: the points of the job, or what the drawing holds.

    Args:
        spec: the `[[outline]]` table.
        unit: the job's, for a drawing that names none.

    Raises:
        GeometryError: the drawing can't be read, or holds no single outline.
    """
    return ring(*spec.points) if spec.file is None else drawn_outline(spec.file, unit)


def outline_shape(spec: OutlineSpec, given: Contour | None = None) -> Shape:
    """Return the outline as it is cut, with its sew line if it has a seam.

    Args:
        spec: the `[[outline]]` table.
        given: what `given_outline` returns; may be left out where the table has points.

    Raises:
        GeometryError: the seam eats the outline, or splits it.
    """
    given = given or ring(*spec.points)
    # Points are the user's own numbers; a drawing's went through another program's rounding.
    symmetric = _is_symmetric(given, SAME_POINT_MM if spec.file is None else _MIRRORED_MM)
    if spec.seam_mm < SAME_POINT_MM:
        return Shape(spec.name, given, (), symmetric=symmetric)
    if spec.line is SewnOrCut.SEWN:
        cut, sewn = _offset(spec, given, spec.seam_mm), given
    else:
        cut, sewn = given, _offset(spec, given, -spec.seam_mm)
    return Shape(spec.name, cut, (Mark(Drawn.SEW, sewn),), symmetric=symmetric)


def _offset(spec: OutlineSpec, given: Contour, by_mm: float) -> Contour:
    moved = offset(given, by_mm)
    if moved is None:
        raise SizeError(
            f"a seam of {{}} leaves no single sewn shape inside {spec.name}; narrow it", spec.seam_mm
        )
    return moved


def _is_symmetric(given: Contour, within_mm: float) -> bool:
    """Whether the outline is its own mirror image about the y axis."""
    if isinstance(given, Circle):
        return abs(given.x) <= within_mm
    # Corners alone don't tell: the same four can be joined to more than one shape. Mirrored, and so
    # run backwards, the ring must read the same from some corner on.
    corners, mirrored = given.vertices, placed(given, Pose(mirrored=True)).vertices
    count = len(corners)
    return any(
        _alike(mirrored[0], corners[start], within_mm)
        and all(_alike(mirrored[i], corners[(start + i) % count], within_mm) for i in range(count))
        for start in range(count)
    )


def _alike(first: Vertex, second: Vertex, within_mm: float) -> bool:
    return math.dist(first[:2], second[:2]) <= within_mm and math.isclose(
        first.bulge, second.bulge, rel_tol=1e-3, abs_tol=1e-6
    )
