"""A cut line off a scrap, in its margin or in what is to be avoided is found, in layout and file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from cutfiles.check.check import check_paths
from cutfiles.check.layout.layout import KnownFabric
from cutfiles.check.rules.fabric import beyond_fabric
from cutfiles.findings.codes import Code
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.geometry.outline import ring
from tests.check.drawings import WRITTEN, drawing_of, usual_layout, write_folder

# tide lies from (20, 20) to (160, 120) with a margin of 2; this keeps well outside of all its pieces.
WHOLE = [[20, 20], [160, 20], [160, 120], [20, 120]]
CASES: dict[str, tuple[dict[str, Any], str]] = {
    "edge through a piece": (
        {"outline": [[20, 20], [160, 20], [160, 60], [20, 120]]},
        "leaves the edge of tide",
    ),
    "edge in a margin": (
        {"outline": [[20, 20], [160, 20], [160, 120], [20, 120], [20, 70], [24.5, 25.5], [20, 24]]},
        "inside its margin of 2 mm",
    ),
    "flaw over a piece's edge": ({"avoid": [[[15, 15], [30, 15], [30, 30], [15, 30]]]}, "fabrics.1.avoid.1"),
    "second flaw within a piece": (
        {"avoid": [[[21, 21], [22, 21], [21, 22]], [[129, 39], [131, 39], [130, 41]]]},
        "fabrics.1.avoid.2",
    ),
}


def _said(folder: Path, more: dict[str, Any]) -> list[tuple[str, str, str]]:
    layout: Any = usual_layout()
    layout["loads"][0]["fabrics"][0].update(more)
    text = WRITTEN["svg"](drawing_of(usual_layout()))
    findings = check_paths([write_folder(folder, layout, {"svg": text})]).findings
    return [(f"{finding.file}: {finding.place}", finding.code, finding.says) for finding in findings]


@pytest.mark.parametrize("more", [{}, {"outline": WHOLE}, {"avoid": [[[21, 21], [22, 21], [21, 22]]]}])
def test_pieces_on_the_scrap_and_clear_of_flaws_are_no_fault(tmp_path: Path, more: dict[str, Any]) -> None:
    """An outline that is the rectangle, and a flaw beside the pieces."""
    assert _said(tmp_path, more) == []


@pytest.mark.parametrize("case", CASES)
def test_a_cut_line_in_the_wrong_place_is_found(tmp_path: Path, case: str) -> None:
    """Once in layout.json and once in the file, with the code of a piece off its fabric."""
    more, words = CASES[case]
    said = _said(tmp_path, more)
    assert {code for _, code, _ in said} == {"off-fabric"}
    assert {place.split(":")[0].rsplit("/", 1)[-1] for place, _, _ in said} == {"layout.json", "load-01.svg"}
    assert all(words in message for _, _, message in said)


@pytest.mark.parametrize(("out_mm", "count"), [(0.05, 0), (0.06, 1)])
def test_half_a_kerf_passes_a_flaw_in_a_bay(out_mm: float, count: int) -> None:
    """Two ways meet at the bay's corner: what passes there is wider than beside it, and no deeper."""
    line = ring((0, 0), (20, 0), (20, 10 + out_mm), (10 + out_mm, 10 + out_mm), (10 + out_mm, 20), (0, 20))
    flaw = ring((10, 10), (14, 10), (14, 14), (10, 14))
    fabric = KnownFabric("tide", (-5, -5, 30, 30), 0.0, None, (), "loads.1.fabrics.1", avoid=(flaw,))
    item = Item(Layer.CUT, "cut", line, "tide-ell-001", "tide-ell-001")
    assert len(list(beyond_fabric(item, fabric, slack_mm=0.052))) == count


def test_a_piece_with_a_spike_is_measured() -> None:
    """Made valid it is an area and a line: the flaw in its area is found all the same."""
    line = ring((0, 0), (10, 0), (10, 10), (10, 20), (10, 10), (0, 10))
    flaw = ring((4, 4), (6, 4), (6, 6), (4, 6))
    fabric = KnownFabric("tide", (-5, -5, 30, 30), 0.0, None, (), "loads.1.fabrics.1", avoid=(flaw,))
    item = Item(Layer.CUT, "cut", line, "tide-ell-001", "tide-ell-001")
    assert [fault.code for fault in beyond_fabric(item, fabric, slack_mm=0.002)] == [Code.OFF_FABRIC]


@pytest.mark.parametrize(
    ("more", "key"), [({"outline": 3}, "outline"), ({"avoid": [[[1, "x"]]]}, "avoid.1.1.2")]
)
def test_a_polygon_that_cannot_be_is_told(tmp_path: Path, more: dict[str, Any], key: str) -> None:
    """With the key path of it."""
    assert any(code == "bad-layout" and place.endswith(key) for place, code, _ in _said(tmp_path, more))
