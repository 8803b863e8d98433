"""The process that lays out, watched line by line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from cutfiles.page.desk import Desk
from cutfiles.page.processes.run import WORKER
from tests.cli.commands import SMALL
from tests.page.waiting import wait


def _told(tmp_path: Path) -> tuple[list[dict[str, Any]], Path]:
    job, out = tmp_path / "job.toml", tmp_path / "out"
    job.write_text(SMALL, encoding="utf-8")
    out.mkdir()
    command = [sys.executable, "-m", WORKER, str(job), str(tmp_path), str(out)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        lines = [json.loads(line) for line in process.stdout]
    return [line for line in lines if line["kind"] != "progress"], out


def test_a_layout_is_told_before_its_files_and_again_with_them(tmp_path: Path) -> None:
    """Nobody waits for files to see the first one; the best comes whole."""
    told, out = _told(tmp_path)
    assert [line["kind"] for line in told] == ["layout", "layout", "layout", "over"]
    assert [(line["name"], line["whole"]) for line in told[:-1]] == [
        ("first", False), ("first", True), ("best", True),
    ]  # fmt: skip
    early, first, best = (json.loads((out / line["shown"]).read_text(encoding="utf-8")) for line in told[:-1])
    assert early["loads"] == first["loads"]
    assert "check" not in early
    assert first["check"]["faults"] == best["check"]["faults"] == []
    for shown, name in ((first, "first"), (best, "best")):
        assert {file["name"] for file in shown["files"]} == {path.name for path in (out / name).iterdir()}


def test_what_never_gets_its_files_is_not_shown_for_good(
    client: TestClient, desk: Desk, monkeypatch: Any
) -> None:
    """A picture without files would promise what nobody can take away; it goes when the process dies."""
    monkeypatch.setattr("cutfiles.page.processes.run.WORKER", "tests.page.processes.half_worker")
    client.post("/lay-out", data={})
    run = desk.run
    assert run is not None
    wait(lambda: run.layouts > 0)
    shown = client.get("/").text
    assert "Found." in shown
    assert "being written and read back" in shown
    assert "All as a zip" not in shown
    assert client.get("/take/all.zip").status_code == 404
    run.stop()  # on which it dies
    wait(lambda: run.over)
    assert run.shown is None
    shown = client.get("/").text
    assert "it had found nothing yet" in shown
    assert "Found." not in shown
