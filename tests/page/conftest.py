"""A page and who looks at it: a desk with a client beside it, or the program in a process of its own."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from cutfiles.page.desk import Desk
from cutfiles.page.server.app import guarded_app
from tests.cli.commands import DEMO, ROOT, SMALL

PORT = 8765
HOME = f"http://127.0.0.1:{PORT}"


Served = tuple[str, "subprocess.Popen[str]"]
Serve = Callable[[str], Served]


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Give a job to the program; the address that it prints first, and its process."""
    processes: list[subprocess.Popen[str]] = []

    def serve(text: str) -> Served:
        job = tmp_path / "job.toml"  # what is given on the page is kept beside it
        job.write_text(text, encoding="utf-8")
        command = [sys.executable, "-m", "cutfiles", "page", str(job), "--no-browser"]
        process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT
        )
        processes.append(process)
        assert process.stdout is not None
        return process.stdout.readline().strip(), process

    yield serve
    for process in processes:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.wait(20)


@pytest.fixture
def served(serve: Serve) -> Served:
    """The demo, given to the program."""
    return serve(DEMO.read_text(encoding="utf-8"))


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """What a page works on: the small job, in a folder of its own."""
    job = tmp_path / "small.toml"
    job.write_text(SMALL, encoding="utf-8")
    desk = Desk.begin(job)
    yield desk
    desk.close()


@pytest.fixture
def client(desk: Desk) -> TestClient:
    """A browser's part, let in by the desk's token."""
    client = TestClient(guarded_app(desk, PORT), base_url=HOME, headers={"Origin": HOME})
    client.get(f"/begin?token={desk.token}")
    return client
