"""A scrap and a flaw, from the job file to layout.json, the picture and check."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import html

from cutfiles.check.check import check_paths
from cutfiles.pipeline import Made, Options, make, save, size
from tests.conftest import briefly

JOB = """
[plate]
blade_length = 2
inner_radius = 1

[[fabric]]
name = "tide"
outline = [[0, 0], [10, 0], [9, 7], [1, 6]]
margin = "1/8"
avoid = [{ x = 4, y = 2, width = 1, length = 1 }]
cuts = { blade = "fill" }
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Return the job, made."""
    path = tmp_path_factory.mktemp("job") / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return make(size(path), Options(around_search=briefly))


def test_the_layout_has_the_polygons_as_they_lie_on_the_mat(made: Made) -> None:
    """Moved with the fabric, in mm; fabrics without them have no such keys."""
    fabric = made.layout["loads"][0]["fabrics"][0]
    assert fabric["turn_deg"] == 0
    x, y = fabric["x_mm"], fabric["y_mm"]
    assert fabric["outline"] == [
        pytest.approx([x + 25.4 * across, y + 25.4 * up]) for across, up in ((0, 0), (10, 0), (9, 7), (1, 6))
    ]
    assert fabric["avoid"] == [
        [pytest.approx([x + 25.4 * across, y + 25.4 * up]) for across, up in ((4, 2), (5, 2), (5, 3), (4, 3))]
    ]


def test_the_picture_shows_the_scrap_and_names_the_hatching(made: Made) -> None:
    """The fabric is a path of four corners, the flaw is hatched, the legend says what that means."""
    sheet = html.fromstring(made.files["job-sheet.html"])
    (edge,) = sheet.xpath("//path[@data-fabric='tide']")
    assert edge.get("d").upper().count("L") + edge.get("d").upper().count("H") >= 3
    assert sheet.xpath("//path[@data-avoid='tide']")
    assert "to be avoided" in "".join(sheet.itertext())


def test_check_finds_no_fault_in_what_was_made(made: Made, tmp_path: Path) -> None:
    """Its own reader agrees that everything lies on the scrap and clear of the flaw."""
    out = tmp_path / "out"
    save(out, made)
    assert list(check_paths([out]).findings) == []
