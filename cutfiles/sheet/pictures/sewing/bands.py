"""Pieced blades: the bands of a blade, a little apart, and joined."""

from __future__ import annotations

from cutfiles.geometry.outline import Path, Vertex, line
from cutfiles.geometry.pose import Pose, placed
from cutfiles.pieces.plate_shapes import blade_shapes_of
from cutfiles.plate.plate import Plate
from cutfiles.tips.stage import DrawnLine, LineKind, Measure, Patch, Stage, Surface

_APART = 0.8  # of a seam, between cut bands


def band_stages(plate: Plate) -> list[Stage]:
    """Return how the bands of a blade become one; none where blades are of one piece."""
    if not plate.bands:
        return []
    blade = plate.blade
    apart = _APART * blade.seam_mm
    cut, seams = [], []
    for number, (band, shape) in enumerate(zip(plate.bands, blade_shapes_of(plate), strict=True)):
        # A seam of each of two neighbours would lie on the other's.
        up = Pose(y_mm=number * (2 * blade.seam_mm + apart))
        cut.append(Patch(placed(shape.cut, up), Surface.RIGHT, second=number % 2 == 1))
        if number:
            half = blade.cut_half_width_mm(band.low_mm)
            seams.append(
                DrawnLine(placed(line((-half, band.low_mm), (half, band.low_mm)), up), LineKind.STITCH)
            )
    wide = blade.cut_half_width_mm(blade.outer_radius_mm)
    beside = Pose(x_mm=2.6 * wide)
    joined = []
    for number, band in enumerate(plate.bands):
        narrow, high = blade.cut_half_width_mm(band.low_mm), blade.cut_half_width_mm(band.high_mm)
        top: tuple[Vertex, ...] = (Vertex(high, band.high_mm), Vertex(-high, band.high_mm))
        # The outermost keeps what of it is cut above its tip.
        if band.name == plate.shapes[-1].name:
            top = blade.tip.finish.cut_line(blade).vertices[2:]
        outline = Path((Vertex(-narrow, band.low_mm), Vertex(narrow, band.low_mm), *top), closed=True)
        joined.append(Patch(placed(outline, beside), Surface.RIGHT, second=number % 2 == 1))
    return [
        Stage(
            "Join the bands",
            "The bands of a blade, one above the other, and beside them the blade that they make.",
            (*cut, *joined),
            tuple(seams),
            measures=(
                Measure(
                    (3.6 * wide, blade.outer_radius_mm), (3.6 * wide, blade.inner_radius_mm), -0.4 * wide
                ),
            ),
        )
    ]
