"""Scraps with a drawing for their edge: read late, never larger than the cloth, and nested on."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings

from cutfiles.check.check import check_paths
from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Circle, Contour, bounds, chords, ring
from cutfiles.geometry.outline import Path as Edge
from cutfiles.job.parse.read import parse_job
from cutfiles.pieces.drawings.fabric import cloth_within
from cutfiles.pieces.drawings.outline import drawn_outline
from cutfiles.pipeline import Options, make, save, size
from tests import strategies
from tests.conftest import briefly

OUTLINES = Path(__file__).parents[3] / "fixtures/outlines"
JOB = """
[plate]
blade_length = 2
inner_radius = 1

[[fabric]]
name = "samphire"
outline = "{0}"
margin = "1/8"
avoid = [{{ x = 3, y = 1, width = 1, length = 1 }}]
cuts = {{ blade = "fill" }}
"""


def _inside(cloth: tuple[tuple[float, float], ...], drawn: Contour) -> None:
    """The polygon, laid back by its lower left corner, is in the drawing's area."""
    fine = shapely.Polygon(chords(drawn, stray_mm=1e-4))
    own = shapely.Polygon(cloth)
    assert own.is_valid
    assert own.bounds[:2] == (0.0, 0.0)
    assert own.area <= fine.area
    # Where it lay is known up to what was taken off at the left and at the bottom.
    left, low, _, _ = bounds(drawn)
    gone = max(fine.bounds[2] - left - own.bounds[2], fine.bounds[3] - low - own.bounds[3])
    moved = [
        shapely.affinity.translate(own, left + x, low + y)
        for x in (0.0, gone / 2, gone)
        for y in (0.0, gone / 2, gone)
    ]
    assert min(candidate.difference(fine).area for candidate in moved) <= 2.0 * gone * fine.length + 1e-6


@settings(max_examples=40, deadline=None)
@given(drawn=strategies.star_outlines())
def test_few_straight_edges_stay_what_they_are(drawn: Edge) -> None:
    """Moved to the corner of its bounds, corner by corner."""
    left, low, _, _ = bounds(drawn)
    moved = {(round(v.x - left, 6), round(v.y - low, 6)) for v in drawn.vertices}
    assert {(round(x, 6), round(y, 6)) for x, y in cloth_within(drawn)} == moved


def test_of_a_disc_a_hair_is_lost_and_nothing_gained() -> None:
    """Its polygon's corners lie on the circle or inside: closed form."""
    for radius in (20.0, 150.0):
        cloth = cloth_within(Circle(7.0, -3.0, radius))
        width = max(x for x, _ in cloth)
        assert 2 * radius - 3.2 <= width <= 2 * radius
        middle = (width / 2, max(y for _, y in cloth) / 2)
        assert all(math.dist(middle, point) <= radius + 1e-6 for point in cloth)
        assert len(cloth) <= 120


def test_an_edge_of_very_many_corners_is_straightened_inwards() -> None:
    """Five hundred teeth of a millimetre become a smooth edge under their valleys."""
    teeth = [
        (100 + (79 + index % 2) * math.cos(angle), 100 + (79 + index % 2) * math.sin(angle))
        for index, angle in ((n, 2 * math.pi * n / 500) for n in range(500))
    ]
    drawn = ring(*teeth)
    cloth = cloth_within(drawn)
    _inside(cloth, drawn)
    assert len(cloth) < 80
    # The valleys lie on a circle of 79; four mm inside that is the least that may be left.
    assert math.pi * 75**2 < shapely.Polygon(cloth).area < math.pi * 79.5**2


def test_the_job_keeps_the_path_and_looks_at_no_file() -> None:
    """So that `size` works without the drawing."""
    job = parse_job(JOB.format("nowhere.svg"), folder=Path("jobs"))
    (fabric,) = job.fabrics
    assert fabric.drawing == Path("jobs/nowhere.svg")
    assert (fabric.width_mm, fabric.length_mm, fabric.outline) == (0.0, 0.0, ())


@pytest.mark.parametrize("name", ["scrap.svg", "leaf.dxf"])
def test_pieces_lie_on_a_drawn_scrap_and_check_agrees(name: str, tmp_path: Path) -> None:
    """From the drawing to files that are read back without a fault; the layout has the edge."""
    (tmp_path / name).write_bytes((OUTLINES / name).read_bytes())
    path = tmp_path / "job.toml"
    text = JOB.format(name)
    if name.endswith("dxf"):
        # A leaf of 35 by 80 mm: small blades, and the flaw at its foot.
        text = text.replace("blade_length = 2", "blade_length = 1").replace("x = 3, y = 1", "x = 0, y = 0")
        text = text.replace("inner_radius = 1", 'inner_radius = "1/4"\nseam = "1/8"')
    path.write_text(text, encoding="utf-8")
    made = make(size(path), Options(around_search=briefly))
    laid = made.layout["loads"][0]["fabrics"][0]
    assert laid["pieces"]
    edge = shapely.Polygon(laid["outline"])
    drawn = drawn_outline(OUTLINES / name, Unit.IN)
    fine = shapely.Polygon(chords(drawn, stray_mm=1e-3))
    assert 0.98 * fine.area <= edge.area <= fine.area + 1e-6
    save(tmp_path / "out", made)
    assert list(check_paths([tmp_path / "out"]).findings) == []
