"""A second independent reader of our SVG: svgelements, which works out arcs and units from the standard."""

from __future__ import annotations

import io
from functools import cache

import pytest
import shapely
from svgelements import SVG, Path, Shape

from cutfiles.formats.svg.write import write_svg
from cutfiles.tips.registry import Tip
from tests.outside.made import IN, Made, whole_plate
from tests.outside.placed import outlines

MM_TO_THE_INCH = 25.4
# It takes a mm for 0.0393701 in, and so a mat of 813 mm for 0.0004 mm more; the file has four decimals.
WITHIN_MM = 0.002


@cache
def whole(tip: Tip) -> Made:
    return whole_plate(tip)


def shapes_of(tip: Tip) -> tuple[SVG, dict[str, Shape]]:
    """The drawing in mm, and its shapes that have an id."""
    content = write_svg(whole(tip).plan.loads[0])
    drawing = SVG.parse(io.BytesIO(content), ppi=MM_TO_THE_INCH, reify=True)
    return drawing, {one.id: one for one in drawing.elements() if isinstance(one, Shape) and one.id}


@pytest.mark.parametrize("tip", Tip)
def test_every_outline_lies_where_the_layout_says(tip: Tip) -> None:
    """Arcs included: a hundred points of every edge lie on the outline, and the outline's on them."""
    drawing, shapes = shapes_of(tip)
    assert drawing.height == pytest.approx(32 * IN, abs=WITHIN_MM)
    wanted = outlines(whole(tip).layout)
    assert set(shapes) == set(wanted)
    for piece, shape in shapes.items():
        points = []
        for edge in Path(shape):
            if type(edge).__name__ == "Move":
                continue
            steps = 100 if type(edge).__name__ == "Arc" else 1
            points += [edge.point(step / steps) for step in range(steps)]
        ring = shapely.LinearRing([(point.x, 32 * IN - point.y) for point in points])
        # Chords of a hundredth of a half circle leave a radius of 70 mm by 0.009 mm; corners don't.
        corners = shapely.MultiPoint(ring.coords)
        assert max(shapely.distance(wanted[piece], shapely.points(ring.coords))) < WITHIN_MM, piece
        assert wanted[piece].hausdorff_distance(ring) < 0.01, piece
        assert len(corners.geoms) >= 4


def test_it_finds_what_the_file_was_spoilt_by() -> None:
    """A flag turned over bends an arc the other way: the comparison must see it."""
    content = write_svg(whole(Tip.ROUND).plan.loads[0]).decode()
    at = content.index(" 0 0 0 ", content.index('<g fill="none" id="cut"'))
    spoilt = content[:at] + " 0 0 1 " + content[at + 7 :]
    drawing = SVG.parse(io.StringIO(spoilt), ppi=MM_TO_THE_INCH, reify=True)
    wanted = outlines(whole(Tip.ROUND).layout)
    far = 0.0
    for one in drawing.elements():
        if isinstance(one, Shape) and one.id:
            for edge in Path(one):
                if type(edge).__name__ == "Arc":
                    middle = edge.point(0.5)
                    far = max(far, wanted[one.id].distance(shapely.Point(middle.x, 32 * IN - middle.y)))
    assert far > 1.0
