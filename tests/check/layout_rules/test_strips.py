"""Strips cut by hand: check takes the layout's marks as a knife would, and finds what is wrong with them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cutfiles.check.check import check_paths
from cutfiles.output.layout_json import LAYOUT_NAME
from tests.conftest import MakeJob

JOB = """
[job]
cut = "by hand"

[plate]
blade_length = "4 3/4"
inner_radius = "1 1/4"
tip = "{tip}"

[background]

[[fabric]]
name = "tide"
width = 42
length = 10
print = "{print_}"
cuts = {{ blade = "rest" }}

[[fabric]]
name = "sailcloth"
width = 42
length = 14
cuts = {{ background = "rest" }}
"""


def _layout(folder: Path) -> Any:
    return json.loads((folder / LAYOUT_NAME).read_text(encoding="utf-8"))


def _codes(folder: Path, layout: Any) -> list[tuple[str, str]]:
    """What is found in a layout that somebody changed, but for the change itself."""
    layout.pop("seal")
    (folder / LAYOUT_NAME).write_text(json.dumps(layout), encoding="utf-8")
    findings = check_paths([folder]).findings
    return [(finding.code, finding.says) for finding in findings if finding.code != "changed-file"]


@pytest.mark.parametrize("tip", ["folded", "round", "flat"])
@pytest.mark.parametrize("print_", ["plain", "one-way"])
def test_what_is_made_by_hand_has_no_fault(make_job: MakeJob, tip: str, print_: str) -> None:
    """Template files and strips, for every tip, end for end and one way."""
    folder = make_job(JOB.format(tip=tip, print_=print_))
    assert {path.name for path in folder.iterdir()} == {
        "job-sheet.html",
        "layout.json",
        "template-01.pdf",
        "template-01.svg",
    }
    assert list(check_paths([folder]).findings) == []
    assert _codes(folder, _layout(folder)) == []


def _moved(strip: Any) -> None:
    strip["top_mm"][1] += 0.01


def _slanted(strip: Any) -> None:
    strip["bottom_mm"] = [mark + 1.0 for mark in strip["bottom_mm"]]


FAULTS: dict[str, tuple[Callable[[Any], None], str]] = {
    "a mark moved": (lambda layout: _moved(layout["strips"][0]), "between its marks, and blade is"),
    "all marks of an edge moved": (lambda layout: _slanted(layout["strips"][0]), "between its marks"),
    "a count": (
        lambda layout: layout["strips"][0].update(count=19), "is marked for 20 pieces, 19 are said"
    ),
    "hand cuts": (
        lambda layout: layout["hand_cuts"][0].update(count=19), "19 blade counted, 20 on the strips"
    ),
    "height": (lambda layout: layout["strips"][0].update(length_mm=120.0), "is 120.0000 mm high"),
    "too short": (lambda layout: layout["strips"][0].update(width_mm=800.0), "beyond its end"),
    "over another": (
        lambda layout: layout["strips"].append(dict(layout["strips"][0], y_mm=100.0)), "over strips.1"
    ),
    "a background too narrow": (
        lambda layout: layout["strips"][1]["top_mm"].__setitem__(1, 330.0), "and background is"
    ),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_of_a_strip_is_found(make_job: MakeJob, fault: str) -> None:
    """Each changed alone; a hundredth of a mm is enough."""
    folder = make_job(JOB.format(tip="folded", print_="plain"))
    change, says = FAULTS[fault]
    layout = _layout(folder)
    change(layout)
    found = [words for code, words in _codes(folder, layout) if code == "wrong-strip"]
    assert any(says in words for words in found), found


@pytest.mark.parametrize(
    ("key", "value"),
    [("lie", "anyhow"), ("turn_deg", 45), ("shape", "kite"), ("top_mm", [0.0]), ("width_mm", -1)],
)
def test_a_strip_that_cannot_be_is_found_at_its_key(make_job: MakeJob, key: str, value: object) -> None:
    """The place is the key path."""
    folder = make_job(JOB.format(tip="folded", print_="plain"))
    layout = _layout(folder)
    layout["strips"][0][key] = value
    assert [code for code, _ in _codes(folder, layout)] == ["bad-layout"]
