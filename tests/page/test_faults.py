"""What may go wrong while the page works: a disk that fills up, job after job, a worker that says nothing."""

from __future__ import annotations

import gc
import os
import resource
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from starlette.testclient import TestClient

from cutfiles.page.desk import Desk
from cutfiles.page.processes.run import LayoutRun
from tests.page.waiting import wait

_JOBS = 10


def _wait(desk: Desk) -> LayoutRun:
    wait(lambda: not desk.is_laying_out)
    assert desk.run is not None
    return desk.run


@contextmanager
def _small_files(most: int) -> Iterator[None]:
    """Processes that are started meanwhile can write no larger file: as if the disk were full."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_disk_that_fills_up_in_the_middle_is_told(client: TestClient, desk: Desk) -> None:
    """No half of a job is given away, the job on the desk stays, and with room again it is made."""
    with _small_files(20_000):
        client.post("/lay-out", data={})
    run = _wait(desk)
    assert "refused" in run.failed
    assert run.folder is None
    shown = client.get("/").text
    assert "refused" in shown
    assert "All as a zip" not in shown
    assert client.get("/take/all.zip").status_code == 404
    client.post("/lay-out", data={})
    assert _wait(desk).failed == ""
    assert client.get("/take/all.zip").status_code == 200


def test_job_after_job_leaves_nothing_behind(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No thread, no open file, no folder and no run but the last, after ten as after three."""
    monkeypatch.setattr("cutfiles.page.processes.run.WORKER", "tests.page.processes.quick_worker")
    counts = []
    for number in range(_JOBS):
        client.post("/set", data={"at": "job.title", "value": f"Job {number}"})
        client.post("/lay-out", data={})
        assert _wait(desk).failed == ""
        assert client.get("/take/all.zip").status_code == 200
        if number not in (2, _JOBS - 1):
            continue
        time.sleep(0.1)  # threads that watched the process see its end
        gc.collect()
        runs = sum(isinstance(thing, LayoutRun) for thing in gc.get_objects())
        folders = len(list(desk.home.iterdir()))
        counts.append((runs, folders, threading.active_count(), len(os.listdir("/proc/self/fd"))))
    assert counts[0] == counts[1]


def test_a_worker_that_ends_without_a_word_is_told(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such as one that the system ended for want of memory."""
    monkeypatch.setattr("cutfiles.page.processes.run.WORKER", "tests.page.processes.alive")  # says nothing
    client.post("/lay-out", data={})
    assert "it had found nothing yet" in _wait(desk).failed
    assert "Lay out again" in client.get("/").text
