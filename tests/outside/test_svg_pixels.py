"""An independent renderer measures our SVG: resvg at 96 pixels to the inch (CSS 2.1, section 4.3.2)."""

from __future__ import annotations

import io

import pytest
import resvg_py
from PIL import Image

from cutfiles.core.outline import Path, bounds
from cutfiles.core.pose import Pose, placed
from cutfiles.files.svg import STROKE_MM, write_svg
from cutfiles.job.model import Tip
from cutfiles.passes.plan import LoadPlan, Stroke, Tool
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.plate.blade import Blade

PX_PER_MM = 96 / 25.4
MAT_MM = (200.0, 150.0)


def rendered(path: Path) -> Image.Image:
    """One cut outline on a mat, as pixels."""
    plan = LoadPlan("load-01", *MAT_MM, (Stroke(Tool.CUT, path, "tide-blade-001"),))
    png = resvg_py.svg_to_bytes(svg_string=write_svg(plan).decode(), dpi=96)
    return Image.open(io.BytesIO(bytes(png)))


@pytest.mark.parametrize("tip", Tip)
@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 37.0, 180.0])
def test_a_rendered_blade_is_at_true_size_and_in_its_place(tip: Tip, turn_deg: float) -> None:
    """Left, right, top and bottom of the picture of one blade lie where they must, within a pixel."""
    shape = blade_shape(Blade(20, 31.75, 110.0, 6.35, tip))
    upright = bounds(placed(shape.cut, Pose(turn_deg=turn_deg)))
    path = placed(shape.cut, Pose(15.0 - upright[0], 12.0 - upright[1], turn_deg))
    assert isinstance(path, Path)
    left, low, right, high = bounds(path)
    image = rendered(path)
    assert image.size == (round(MAT_MM[0] * PX_PER_MM), round(MAT_MM[1] * PX_PER_MM))
    found = image.getchannel("A").point(lambda alpha: 255 if alpha > 20 else 0).getbbox()
    assert found is not None
    half = STROKE_MM / 2
    # Pixels count from the top, the mat from the bottom.
    expected = (left - half, MAT_MM[1] - high - half, right + half, MAT_MM[1] - low + half)
    for pixel, mm in zip(found, expected, strict=True):
        assert pixel == pytest.approx(mm * PX_PER_MM, abs=1.0)


@pytest.mark.parametrize("tip", Tip)
def test_the_narrow_end_is_down_as_it_lies_on_the_mat(tip: Tip) -> None:
    """Near the bottom of the picture the blade is as wide as its narrow end, near the top much wider."""
    blade = Blade(20, 31.75, 110.0, 6.35, tip)
    path = placed(blade_shape(blade).cut, Pose(100.0, -15.0))
    alpha = rendered(path).getchannel("A")
    for above_mm, width_mm in ((1.0, blade.narrow_width_mm), (60.0, 2 * blade.cut_half_width_mm(91.75))):
        row = round((MAT_MM[1] - (blade.inner_radius_mm - 15.0) - above_mm) * PX_PER_MM)
        found = alpha.crop((0, row, alpha.width, row + 1)).getbbox()
        assert found is not None
        # The width grows by a third of a mm for each mm up, and the stroke adds its own.
        assert found[2] - found[0] == pytest.approx((width_mm + 0.5) * PX_PER_MM, abs=2.0)
