"""Files as our own writers make them have no fault, and what is broken in them is found."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.formats.registry import FORMATS
from tests.conftest import MakeJob

JOB = """
[plate]
count = 1
blades = {blades}
blade_length = "4 3/4"
inner_radius = "1 1/4"
seam = "1/4"
tip = "{tip}"

[centre]

[[fabric]]
name = "tide"
width = 5
length = 5
pieces = 2
margin = "1/8"
cuts = {{ blade = "fill" }}

[[fabric]]
name = "shingle"
width = 9
length = 7
print = "{print_}"
grain = "{grain}"
face = "{face}"
cuts = {{ centre = 1, pennant = 2, blade = "fill" }}

[[outline]]
name = "pennant"
points = [[0, 0], [2.7, 0.31], [0.43, 1.9]]
count = 2
seam = "1/4"

[mat]
width = 12
height = 12
margin = "1/4"

[machine]
gap = "{gap}"
draw = ["sew", "fold", "label", "grain", "notch"]
register = "{register}"
hpgl_arcs = "{arcs}"

[layers]
draw = {{ name = "{pen}" }}
"""
USUAL = {
    "blades": "20",
    "tip": "folded",
    "print_": "two-way",
    "grain": "lengthwise",
    "face": "wrong side up",
    "gap": "1/16",
    "register": "cross",
    "arcs": "chords",
    "pen": "DRAW",
}
KINDS = {
    "usual": {},
    "round tips": {"tip": "round", "register": "ring", "grain": "any", "print_": "plain", "arcs": "arcs"},
    "flat tips, few blades": {"tip": "flat", "blades": "8", "face": "right side up", "register": "none"},
    "no gap": {"gap": "0", "grain": "crosswise", "print_": "one-way", "arcs": "arcs", "pen": "PEN"},
}


def _made(make_job: MakeJob, kind: str) -> Path:
    return make_job(JOB.format(**{**USUAL, **KINDS[kind]}), FORMATS)


@pytest.mark.parametrize("kind", KINDS)
def test_files_of_our_own_writers_have_no_fault(make_job: MakeJob, kind: str) -> None:
    """Whatever the tips, the print, the side that faces up and the gap."""
    out = _made(make_job, kind)
    report = check_paths([out])
    assert [finding.line() for finding in report.findings] == []
    assert report.files >= 2
    assert report.pieces >= 3
    for path in (*out.glob("*.svg"), *out.glob("*.dxf"), *out.glob("*.plt"), *out.glob("*.pdf")):
        assert check_paths([path]).findings == ()


def test_a_number_changed_in_our_own_files_is_found(make_job: MakeJob) -> None:
    """By the sum, and for what it is."""
    out = _made(make_job, "usual")
    svg = out / "load-01.svg"
    text = svg.read_text(encoding="utf-8")
    before, after = text.split('points="', 1)[0], text.split("<polygon", 1)[1]
    start = after.index('points="') + len('points="')
    x, rest = after[start:].split(",", 1)
    changed = text.replace(after, f"{after[:start]}{float(x) + 0.01:.4f},{rest}")
    assert before != changed != text
    svg.write_text(changed, encoding="utf-8")
    codes = {finding.code for finding in check_paths([svg]).findings}
    # What was drawn up to the old edge may now end beyond it, and the corner lie nearer to the next piece.
    may = {"stray-mark", "too-near"}
    assert {"changed-file", "wrong-shape"} <= codes <= {"changed-file", "wrong-shape"} | may
