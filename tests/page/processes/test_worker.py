"""The process that lays out, watched line by line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from cutfiles.job.parse.read import parse_job
from cutfiles.page.desk import Desk
from cutfiles.page.processes.run import WORKER
from cutfiles.pipeline import make
from tests.cli.commands import SMALL
from tests.page.waiting import wait

# The worker, with a search that is told before it begins.
_WATCHED = f"""
import sys
from pathlib import Path
import {WORKER} as worker
def watched(sized, options, make=worker.make):
    worker.tell("search", limit=options.time_s)
    return make(sized, options)
worker.make = watched
worker._HURRIES_S = worker._HURRIES_S if sys.argv[4] == "usual" else (float(sys.argv[4]),)
worker.end(worker.main(*map(Path, sys.argv[1:4])))
"""


def _told(tmp_path: Path, text: str, hurry: str = "usual") -> tuple[list[dict[str, Any]], Path]:
    job, out = tmp_path / "job.toml", tmp_path / "out"
    job.write_text(text, encoding="utf-8")
    out.mkdir()
    command = [sys.executable, "-c", _WATCHED, str(job), str(tmp_path), str(out), hurry]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        lines = [json.loads(line) for line in process.stdout]
    return [line for line in lines if line["kind"] != "progress"], out


def _files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_layout_is_told_before_its_files_and_again_with_them(tmp_path: Path) -> None:
    """Nobody waits for files to see the first one; the best, if there was more to search, comes whole."""
    told, out = _told(tmp_path, SMALL, "0.001")
    assert [line["kind"] for line in told] == ["search", "layout", "layout", "search", "layout", "over"]
    layouts = [line for line in told if line["kind"] == "layout"]
    assert [(line["name"], line["whole"]) for line in layouts] == [
        ("first", False), ("first", True), ("best", True),
    ]  # fmt: skip
    early, first, best = (json.loads((out / line["shown"]).read_text(encoding="utf-8")) for line in layouts)
    assert early["loads"] == first["loads"]
    assert "check" not in early
    assert first["check"]["faults"] == best["check"]["faults"] == []
    for shown, name in ((first, "first"), (best, "best")):
        assert {file["name"] for file in shown["files"]} == {path.name for path in (out / name).iterdir()}
    assert _files(out / "best") == make(parse_job(SMALL)).files


def test_what_was_found_with_time_left_is_not_searched_again(tmp_path: Path) -> None:
    """It is the best: with no limit the same is found, file by file; it is called final where it is told."""
    told, out = _told(tmp_path, SMALL, "60")
    assert [line["kind"] for line in told] == ["search", "layout", "layout", "over"]
    assert [(line["name"], line["whole"]) for line in told[1:3]] == [("best", False), ("best", True)]
    early, whole = (json.loads((out / line["shown"]).read_text(encoding="utf-8")) for line in told[1:3])
    assert early["summary"] == whole["summary"] == "4 pieces on 1 mat load, proven fewest."
    assert _files(out / "best") == make(parse_job(SMALL)).files


def test_that_there_is_too_little_is_told_after_one_search(tmp_path: Path) -> None:
    """What a search that came to its end didn't find, one with more time doesn't find either."""
    told, _ = _told(tmp_path, SMALL.replace("pieces = 2", "pieces = 1"), "60")
    assert [line["kind"] for line in told] == ["search", "failed", "over"]
    assert "blade" in told[1]["says"]


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
