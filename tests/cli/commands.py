"""Runs the command line as a user does: in a process of its own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

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


def cutfiles(*words: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Return what a run printed and its exit status."""
    return subprocess.run(
        [sys.executable, "-m", "cutfiles", *map(str, words)],
        capture_output=True,
        text=True,
        cwd=cwd or ROOT,
        check=False,
    )
