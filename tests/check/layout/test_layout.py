"""A layout that contradicts itself is told so, with the place."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cutfiles.check.check import check_paths
from cutfiles.findings.report import Finding
from tests.check.drawings import WRITTEN, Layout, drawing_of, piece, usual_layout, write_folder


def _findings(folder: Path, layout: Layout) -> list[Finding]:
    text = WRITTEN["svg"](drawing_of(usual_layout()))
    return list(check_paths([write_folder(folder, layout, {"svg": text})]).findings)


def _at(layout: Any, path: str) -> tuple[Any, Any]:
    """The object that holds a key path, and its last key."""
    *way, last = [int(key) - 1 if key.isdigit() else key for key in path.split(".")]
    for key in way:
        layout = layout[key]
    return layout, last


BAD_VALUES: dict[str, tuple[object, str]] = {
    "format": ("something else", "bad-layout"),
    "version": (2, "bad-layout"),
    "loads": ({}, "bad-layout"),
    "loads.1.name": (1, "bad-layout"),
    "loads.1.width_mm": (0, "bad-layout"),
    "loads.1.height_mm": (float("nan"), "not-a-number"),
    "loads.1.fabrics.1.x_mm": ("20", "bad-layout"),
    "loads.1.fabrics.1.y_mm": (float("inf"), "not-a-number"),
    "loads.1.fabrics.1.width_mm": (-1, "bad-layout"),
    "loads.1.fabrics.1.turn_deg": (45, "bad-layout"),
    "loads.1.fabrics.1.margin_mm": (-1, "bad-layout"),
    "loads.1.fabrics.1.turns_deg": ("any", "bad-layout"),
    "loads.1.fabrics.1.pieces.1.x_mm": (1e7, "huge-number"),
    "loads.1.fabrics.1.pieces.1.y_mm": (10**400, "huge-number"),
    "loads.1.fabrics.1.pieces.1.shape": ("kite", "bad-layout"),
    "loads.1.fabrics.1.pieces.1.mirrored": (1, "bad-layout"),
    "loads.1.fabrics.1.pieces.1.turn_deg": (True, "bad-layout"),
    "shapes.1.cut": ({"vertices": [[0, 0], [1]]}, "bad-layout"),
    "shapes.2.cut": ({"circle": [0, 0]}, "bad-layout"),
    "shapes.3.cut": ({"vertices": [[0, 0, 0], [0, 0, 0]]}, "zero-length"),
    "machine.gap_mm": (-1, "bad-layout"),
}


@pytest.mark.parametrize("path", BAD_VALUES)
def test_a_value_that_cannot_be_is_found_at_its_key(tmp_path: Path, path: str) -> None:
    """The place is the key path, lists counted from 1."""
    value, code = BAD_VALUES[path]
    layout = usual_layout()
    holder, key = _at(layout, path)
    holder[key] = value
    findings = [
        finding for finding in _findings(tmp_path, layout) if Path(finding.file).name == "layout.json"
    ]
    assert [finding.code for finding in findings] == [code]
    assert findings[0].place.startswith(path)


@pytest.mark.parametrize("path", ["loads", "loads.1.fabrics.1.pieces.1.id", "loads.1.fabrics.1.width_mm"])
def test_a_missing_key_is_named(tmp_path: Path, path: str) -> None:
    """Nothing is guessed in its place."""
    layout = usual_layout()
    holder, key = _at(layout, path)
    del holder[key]
    findings = _findings(tmp_path, layout)
    assert ("bad-layout", path, "is missing") in [
        (finding.code, finding.place, finding.says) for finding in findings
    ]


def _double_id(layout: Layout) -> None:
    layout["loads"][0]["fabrics"][1]["pieces"][0]["id"] = "tide-tab-001"


def _double_load(layout: Layout) -> None:
    layout["loads"].append({**layout["loads"][0], "fabrics": []})


def _wrong_count(layout: Layout) -> None:
    layout["fabrics"] = [
        {
            "fabric": "tide",
            "counts": [
                {"shape": "flag", "count": 2},
                {"shape": "disc", "count": 1},
                {"shape": "tab", "count": 4},
            ],
        },
        {"fabric": "shingle", "counts": [{"shape": "tab", "count": 1}]},
    ]
    layout["hand_cuts"] = [{"fabric": "tide", "shape": "tab", "count": 1}]


def _overlap(layout: Layout) -> None:
    layout["loads"][0]["fabrics"][1]["x_mm"] = 159.99


def _off(layout: Layout) -> None:
    layout["loads"][0]["fabrics"][1].update(x_mm=201, length_mm=99.01)
    layout["loads"][0]["fabrics"][1]["pieces"] = [piece("shingle-tab-001", 210, 40)]


def _plates(layout: Layout) -> None:
    """A plate of two blades of tide and one of shingle; the third of tide is to spare."""
    layout["shapes"].append({**layout["shapes"][2], "name": "blade"})
    for fabric in layout["loads"][0]["fabrics"]:
        for entry in fabric["pieces"]:
            entry["label"] = entry["id"]
    tide, shingle = (fabric["pieces"] for fabric in layout["loads"][0]["fabrics"])
    tide[3].update(plate=1, place=1, label="1·01 tide")
    tide[4].update(plate=1, place=3, label="1·03 tide")
    shingle[0].update(plate=1, place=2, label="1·02 shingle")
    layout["plates"] = [{"order": ["tide", "shingle", "tide"]}]


def _wrong_fabric(layout: Layout) -> None:
    _plates(layout)
    layout["plates"][0]["order"][2] = "shingle"


PLATE_FAULTS: dict[str, tuple[Callable[[Layout], None], str, str]] = {
    "another fabric": (
        _wrong_fabric, "tide-tab-002", "is of tide, but place 3 of plate 1 is of shingle",
    ),
    "no such place": (
        lambda layout: layout["plates"][0]["order"].pop(),
        "tide-tab-002", "is for place 3 of plate 1, which layout.json doesn't have",
    ),
    "no such plate": (
        lambda layout: layout.update(plates=[]), "tide-tab-001",
        "is for place 1 of plate 1, which layout.json doesn't have",
    ),
    "twice": (
        lambda layout: _blade(layout, 4).update(place=1, label="1·01 tide"), "tide-tab-002",
        "is for place 1 of plate 1, and so is tide-tab-001",
    ),
    "another label": (
        lambda layout: _blade(layout, 4).update(label="1·04 tide"), "tide-tab-002",
        "is for place 3 of plate 1, but its label is '1·04 tide'",
    ),
    "nobody": (
        lambda layout: layout["plates"][0]["order"].extend(["tide", "tide"]), "tide",
        "2 places of plates are of no blade on the loads, and 1 are cut by hand",
    ),
}  # fmt: skip


def _blade(layout: Layout, index: int) -> Any:
    return layout["loads"][0]["fabrics"][0]["pieces"][index]


@pytest.mark.parametrize("fault", PLATE_FAULTS)
def test_a_wrong_plate_or_place_is_found(tmp_path: Path, fault: str) -> None:
    """Beside what is cut by hand, which has no place in the file."""
    layout = usual_layout()
    _plates(layout)
    layout["hand_cuts"] = [{"fabric": "tide", "shape": "blade", "count": 1}]
    assert _findings(tmp_path / "right", layout) == []
    change, place, says = PLATE_FAULTS[fault]
    change(layout)
    findings = [finding for finding in _findings(tmp_path, layout) if finding.code == "wrong-plate"]
    assert (place, says) in [(finding.place, finding.says) for finding in findings]


CONTRADICTIONS: dict[str, Callable[[Layout], None]] = {
    "duplicate-id": _double_id,
    "wrong-count": _wrong_count,
    "fabrics-overlap": _overlap,
    "fabric-off-mat": _off,
    "wrong-plate": _wrong_fabric,
}


@pytest.mark.parametrize("code", CONTRADICTIONS)
def test_a_contradiction_has_its_code(tmp_path: Path, code: str) -> None:
    """Found in the layout, whatever the files hold."""
    layout = usual_layout()
    CONTRADICTIONS[code](layout)
    findings = _findings(tmp_path, layout)
    assert {finding.code for finding in findings if Path(finding.file).name == "layout.json"} == {code}


def test_two_loads_of_one_name_are_found(tmp_path: Path) -> None:
    """Their files would overwrite each other."""
    layout = usual_layout()
    _double_load(layout)
    assert "duplicate-id" in {finding.code for finding in _findings(tmp_path, layout)}


def test_counts_include_what_is_cut_by_hand(tmp_path: Path) -> None:
    """Three on the loads and one by hand are four."""
    layout = usual_layout()
    _wrong_count(layout)
    layout["hand_cuts"][0]["count"] = 2
    assert _findings(tmp_path, layout) == []


def test_a_seal_that_does_not_fit_is_found(tmp_path: Path) -> None:
    """The seal is the sum of all the rest, as it is written."""
    layout = usual_layout()
    text = json.dumps(layout, indent=1, ensure_ascii=False) + "\n"
    layout["seal"] = hashlib.sha256(text.encode()).hexdigest()
    assert _findings(tmp_path / "sealed", layout) == []
    layout["title"] = "another"
    assert [finding.code for finding in _findings(tmp_path / "changed", layout)] == ["changed-file"]


def test_a_layout_that_names_files_elsewhere_is_refused(tmp_path: Path) -> None:
    """A layout from a stranger must not make us read outside its folder."""
    (tmp_path / "secret.svg").write_text("not for you")
    layout = {**usual_layout(), "files": [{"name": "../secret.svg", "sha256": "0"}]}
    findings = _findings(tmp_path / "cut", layout)
    assert [(finding.code, finding.place) for finding in findings] == [("bad-layout", "files.1.name")]


def test_the_layout_s_own_distances_are_held_to_a_millionth_of_a_metre(tmp_path: Path) -> None:
    """The nest has no excuse of rounding: 0.0001 mm short is short, in the layout though not in the file."""
    layout = usual_layout()
    layout["loads"][0]["fabrics"][0]["pieces"][4]["x_mm"] = 50.9999
    text = WRITTEN["svg"](drawing_of(layout))
    findings = check_paths([write_folder(tmp_path, layout, {"svg": text})]).findings
    assert [(Path(finding.file).name, finding.code) for finding in findings] == [("layout.json", "too-near")]


def test_a_bulge_rounded_to_six_decimals_is_no_fault(tmp_path: Path) -> None:
    """An arc on a long chord moves by more than the places of the layout when its bulge is rounded."""
    layout = usual_layout()
    layout["shapes"].append({"name": "cap", "cut": {"vertices": [[40, 0, 0.5], [-40, 0, 0]]}})
    fabric = layout["loads"][0]["fabrics"][0]
    top = fabric["y_mm"] + fabric["length_mm"] - fabric["margin_mm"]
    # The arc that was meant has a bulge of 0.4999995 and touches the margin: written, it is 0.00002 mm over.
    fabric["pieces"] = [piece("tide-cap-001", 90, top - 40 * 0.4999995)]
    findings = _findings(tmp_path, layout)
    assert [finding.line() for finding in findings if Path(finding.file).name == "layout.json"] == []
