"""A machine's own file: it gives what the job lacks, in its own unit, and errors in it name it."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutfiles.core.errors import JobError
from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import Calibration, Job, Register
from cutfiles.job.parse.read import read_job
from tests.cli.commands import cutfiles

PLATE = """
[plate]
blades = 20
blade_length = 120
inner_radius = 32
"""
NOTES = """
unit = "cm"

[mat]
width = 30
height = "40"
margin = "1/4 in"

[machine]
gap = 0.2
draw = ["sew"]
register = "ring"
smallest = "3 mm"
scale_x = 1.002

[layers]
draw = { name = "PEN" }
cut = { name = "KNIFE" }
"""


def job_of(folder: Path, job: str, notes: str | None = NOTES) -> Job:
    """Return a job that lies beside its machine's file."""
    (folder / "job.toml").write_text(job, encoding="utf-8")
    if notes is not None:
        (folder / "cutter.toml").write_text(notes, encoding="utf-8")
    return read_job(folder / "job.toml")


def test_what_the_job_lacks_comes_from_the_machines_file(tmp_path: Path) -> None:
    """In the file's own unit: 30 cm, not 30 mm; what neither says is the usual."""
    job = job_of(tmp_path, f'[job]\nunit = "mm"\nmachine = "cutter.toml"\n{PLATE}')
    assert (job.mat.width_mm, job.mat.height_mm, job.mat.margin_mm) == (300.0, 400.0, 6.35)
    assert (job.machine.gap_mm, job.machine.smallest_mm) == (2.0, 3.0)
    assert job.machine.draw == (Drawn.SEW,)
    assert job.machine.register is Register.RING
    assert job.machine.calibration == Calibration(scale_x=1.002)
    assert job.plate.blade_length_mm == 120.0
    assert (job.layers.draw.name, job.layers.register.name, job.layers.cut.name) == (
        "PEN",
        "REGISTER",
        "KNIFE",
    )


def test_the_jobs_own_keys_win_one_by_one(tmp_path: Path) -> None:
    """A key of the job takes the place of that key alone, in the job's unit."""
    machine = '[machine]\ngap = 1\ndraw = []\nscale_x = 1\nregister = "none"\n'
    own = f"[mat]\nwidth = 200\n{machine}[layers]\ncut = {{}}\n"
    job = job_of(tmp_path, f'[job]\nunit = "mm"\nmachine = "cutter.toml"\n{PLATE}{own}')
    assert (job.mat.width_mm, job.mat.height_mm) == (200.0, 400.0)
    assert (job.machine.gap_mm, job.machine.smallest_mm) == (1.0, 3.0)
    assert job.machine.draw == ()
    assert job.machine.register is Register.NONE
    assert job.machine.calibration == Calibration()
    assert (job.layers.draw.name, job.layers.cut.name) == ("PEN", "CUT")


def test_it_may_be_named_at_the_top(tmp_path: Path) -> None:
    """Where there is no [machine] table; [mat] still wins."""
    job = job_of(tmp_path, f'machine = "cutter.toml"\n[job]\nunit = "mm"\n{PLATE}[mat]\nwidth = 250\n')
    assert (job.mat.width_mm, job.mat.height_mm) == (250.0, 400.0)
    assert job.machine.gap_mm == 2.0


def test_without_a_unit_of_its_own_numbers_are_inches(tmp_path: Path) -> None:
    """As in a job file: what a job says of its unit holds for that job only."""
    job = job_of(tmp_path, f'[job]\nunit = "mm"\nmachine = "cutter.toml"\n{PLATE}', "[mat]\nwidth = 10\n")
    assert job.mat.width_mm == 254.0


def test_paths_start_at_the_job(tmp_path: Path) -> None:
    """Not at the folder where the command is run."""
    (tmp_path / "machines").mkdir()
    (tmp_path / "machines/cutter.toml").write_text(NOTES, encoding="utf-8")
    job = job_of(tmp_path, f'[job]\nmachine = "machines/cutter.toml"\nunit = "mm"\n{PLATE}', None)
    assert job.mat.width_mm == 300.0


