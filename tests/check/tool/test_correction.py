"""Files for a machine that is not true are known for what they mean; a calibration sheet is measured."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.check.layout.correction import Correction
from cutfiles.check.tool.as_meant import as_meant
from cutfiles.formats.model.drawing import Capabilities, Drawing, Item, Layer
from cutfiles.formats.registry import FORMATS, Audience
from cutfiles.geometry.outline import Circle
from tests.check.drawings import codes_of
from tests.conftest import MakeJob

JOB = """
[plate]
blades = 20
sewn = 4
tip = "round"
blade_length = "4 3/4"
inner_radius = "1 1/4"

[centre]

[[fabric]]
name = "tide"
width = 5
length = 5
pieces = 3

[mat]
width = 12
height = 12

[machine]
"""
STRAYING = {
    "one scale": "scale_x = 1.003\nscale_y = 1.003",
    "two scales and skew": "scale_x = 0.997\nscale_y = 1.0021\nskew_deg = -0.21",
}


# A load in every format, a calibration sheet in those that a machine runs.
FILES = len(FORMATS) + sum(kind.audience is Audience.MACHINE for kind in FORMATS.values())


def made(make_job: MakeJob, machine: str) -> Path:
    """Return the folder of a job for a machine, with a calibration sheet."""
    return make_job(JOB + machine, FORMATS, calibrate=True)


@pytest.mark.parametrize("machine", STRAYING)
def test_corrected_files_have_no_fault(make_job: MakeJob, machine: str) -> None:
    """Nor has their calibration sheet; each alone neither, as long as layout.json lies beside it."""
    out = made(make_job, STRAYING[machine])
    report = check_paths([out])
    assert [finding.line() for finding in report.findings] == []
    assert (report.files, report.pieces) == (FILES, 5)
    # All there is to say of it is that R12 holds no unit.
    assert all("R12" in note for note in report.notes if "calibration" in note)
    machine_files = [*out.glob("load-*"), *out.glob("calibration.*")]
    assert len(machine_files) == FILES
    for file in machine_files:
        assert codes_of(file) == set()


def test_scales_change_the_files_and_nothing_of_the_layout(make_job: MakeJob) -> None:
    """Two machines that stray each in its way cut and draw the same load."""
    layouts, files = [], []
    for machine in ("", *STRAYING.values()):
        out = made(make_job, machine)
        layout = json.loads((out / "layout.json").read_text(encoding="utf-8"))
        layouts.append({key: layout[key] for key in ("sizes", "mat", "shapes", "loads", "fabrics", "notes")})
        files.append((out / "load-01.svg").read_bytes())
    assert layouts[0] == layouts[1] == layouts[2]
    assert len(set(files)) == 3


@pytest.mark.parametrize("machine", STRAYING)
def test_taken_for_a_true_machines_they_have(make_job: MakeJob, machine: str) -> None:
    """Without the scales in layout.json nothing is where it should be, and no square measures right."""
    out = made(make_job, STRAYING[machine])
    layout = json.loads((out / "layout.json").read_text(encoding="utf-8"))
    for key in ("scale_x", "scale_y", "skew_deg"):
        del layout["machine"][key]
    (out / "layout.json").write_text(json.dumps(layout), encoding="utf-8")
    assert ("wrong-scale" if machine == "one scale" else "wrong-shape") in codes_of(out / "load-01.svg")
    assert codes_of(out / "calibration.svg") == {"true-size"}


def _further(number: re.Match[str]) -> str:
    return f"{number[1]}{float(number[2]) + 0.01:.4f}"


Change = Callable[[str], str]
SHEET: dict[str, tuple[str, Change]] = {
    "a corner a hundredth off": (
        "true-size",
        lambda text: re.sub(r'(square-50-mm" points=")([\d.]+)', _further, text, count=1),
    ),
    "a square too few": ("missing-piece", lambda text: text[: text.rindex("<polygon")] + "</g></svg>"),
    "a square too many": (
        "true-size",
        lambda text: text.replace("</g></svg>", '<polygon points="10,10 60,10 60,60 10,60" /></g></svg>'),
    ),
    "no marks": (
        "missing-register",
        lambda text: (
            text[: text.index('<g fill="none" id="register"')] + text[text.index('<g fill="none" id="cut"') :]
        ),
    ),
}


@pytest.mark.parametrize("fault", SHEET)
def test_a_wrong_calibration_sheet_is_found(make_job: MakeJob, fault: str) -> None:
    """What is measured by must itself be right."""
    out = made(make_job, "")
    path = out / "calibration.svg"
    code, change = SHEET[fault]
    good = path.read_text(encoding="utf-8")
    path.write_text(change(good), encoding="utf-8")
    assert good != change(good)
    assert codes_of(path) == {"changed-file", code}


@pytest.mark.parametrize(("key", "value"), [("scale_x", 0), ("scale_y", -1), ("skew_deg", 60)])
def test_a_layout_of_no_sense_is_said(make_job: MakeJob, key: str, value: float) -> None:
    """Nothing can be divided by 0, and no machine leans by 60 degrees."""
    out = made(make_job, "")
    layout = json.loads((out / "layout.json").read_text(encoding="utf-8"))
    layout["machine"][key] = value
    (out / "layout.json").write_text(json.dumps(layout), encoding="utf-8")
    findings = check_paths([out]).findings
    assert ("bad-layout", f"machine.{key}") in {(finding.code, finding.place) for finding in findings}


def test_one_scale_leaves_arcs() -> None:
    """A circle of the file is a circle on the mat, smaller by the scale."""
    drawing = Drawing(
        None, None, (Item(Layer.CUT, "cut", Circle(10.0, 20.0, 5.0), None, "1"),), Capabilities("any")
    )
    assert as_meant(drawing, Correction()) is drawing
    assert as_meant(drawing, Correction(1.25, 1.25)).items[0].path == Circle(8.0, 16.0, 4.0)
