"""Wrong side up, a lopsided shape is cut as its mirror image; symmetric shapes and lettering never are."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
import shapely.affinity
from lxml import etree

from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.pipeline import Made, Options, make, size
from tests.conftest import briefly
from tests.toolpath.test_toolpath import is_written

JOB = Path(__file__).parents[2] / "fixtures/jobs/both-faces/job.toml"
# The pennant as its points give it, seen from the right side: they run counter-clockwise with y up.
POINTS = [(0.0, 0.0), (70.0, 0.0), (95.0, 35.0), (0.0, 50.0)]
SEAM_MM = 6.0


@cache
def made() -> Made:
    """Return the job's files."""
    return make(size(JOB), Options(around_search=briefly))


def corners(piece: str) -> list[tuple[float, float]]:
    """Return the corners of a cut outline as the SVG has them, counter-clockwise with y up."""
    root = etree.fromstring(made().files["load-01.svg"])
    (polygon,) = root.xpath(f"//*[@id='{piece}']")
    points = [tuple(map(float, pair.split(","))) for pair in polygon.get("points").split()]
    ring_ = [(x, -y) for x, y in points]
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*ring_, ring_[0]]))
    return ring_ if twice > 0 else ring_[::-1]


def angles(points: list[tuple[float, float]]) -> list[int]:
    """Return the inner angle at each corner in whole degrees, in order, the smallest first.

    Turned or moved, a polygon keeps this list; its mirror image has it the other way round.
    """
    degrees = []
    for index, (x, y) in enumerate(points):
        before, after = points[index - 1], points[(index + 1) % len(points)]
        turn = math.atan2(before[1] - y, before[0] - x) - math.atan2(after[1] - y, after[0] - x)
        degrees.append(round(math.degrees(turn) % 360))
    first = degrees.index(min(degrees))
    return degrees[first:] + degrees[:first]


def test_the_pennant_is_mirrored_where_its_fabric_lies_wrong_side_up() -> None:
    """A seam all round keeps the angles: they run one way on one face and the other way on the other."""
    drawn = angles(POINTS)
    assert drawn == [63, 81, 90, 126]
    assert angles(corners("sailcloth-pennant-001")) == drawn
    assert angles(corners("tide-pennant-001")) == [63, 126, 90, 81]


def test_on_a_one_way_print_the_mirrored_pennant_stands_upright() -> None:
    """Flipped from left to right, not turned: shapely's mitred buffer of the points, flipped so."""
    grown = shapely.Polygon(POINTS).buffer(SEAM_MM, join_style="mitre", mitre_limit=5.0)
    flipped = shapely.affinity.scale(grown, xfact=-1.0)
    for piece, meant in (("sailcloth-pennant-001", grown), ("tide-pennant-001", flipped)):
        cut = at_zero(shapely.Polygon(corners(piece)))
        assert cut.symmetric_difference(at_zero(meant)).area < 0.01
        assert cut.symmetric_difference(shapely.affinity.scale(cut, xfact=-1.0)).area > 100


def at_zero(polygon: shapely.Polygon) -> shapely.Polygon:
    """Return it moved so that its bounds begin at zero."""
    left, low, _, _ = polygon.bounds
    return shapely.affinity.translate(polygon, -left, -low)


def test_a_symmetric_blade_is_the_same_on_both_faces() -> None:
    """Moved, neither flipped nor turned."""
    tide, sailcloth = (sorted(corners(f"{fabric}-blade-001")) for fabric in ("tide", "sailcloth"))
    moves = {(round(a[0] - b[0], 3), round(a[1] - b[1], 3)) for a, b in zip(tide, sailcloth, strict=True)}
    assert len(moves) == 1
    flags = {
        piece["id"]: piece["mirrored"]
        for fabric in made().layout["loads"][0]["fabrics"]
        for piece in fabric["pieces"]
    }
    assert flags == {
        "tide-blade-001": False,
        "tide-pennant-001": True,
        "sailcloth-blade-001": False,
        "sailcloth-pennant-001": False,
    }


@pytest.mark.parametrize(
    ("piece", "text"),
    [
        ("tide-blade-001", "1.01 tide"),
        ("tide-pennant-001", "tide 1"),
        ("sailcloth-blade-001", "1.02 sailcloth"),
        ("sailcloth-pennant-001", "sailcloth 1"),
    ],
)
def test_every_label_can_be_read(piece: str, text: str) -> None:
    """Stroke by stroke it is the lettering, turned and moved at most; a blade's says plate and place."""
    load = made().plan.loads[0]
    labels = tuple(
        stroke for stroke in load.strokes if stroke.tool is not Tool.DRAW or stroke.kind is Drawn.LABEL
    )
    assert is_written(replace(load, strokes=labels), text, piece=piece)