@pytest.mark.parametrize(
    ("notes", "message"),
    [
        ("[machine]\ngap = -1\n", 'machine.gap: "-1 in" is below 0; a length of 0 or more is allowed'),
        ("[machine]\ngep = 1\n", 'machine.gep: unknown key "gep"; the nearest known one is gap'),
        ("[plate]\nblades = 3\n", "plate: has no place in a machine file; it may hold unit, "),
        ('unit = "ell"\n', 'unit: "ell" is not allowed; choose in, cm or mm'),
        ("mat = 5\n", "mat: 5 is not a table; write [mat]"),
        ("[mat]\nwidth = 3\nmargin = 2\n", "mat.margin: "),
        ('[layers]\ncut = { name = "a" }\n', 'layers.cut.name: "a" is not allowed; '),
        ("[mat]\nwidth = 4 1/2\n", "line 2: is not TOML: "),
        ("[machine]\nscale_y = 2\n", "machine.scale_y: 2 is not allowed; give a number from 0.9 to 1.1"),
        ('[machine]\ndraw = ["sew", "seam"]\n', 'machine.draw.2: "seam" is not allowed; choose'),
    ],
)
def test_an_error_in_it_names_it(tmp_path: Path, notes: str, message: str) -> None:
    """File and key, as for a job file."""
    with pytest.raises(JobError) as caught:
        job_of(tmp_path, f'[job]\nmachine = "cutter.toml"\n{PLATE}', notes)
    assert caught.value.file == str(tmp_path / "cutter.toml")
    assert str(caught.value).startswith(message)


def test_an_error_in_the_job_names_the_job(tmp_path: Path) -> None:
    """Also in a table that both have: the command puts the job's name first."""
    with pytest.raises(JobError) as caught:
        job_of(tmp_path, f'[job]\nmachine = "cutter.toml"\n{PLATE}[machine]\ngap = -1\n')
    assert caught.value.file == ""
    assert str(caught.value).startswith("machine.gap: -1 is below 0")


@pytest.mark.parametrize("name", ["no-such.toml", "."])
def test_a_file_that_cannot_be_read_is_the_jobs_fault(tmp_path: Path, name: str) -> None:
    """The key that names it, and what to give."""
    with pytest.raises(JobError, match="give the path of a machine file") as caught:
        job_of(tmp_path, f'[job]\nmachine = "{name}"\n{PLATE}', None)
    assert str(caught.value).startswith(f'job.machine: "{name}" can\'t be read (')
    assert caught.value.file == ""


@pytest.mark.parametrize(
    ("head", "message"),
    [
        ("[job]\nmachine = 5\n", "job.machine: 5 is no file"),
        ('machine = ""\n', 'machine: "" is no file'),
        ('machine = "a.toml"\n[job]\nmachine = "b.toml"\n', "machine: stands beside job.machine"),
    ],
)
def test_what_names_no_file_is_refused(tmp_path: Path, head: str, message: str) -> None:
    """A number, nothing, two files."""
    with pytest.raises(JobError) as caught:
        job_of(tmp_path, f"{head}{PLATE}", None)
    assert str(caught.value).startswith(message)


def test_the_command_names_the_machines_file(tmp_path: Path) -> None:
    """One line, exit status 2."""
    (tmp_path / "cutter.toml").write_text("[machine]\ngap = -1\n", encoding="utf-8")
    (tmp_path / "job.toml").write_text(f'[job]\nmachine = "cutter.toml"\n{PLATE}', encoding="utf-8")
    run = cutfiles("size", tmp_path / "job.toml")
    assert run.returncode == 2
    assert run.stderr == (
        f'{tmp_path / "cutter.toml"}: machine.gap: "-1 in" is below 0; a length of 0 or more is allowed\n'
    )
