"""A page served by the program itself, in a process of its own, and a browser to look at it."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator

import pytest

from tests.cli.commands import DEMO, ROOT


@pytest.fixture
def served() -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The address that the program prints first, and its process."""
    command = [sys.executable, "-m", "cutfiles", "page", str(DEMO), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT)
    assert process.stdout is not None
    yield process.stdout.readline().strip(), process
    if process.poll() is None:
        process.send_signal(signal.SIGINT)
    process.wait(20)
