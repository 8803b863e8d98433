"""Runs the command line: here, or as a user does in a process of its own."""

from __future__ import annotations

import gc
import hashlib
import io
import subprocess
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from cutfiles.cli.main import run

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "fixtures/jobs/harbour-runner/job.toml"
# Two blades end for end are all that the area of a piece allows, so the search has nothing to prove.
SMALL = """\
[plate]
blades = 20
sewn = 4
blade_length = "4 3/4"
inner_radius = "1 1/4"

[[fabric]]
name = "tide"
width = 4.5
length = 5
pieces = 2

[mat]
width = 12
height = 12
"""


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command printed, and its exit status."""

    returncode: int
    stdout: str
    stderr: str


def cutfiles(*words: str | Path, cwd: Path | None = None) -> Ran:
    """Run a command here, from the words to the exit status: loading everything anew would take longer."""
    words_before, thresholds = sys.argv, gc.get_threshold()
    out, err = io.StringIO(), io.StringIO()
    sys.argv = ["cutfiles", *map(str, words)]
    try:
        with (
            chdir(cwd or ROOT),
            redirect_stdout(out),
            redirect_stderr(err),
            pytest.raises(SystemExit) as left,
        ):
            run()
    finally:
        sys.argv = words_before
        gc.set_threshold(*thresholds)
    assert isinstance(left.value.code, int)
    return Ran(left.value.code, out.getvalue(), err.getvalue())


def cutfiles_process(*words: str | Path, cwd: Path | None = None) -> Ran:
    """Run a command as a user does: in a process of its own."""
    ran = subprocess.run(
        [sys.executable, "-m", "cutfiles", *map(str, words)],
        capture_output=True,
        text=True,
        cwd=cwd or ROOT,
        check=False,
    )
    return Ran(ran.returncode, ran.stdout, ran.stderr)


def sums_of(folder: Path) -> dict[str, str]:
    """Return a sum of each file in a folder, by its name."""
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}
