"""`make` from outside: what it writes, and what it leaves alone."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.cli.commands import SMALL, cutfiles, cutfiles_process, sums_of
from tests.conftest import MakeJob


def test_make_writes_the_promised_files(job: Path, tmp_path: Path) -> None:
    """And `check` finds no fault in them."""
    out = tmp_path / "a" / "cut"
    run = cutfiles_process("make", job, "--out", out)
    assert (run.returncode, run.stderr) == (0, "")
    assert sorted(path.name for path in out.iterdir()) == [
        "job-sheet.html",
        "layout.json",
        "load-01.dxf",
        "load-01.svg",
    ]
    assert "tide: 4 × blade (no more can fit) from 2 of 2 pieces, " in run.stdout
    checked = cutfiles_process("check", out)
    assert (checked.returncode, checked.stderr) == (0, "")


def test_make_json_is_the_layout_and_nothing_else(job: Path, tmp_path: Path) -> None:
    """One object on stdout, equal to the file."""
    run = cutfiles("make", job, "--out", tmp_path / "cut", "--json", "--files", "svg")
    assert json.loads(run.stdout) == json.loads((tmp_path / "cut" / "layout.json").read_text())
    assert not (tmp_path / "cut" / "load-01.dxf").exists()


def test_the_same_job_gives_the_same_bytes(job: Path, tmp_path: Path) -> None:
    """In another process with another hash seed."""
    cutfiles("make", job, "--out", tmp_path / "one")
    os.environ["PYTHONHASHSEED"] = "7"
    try:
        cutfiles_process("make", job, "--out", tmp_path / "two")
    finally:
        del os.environ["PYTHONHASHSEED"]
    assert sums_of(tmp_path / "one") == sums_of(tmp_path / "two")


def test_a_second_run_replaces_our_own_files(job: Path, make_job: MakeJob) -> None:
    """Files of formats no longer wanted go; a note of the user's stays."""
    out = make_job(SMALL)
    (out / "my-notes.txt").write_text("mine")
    run = cutfiles("make", job, "--out", out, "--files", "dxf")
    assert run.returncode == 0
    assert sorted(path.name for path in out.iterdir()) == [
        "job-sheet.html",
        "layout.json",
        "load-01.dxf",
        "my-notes.txt",
    ]


@pytest.mark.parametrize("name", ["load-01.svg", "layout.json", "job-sheet.html"])
def test_a_foreign_file_is_never_overwritten(job: Path, tmp_path: Path, name: str) -> None:
    """Nor is anything else written beside it."""
    out = tmp_path / "cut"
    out.mkdir()
    (out / name).write_text("mine")
    run = cutfiles("make", job, "--out", out)
    assert run.returncode == 2
    assert "was not written by cutfiles" in run.stderr
    assert run.stderr.count("\n") == 1
    assert {path.name: path.read_text() for path in out.iterdir()} == {name: "mine"}


def test_a_file_of_ours_that_was_changed_is_kept(job: Path, make_job: MakeJob) -> None:
    """Someone may have worked on it."""
    out = make_job(SMALL)
    with (out / "load-01.svg").open("a") as file:
        file.write("<!-- mine -->")
    before = sums_of(out)
    assert cutfiles("make", job, "--out", out).returncode == 2
    assert sums_of(out) == before


def test_a_job_that_cannot_be_met_leaves_what_was_there(job: Path, make_job: MakeJob) -> None:
    """One line, status 2, the earlier run's files untouched."""
    out = make_job(SMALL)
    before = sums_of(out)
    job.write_text(SMALL.replace("sewn = 4", "sewn = 20"))
    run = cutfiles("make", job, "--out", out)
    assert (run.returncode, run.stdout, run.stderr.count("\n")) == (2, "", 1)
    assert sums_of(out) == before
