"""Every format: the same strokes, the same bytes whenever and wherever they are written."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from cutfiles.formats.model.plan import CutPlan, LoadPlan, Stroke
from cutfiles.formats.model.style import DEFAULT_STYLE
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.registry import FORMATS, Audience
from cutfiles.geometry.outline import ring
from cutfiles.job.model.job import Calibration
from cutfiles.output.machine_files import file_notes, machine_files
from cutfiles.pipeline import Options, make, size
from cutfiles.toolpath.calibrate.calibrate import calibrated
from cutfiles.toolpath.split import split_plan
from tests.formats.plans import plan

ROOT = Path(__file__).parents[2]
NAMES = tuple(FORMATS)
SUFFIXES = [form.suffix for form in FORMATS.values()]
PIECES = [form.suffix for form in FORMATS.values() if form.audience is not Audience.MACHINE]
JOB = ROOT / "fixtures/jobs/one-square/job.toml"


def test_every_format_gives_a_file_a_load() -> None:
    """Under a name of its own, and no two formats give the same."""
    loads = (plan(), replace(plan(), name="load-02"))
    files = machine_files(CutPlan(loads, ()), NAMES)
    assert set(files) == {f"load-0{number}{suffix}" for number in (1, 2) for suffix in SUFFIXES}
    assert len({files[f"load-01{suffix}"] for suffix in SUFFIXES}) == len(FORMATS)


def sums() -> dict[str, str]:
    """What is written of a job, and of the plan with every kind of stroke, in every format; hashed."""
    files = make(size(JOB), Options(NAMES, processes=1)).files
    files = {**files, **{name: form.write(plan(), style=DEFAULT_STYLE) for name, form in FORMATS.items()}}
    return {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}


def test_another_process_writes_the_same_bytes() -> None:
    """Neither the order of sets nor the clock nor the place gets into any file."""
    code = "import json; from tests.formats.test_writers import sums; print(json.dumps(sums()))"
    run = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONHASHSEED": "77", "TZ": "Asia/Tokyo"},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    there, here = json.loads(run.stdout), sums()
    assert len(here) == 2 * len(FORMATS) + 2
    assert there == here


@pytest.mark.parametrize("name", FORMATS)
def test_an_earlier_load_leaves_no_trace(name: str) -> None:
    """What is kept between loads is what they have in common."""
    before = FORMATS[name].write(plan(), style=DEFAULT_STYLE)
    FORMATS[name].write(
        LoadPlan("load-02", 77, 88, plan().strokes[:3], outlines=plan().outlines[:1]), style=DEFAULT_STYLE
    )
    assert FORMATS[name].write(plan(), style=DEFAULT_STYLE) == before


def test_notes_are_of_the_formats_that_are_written() -> None:
    """A job without HP-GL isn't told of its limits."""
    far = Stroke(Tool.CUT, ring((5, 5), (900, 5), (5, 9)), "a")
    loads = CutPlan((LoadPlan("load-01", 1000, 500, (far,)), plan()), ())
    assert file_notes(loads, ("svg", "dxf")) == ()
    (note,) = file_notes(loads, ("svg", "hpgl"))
    assert note.startswith(
        "load-01: lines reach 900 mm (35.433 in); some plotters read HP-GL only to 819.17 mm"
    )


def test_what_a_machine_is_told_is_no_matter_for_formats_of_pieces() -> None:
    """Other formats come in the parts that are told; sewn-product DXF and PDF keep pieces at true size."""
    load = replace(plan(), outlines=tuple((s.piece_id, s.path) for s in plan().strokes_of(Tool.CUT)))
    whole = CutPlan((load,), ())
    told = calibrated(split_plan(whole), Calibration(1.01, 1.0, 0.5))
    plain = machine_files(whole, NAMES)
    files = machine_files(whole, NAMES, machine_plan=told)
    assert set(files) == {
        *(f"load-01{end}" for end in PIECES),
        *(f"load-01-{part}{end}" for part in ("draw", "cut") for end in SUFFIXES if end not in PIECES),
    }
    for end in PIECES:
        assert files[f"load-01{end}"] == plain[f"load-01{end}"]
    assert files["load-01-cut.svg"] != machine_files(split_plan(whole), ("svg",))["load-01-cut.svg"]
