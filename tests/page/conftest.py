"""A page served by the program itself, in a process of its own, and a browser to look at it."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.commands import DEMO, ROOT


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The address that the program prints first, and its process."""
    job = tmp_path / "job.toml"  # what is given on the page is kept beside it
    job.write_bytes(DEMO.read_bytes())
    command = [sys.executable, "-m", "cutfiles", "page", str(job), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT)
    assert process.stdout is not None
    yield process.stdout.readline().strip(), process
    if process.poll() is None:
        process.send_signal(signal.SIGINT)
    process.wait(20)
