"""Two independent renderers, resvg and LunaSVG, measure our SVG and draw the same picture of it."""

from __future__ import annotations

import re

import numpy as np
import pytest
from PIL import Image

from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.svg.write import STROKE_MM, write_svg
from cutfiles.geometry.outline import Path, bounds
from cutfiles.geometry.pose import Pose, placed
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip
from tests.outside.made import whole_plate
from tests.outside.placed import outlines
from tests.outside.renderers import PX_PER_MM, Picture, Renderer, by_lunasvg, by_resvg, document_of

MAT_MM = (200.0, 150.0)
INKED = 235  # below this a pixel isn't paper


def rendered(renderer: Renderer, path: Path) -> Image.Image:
    """One cut outline on a mat, white on black, so that the box of what is drawn can be asked for."""
    plan = LoadPlan("load-01", *MAT_MM, (Stroke(Tool.CUT, path, "tide-blade-001"),))
    picture = renderer(write_svg(plan).decode())
    return Image.fromarray(np.where(picture < INKED, 255, 0).astype(np.uint8))


@pytest.mark.parametrize("renderer", [by_resvg, by_lunasvg])
@pytest.mark.parametrize("tip", Tip)
@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 37.0, 180.0])
def test_a_rendered_blade_is_at_true_size_and_in_its_place(
    renderer: Renderer, tip: Tip, turn_deg: float
) -> None:
    """Left, right, top and bottom of the picture of one blade lie where they must, within a pixel."""
    shape = blade_shape(Blade(20, 31.75, 110.0, 6.35, tip))
    upright = bounds(placed(shape.cut, Pose(turn_deg=turn_deg)))
    path = placed(shape.cut, Pose(15.0 - upright[0], 12.0 - upright[1], turn_deg))
    assert isinstance(path, Path)
    left, low, right, high = bounds(path)
    image = rendered(renderer, path)
    assert image.size == (round(MAT_MM[0] * PX_PER_MM), round(MAT_MM[1] * PX_PER_MM))
    found = image.getbbox()
    assert found is not None
    half = STROKE_MM / 2
    # Pixels count from the top, the mat from the bottom.
    expected = (left - half, MAT_MM[1] - high - half, right + half, MAT_MM[1] - low + half)
    for pixel, mm in zip(found, expected, strict=True):
        assert pixel == pytest.approx(mm * PX_PER_MM, abs=1.0)


@pytest.mark.parametrize("renderer", [by_resvg, by_lunasvg])
@pytest.mark.parametrize("tip", Tip)
def test_the_narrow_end_is_down_as_it_lies_on_the_mat(renderer: Renderer, tip: Tip) -> None:
    """Near the bottom of the picture the blade is as wide as its narrow end, near the top much wider."""
    blade = Blade(20, 31.75, 110.0, 6.35, tip)
    path = placed(blade_shape(blade).cut, Pose(100.0, -15.0))
    image = rendered(renderer, path)
    for above_mm, width_mm in ((1.0, blade.narrow_width_mm), (60.0, 2 * blade.cut_half_width_mm(91.75))):
        row = round((MAT_MM[1] - (blade.inner_radius_mm - 15.0) - above_mm) * PX_PER_MM)
        found = image.crop((0, row, image.width, row + 1)).getbbox()
        assert found is not None
        # The width grows by a third of a mm for each mm up, and the stroke adds its own.
        assert found[2] - found[0] == pytest.approx((width_mm + 0.5) * PX_PER_MM, abs=2.0)


@pytest.mark.parametrize("tip", Tip)
def test_both_renderers_draw_the_same_picture(tip: Tip) -> None:
    """Of a plate with all its parts and lettering no pixel differs by more than a shade of its edge."""
    svg = write_svg(whole_plate(tip).plan.loads[0]).decode()
    one, other = by_resvg(svg), by_lunasvg(svg)
    assert one.shape == other.shape
    assert (one < INKED).sum() > 10_000
    assert differing(one, other) == 0


def test_pictures_that_are_a_pixel_apart_are_told_from_each_other() -> None:
    """The comparison sees a drawing that is a quarter of a mm off."""
    svg = write_svg(whole_plate(Tip.FOLDED).plan.loads[0]).decode()
    moved = svg.replace('viewBox="0 0', 'viewBox="0.25 0')
    assert moved != svg
    assert differing(by_resvg(svg), by_lunasvg(moved)) > 100


@pytest.mark.parametrize("tip", [Tip.FOLDED, Tip.FLAT])  # of a round tip it boxes the curve's handles
def test_the_outline_with_a_pieces_id_lies_where_the_piece_does(tip: Tip) -> None:
    """The box that LunaSVG finds for each id is that of the piece, which shapely turned and moved."""
    whole = whole_plate(tip)
    load = whole.plan.loads[0]
    # With a stroke the box would hold the longest mitre that there might be.
    document = document_of(re.sub('stroke="#[0-9A-F]{6}"', 'stroke="none"', write_svg(load).decode()))
    for piece_id, wanted in outlines(whole.layout).items():
        box = document.getElementById(piece_id).getBoundingBox()
        left, low, right, high = wanted.bounds
        found = (box.x, load.height_mm - box.y - box.h, box.x + box.w, load.height_mm - box.y)
        assert found == pytest.approx((left, low, right, high), abs=0.01), piece_id


def differing(one: Picture, other: Picture) -> int:
    """Return how many pixels two renderers see differently by over half."""
    return int((np.abs(one.astype(np.int16) - other.astype(np.int16)) > 127).sum())
