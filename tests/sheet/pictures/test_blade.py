"""The cut blade with its sizes: what a label points at is what it tells."""

from __future__ import annotations

import math
import re

import pytest

from cutfiles.core.units import Unit
from cutfiles.sheet.pictures.blade import blade_drawing
from cutfiles.tips.registry import Tip
from tests.nest.jobs import IN, blade_of
from tests.sheet.svg_paths import path_points


@pytest.mark.parametrize("tip", Tip)
def test_the_wide_end_is_told_where_lines_reach_it(tip: Tip) -> None:
    """Also where the tip is cut narrower: its long edges are drawn on up to there.

    Half the width at radius r is r · tan a + s / cos a, as a cut edge lies a seam outside the wedge's side.
    """
    drawing = blade_drawing(blade_of(blades=20, inner=1.25, length=4.75, seam=0.25, tip=tip), Unit.IN)
    a = math.radians(9)
    corner = (6.0 * math.tan(a) + 0.25 / math.cos(a)) * IN, 6.0 * IN
    group = next(element for element in drawing if element.get("transform"))
    left, down, scale = (float(text) for text in re.findall(r"-?[\d.]+", group.get("transform", ""))[:3])
    at = left + corner[0] * scale, down - corner[1] * scale
    dots = [(float(dot.get("cx", "")), float(dot.get("cy", ""))) for dot in drawing.iter("{*}circle")]
    assert min(math.dist(dot, at) for dot in dots) < 0.02
    drawn = [point for path in group.iter("{*}path") for point in path_points(path.get("d", ""))]
    for side in (-1, 1):
        assert min(math.dist(point, (side * corner[0], corner[1])) for point in drawn) < 0.01
    widest = max(abs(x) for x, _ in drawn) * scale
    assert left - widest > 0  # nothing is cut off by the picture's edge
