"""The steps of the job sheet: each load and its files, one machine or two, paper, calibration."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from cutfiles.formats.model.style import LayerSpec, LayersSpec
from cutfiles.job.model.job import Calibration, Job
from cutfiles.sheet.html import job_sheet
from tests.sheet.jobs import ACROSS, HARBOUR, PLAIN_FAN, sheet_of


@pytest.mark.parametrize("job", [HARBOUR, PLAIN_FAN, ACROSS], ids=lambda job: job.title)
def test_each_load_names_its_files_and_counts_its_pieces(job: Job) -> None:
    """All files of the load and of no other; the counts are those of the layout."""
    sheet = sheet_of(job)
    for number, load in enumerate(sheet.layout.loads, start=1):
        words = sheet.section(f"Load {number} of")
        assert set(re.findall(r"load-\d\d\.\w+", words)) == {f"{load.name}.{kind}" for kind in job.files}
        counted = [
            int(count) for count in re.findall(r"(\d+) (?:blades?|centres?|×)", words.split("count:")[1])
        ]
        assert sum(counted) == sum(len(laid.placements) for laid in load.fabrics)


def test_without_a_pen_no_step_speaks_of_one() -> None:
    """Only the knife is put in."""
    words = sheet_of(PLAIN_FAN).section("Load 1 of")
    assert "Put the knife in." in words
    assert "Run cut (group “cut” in the SVG)." in words
    assert "Put the pen" not in words
    assert "Run draw" not in words
    assert "register" not in words


def test_with_a_pen_the_steps_run_draw_then_register_then_cut() -> None:
    """In the order in which the machine's tools run."""
    words = sheet_of(HARBOUR).section("Load 1 of")
    order = ["Put the pen in", "Run draw", "Run register", "Change the pen for the knife", "Run cut"]
    places = [words.index(step) for step in order]
    assert places == sorted(places)


def test_each_format_is_opened_in_its_own_way() -> None:
    """Layers by the names that the job gives them, pens in HP-GL, a unit for R12; patterns for no machine."""
    own = LayersSpec(draw=LayerSpec("PEN", "#000000"), cut=LayerSpec("KNIFE", "#FF0000"))
    plain = sheet_of(HARBOUR)
    files = tuple(f"load-01.{end}" for end in ("svg", "dxf", "r12.dxf", "plt", "sewn.dxf", "pdf"))
    page = job_sheet(replace(HARBOUR, layers=own), plain.plate, plain.layout, plain.plan, files=files)
    words = replace(plain, bytes_=page).section("Load 1 of")
    assert "Open load-01.svg or load-01.dxf or load-01.r12.dxf or load-01.plt at true size" in words
    assert "R12 holds no unit: answer millimetres" in words
    assert "In HP-GL pen 1 draws, lines and marks in one go, and pen 2 cuts." in words
    assert "Run draw (group “draw” in the SVG, layer “PEN” in the DXF, pen 1 in the HP-GL)" in words
    assert "Run cut (group “cut” in the SVG, layer “KNIFE” in the DXF, pen 2 in the HP-GL)" in words
    assert "not for the machine: load-01.sewn.dxf" in " ".join(words.split())
    assert "To print on paper, at 100 % (“actual size”), and to measure before use: load-01.pdf" in words


def test_without_a_machine_the_steps_are_those_of_paper() -> None:
    """Printed, measured, joined, laid over the fabric and cut by hand; nobody puts a pen in."""
    plain = sheet_of(HARBOUR)
    page = job_sheet(HARBOUR, plain.plate, plain.layout, plain.plan, files=("load-01.pdf",))
    words = replace(plain, bytes_=page).section("Load 1 of")
    assert "Print load-01.pdf at 100 %" in words
    assert "both squares on it measure right" in words
    assert "cut along the solid outlines" in words
    assert "Put the" not in words
    only = job_sheet(HARBOUR, plain.plate, plain.layout, plain.plan, files=("load-01.svg",))
    words = replace(plain, bytes_=only).section("Load 1 of")
    assert not any(word in words for word in ("HP-GL", "R12", "DXF", "not for the machine"))


def test_on_two_machines_each_gets_its_file_and_the_marks_are_not_cut() -> None:
    """The pen's file and its steps first, then the mat is carried over and laid by its marks."""
    split = replace(HARBOUR, split=True)
    plain = sheet_of(HARBOUR)
    files = tuple(f"load-01-{part}.{kind}" for part in ("draw", "cut") for kind in ("svg", "dxf"))
    page = job_sheet(split, plain.plate, plain.layout, plain.plan, files=files)
    words = replace(plain, bytes_=page).section("Load 1 of")
    order = [
        "Open load-01-draw.svg or load-01-draw.dxf at true size",
        "Run draw",
        "Run register",
        "Carry the mat",
        "Open load-01-cut.svg or load-01-cut.dxf at true size",
        "Don't cut the marks",
        "Run cut",
    ]
    places = [words.index(step) for step in order]
    assert places == sorted(places)


def test_a_calibration_sheet_comes_with_what_it_must_measure() -> None:
    """The marks lie 4 mm inside the reach: 12 − 2·1/4 in less 8 mm are 284.1 mm, along the mat 588.9 mm."""
    plain = sheet_of(HARBOUR)
    assert plain.section("Calibration") == ""
    files = (*plain.files, "calibration.svg")
    page = job_sheet(HARBOUR, plain.plate, plain.layout, plain.plan, files=files)
    words = replace(plain, bytes_=page).section("Calibration")
    for length in ("284.1 mm (11.185 in)", "588.9 mm", "653.85 mm", "50 mm (1.969 in)", "25.4 mm (1 in)"):
        assert length in words
    assert "corrected" not in words


def test_a_machines_scale_changes_no_size_on_the_sheet() -> None:
    """It is told in a section of its own; every other section is as it was."""
    machine = replace(HARBOUR.machine, calibration=Calibration(1.0039, 0.998, 0.281))
    plain, told = sheet_of(HARBOUR), sheet_of(replace(HARBOUR, machine=machine))
    assert "x × 1.0039, y × 0.998, skew 0.281°" in told.section("Calibration")
    assert told.text.replace(told.section("Calibration"), "").split() == plain.text.split()


def test_where_fabric_is_laid_is_drawn_before_it_lies_there() -> None:
    """The first step of all, named as each kind of file has it; none of it where nobody asked."""
    placed = replace(PLAIN_FAN, machine=replace(PLAIN_FAN.machine, place=True))
    for job, there in ((placed, True), (PLAIN_FAN, False)):
        words = sheet_of(job).section("Load 1 of")
        assert ("run place alone (group “place” in the SVG" in words) == there
    words = sheet_of(placed).section("Load 1 of")
    assert words.index("run place alone") < words.index("on the mat as in the picture")
