"""Scribbles and combs: lines that meet in millions of places get an answer at once, in little memory."""

from __future__ import annotations

import random
import time
from pathlib import Path

import pytest
import shapely

from cutfiles.check.check import check_paths
from cutfiles.check.shapes.contours import as_line
from cutfiles.check.shapes.tangles import is_tangled, meet_often
from cutfiles.geometry.outline import Circle, ring

Points = list[tuple[float, float]]
SOON_S = 10.0  # some 0.3 s here; what is measured place by place takes minutes and gigabytes


def scribble(corners: int, seed: int) -> Points:
    """Corners anywhere on 300 mm."""
    chance = random.Random(seed)
    return [(chance.uniform(0, 300), chance.uniform(0, 300)) for _ in range(corners)]


def comb(teeth: int, *, upright: bool) -> Points:
    """An outline that meets itself nowhere; across another one it meets that at every tooth of it."""
    wide = 150 / teeth
    points = [
        (2 * tooth * wide + x, y)
        for tooth in range(teeth)
        for x, y in ((0, 0), (0, 300), (wide, 300), (wide, 0))
    ]
    points += [(300, 0), (300, -2), (0, -2)]
    return [(x, y) if upright else (y, x) for x, y in points]


def codes(folder: Path, *outlines: Points) -> list[str]:
    """What `check` finds in an SVG of these outlines, and in time."""
    shapes = "".join(
        f'<polygon points="{" ".join(f"{x + 20:.4f},{y + 20:.4f}" for x, y in outline)}"/>'
        for outline in outlines
    )
    svg = folder / "lines.svg"
    svg.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" viewBox="0 0 400 400">'
        f'<g id="cut" fill="none" stroke="#f00">{shapes}</g></svg>',
        encoding="utf-8",
    )
    start = time.process_time()
    finding_codes = [finding.code for finding in check_paths([svg]).findings]
    assert time.process_time() - start < SOON_S
    return finding_codes


def test_scribbles_are_told_and_not_measured(tmp_path: Path) -> None:
    """Four thousand corners meet in some four million places."""
    finding_codes = codes(tmp_path, scribble(4000, 1), scribble(4000, 2), [(310, 0), (320, 0), (320, 10)])
    assert finding_codes == ["self-crossing", "self-crossing"]


@pytest.mark.parametrize("teeth", [20, 1000])
def test_combs_across_each_other_cross(teeth: int, tmp_path: Path) -> None:
    """However many teeth they have: few are measured, many are counted."""
    assert codes(tmp_path, comb(teeth, upright=True), comb(teeth, upright=False)) == ["crossing-cuts"]


def test_two_copies_of_one_outline_are_no_tangle() -> None:
    """They meet at each corner, chopped alike or not; combs of as many corners meet more often."""
    fine, coarse = (as_line(Circle(0, 0, 90), stray_mm=stray) for stray in (1e-4, 0.01))
    assert not meet_often(fine, fine)
    assert not meet_often(fine, coarse)
    assert not is_tangled(fine)
    upright_comb, lying_comb = (
        as_line(ring(*comb(200, upright=way)), stray_mm=1e-3) for way in (True, False)
    )
    assert not is_tangled(upright_comb)
    assert meet_often(upright_comb, lying_comb)
    assert is_tangled(shapely.LineString(scribble(500, 3)))
