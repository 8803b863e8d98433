"""Where the tool must run so that what it leaves is of true size: half of the kerf outside the piece.

The arcs about corners keep the tool nowhere further out than that, so that two pieces whose gap is the kerf
never lose fabric to each other's cut. What it can't do is leave an inner corner sharp: it is round itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import CHORD_MM, SAME_POINT_MM
from cutfiles.core.units import Unit, in_both
from cutfiles.geometry.offset import Corners, offset
from cutfiles.geometry.outline import Circle, Contour
from cutfiles.geometry.points import points_on
from cutfiles.pieces.shape import Shape

_SAID_MM = 0.05  # what is left in an inner corner is told from here on
_QUARTER = 32  # edges of a quarter round


@dataclass(frozen=True, slots=True)
class CutLines:
    """Where the tool runs to cut a shape, in the shape's own frame."""

    outer: Contour
    inner: tuple[Contour, ...]


def cut_lines(shape: Shape, kerf_mm: float) -> CutLines:
    """Return the lines that leave the shape at its true size: outlines grow, holes shrink.

    Args:
        shape: what is to be left.
        kerf_mm: width of what the tool removes; 0 or more.

    Raises:
        JobError: the tool is too wide for a hole or an outline.
    """
    if kerf_mm <= SAME_POINT_MM:
        return CutLines(shape.cut, shape.inner)
    return CutLines(
        _grown(shape.cut, kerf_mm / 2, shape.name),
        tuple(_grown(hole, -kerf_mm / 2, f"a hole of {shape.name}") for hole in shape.inner),
    )


def _grown(outline: Contour, by_mm: float, name: str) -> Contour:
    line = offset(outline, by_mm, corners=Corners.ROUND)
    if line is None:
        kerf = 2 * abs(by_mm)
        raise JobError(
            "machine.kerf", f"{name} can't be cut with a kerf of {in_both(kerf)}; use a finer tool"
        )
    return line


def kept_too_much(shape: Shape, kerf_mm: float, unit: Unit) -> tuple[str, ...]:
    """Return a note where inner corners and narrow bays keep more than they should."""
    if kerf_mm <= SAME_POINT_MM or isinstance(shape.cut, Circle):
        return ()
    line = cut_lines(shape, kerf_mm).outer
    true, left = (shapely.Polygon(points_on(outline, stray_mm=CHORD_MM)) for outline in (shape.cut, line))
    # Not the library's inward buffer: beside a shallow inner corner it leaves a spike.
    kept = left.difference(left.exterior.buffer(kerf_mm / 2, quad_segs=_QUARTER))
    most = shapely.hausdorff_distance(true.exterior, kept.boundary)
    if most <= _SAID_MM:
        return ()
    return (
        f"{shape.name}: a kerf of {in_both(kerf_mm, unit)} is not cut out of its inner corners: up to "
        f"{in_both(most, unit)} stay there",
    )
