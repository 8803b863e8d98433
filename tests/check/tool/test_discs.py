"""Discs one above the other, cut with a trailing knife: it points along the next one when it comes there."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.check.tool.knife import TrailingKnife
from cutfiles.formats.registry import FORMATS
from cutfiles.geometry.outline import Circle
from tests.conftest import MakeJob

JOB = """
[plate]
count = 4
blade_length = "3 in"
inner_radius = "1 in"

[centre]

[[fabric]]
name = "tide"
width = 4
length = 16
cuts = {{ centre = 4 }}

[[fabric]]
name = "shingle"
width = 4
length = 4
cuts = {{ blade = "fill" }}

[mat]
width = 12
height = 18

[machine]
swivel = "2 mm"
{machine}
"""
MACHINES = (
    'hpgl_arcs = "arcs"',
    "",
    'gap = 0\nedge = "skip"',
    "scale_x = 1.01\nscale_y = 1.01",
    "skew_deg = 1",
)


def made(make_job: MakeJob, machine: str) -> Path:
    """Return a folder of files for a knife that trails by 2 mm."""
    return make_job(JOB.format(machine=machine), FORMATS)


# A path that goes once round, in two arcs, and ends where it began.
ROUND = re.compile(
    r'<path d="M(\S+) (\S+) A(\S+) \S+ \S+ \S+ \S+ (\S+) (\S+) A\S+ \S+ \S+ \S+ \S+ \1 \2" '
    r'id="(tide-centre-\d+)" />'
)


@pytest.mark.parametrize("machine", MACHINES)
def test_a_whole_circle_of_the_axis_is_a_smaller_disc(machine: str, make_job: MakeJob) -> None:
    """Every format's files are sound, also where the axis goes just once round."""
    out = made(make_job, machine)
    report = check_paths([out])
    assert [finding.line() for finding in report.findings] == []
    assert report.pieces == 6
    if "skew" not in machine:
        assert ROUND.search((out / "load-01.svg").read_text(encoding="utf-8"))


def test_a_circle_as_large_as_its_disc_is_none_for_a_knife(make_job: MakeJob) -> None:
    """The axis on the outline itself cuts a disc that is too small: 0.05 mm all round, and it is found."""
    out = made(make_job, "")
    svg = out / "load-01.svg"
    shapes = json.loads((out / "layout.json").read_text(encoding="utf-8"))["shapes"]
    radius = next(shape["cut"]["circle"][2] for shape in shapes if shape["name"] == "centre")
    text = svg.read_text(encoding="utf-8")
    circle = ROUND.search(text)
    assert circle is not None
    assert float(circle[3]) == pytest.approx(math.hypot(radius, 2.0), abs=1e-4)
    x, y = (float(circle[1]) + float(circle[4])) / 2, (float(circle[2]) + float(circle[5])) / 2
    disc = f'<circle cx="{x:.4f}" cy="{y:.4f}" r="{radius:.4f}" id="{circle[6]}" />'
    svg.write_text(text.replace(circle[0], disc), encoding="utf-8")
    findings = {(finding.code, finding.place) for finding in check_paths([svg]).findings}
    assert ("wrong-shape", circle[6]) in findings


def test_the_tip_goes_round_on_the_leg_of_a_right_angle() -> None:
    """By Pythagoras, from what the axis goes round on and how far the tip trails; a tiny one isn't known."""
    assert TrailingKnife(5.0).round(Circle(1, 2, 13)) == Circle(1, 2, 12)
    assert TrailingKnife(13.0).round(Circle(1, 2, 5)) == Circle(1, 2, 5)
