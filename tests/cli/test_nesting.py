"""A long search from outside: Ctrl-C at known moments, and the bar on a terminal."""

from __future__ import annotations

import os
import pty
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutfiles.cli.nesting import stopped_by_ctrl_c
from cutfiles.nest.base.clock import Clock
from tests.cli.commands import DEMO, ROOT, SMALL, cutfiles, sums_of


@pytest.fixture(autouse=True)
def _hears_ctrl_c() -> Iterator[None]:
    """Run in the background of a shell, tests and what they start would be deaf to Ctrl-C."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture(name="searching")
def _searching(job: Path, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[subprocess.Popen[str]]:
    """A `make` of the small job, caught in its search."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.cli.held_nest", "make", str(job), "--out", str(tmp_path / "cut")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ, "HELD": getattr(request, "param", "")},
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "searching\n"
    yield process
    process.kill()
    process.communicate()


def test_ctrl_c_in_the_search_writes_the_best_so_far_and_says_so(
    searching: subprocess.Popen[str], tmp_path: Path
) -> None:
    """The job is met, so it is a layout like any other, with a note."""
    searching.send_signal(signal.SIGINT)
    out, err = searching.communicate(timeout=60)
    assert searching.returncode == 0
    assert err == "note: the search was stopped by hand: left to its end, a fabric may give more pieces\n"
    assert "tide: 4 × blade (no more can fit)" in out
    checked = cutfiles("check", tmp_path / "cut")
    assert (checked.returncode, checked.stderr) == (0, "")


def test_ctrl_c_with_too_little_found_is_one_line_and_writes_nothing(
    searching: subprocess.Popen[str], job: Path, tmp_path: Path
) -> None:
    """The usual line of what is short, which says besides that the search was stopped."""
    searching.kill()
    job.write_text(SMALL.replace("sewn = 4", "sewn = 20"))
    second = subprocess.Popen(
        [sys.executable, "-m", "tests.cli.held_nest", "make", str(job), "--out", str(tmp_path / "cut")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert second.stdout is not None
    assert second.stdout.readline() == "searching\n"
    second.send_signal(signal.SIGINT)
    out, err = second.communicate(timeout=60)
    assert (second.returncode, out, err.count("\n")) == (2, "", 1)
    assert err.startswith(f"{job}: 20 blades still to be cut, 4 were found to fit so far (tide 4)")
    assert err.endswith("the search was stopped by hand, so more may fit\n")
    assert not (tmp_path / "cut").exists()


@pytest.mark.parametrize("searching", ["deaf"], indirect=True)
def test_a_second_ctrl_c_stops_at_once(searching: subprocess.Popen[str], tmp_path: Path) -> None:
    """A search that doesn't listen doesn't hold anybody up."""
    searching.send_signal(signal.SIGINT)
    time.sleep(0.3)
    assert searching.poll() is None
    searching.send_signal(signal.SIGINT)
    out, err = searching.communicate(timeout=60)
    assert (searching.returncode, out) == (130, "")
    assert err.strip() == "stopped; no file is half written"
    assert not (tmp_path / "cut").exists()


def test_ctrl_c_at_any_time_leaves_whole_files(job: Path, tmp_path: Path) -> None:
    """The old ones or the new ones, as the exit status says; and nothing of ours beside them."""
    out = tmp_path / "cut"
    cutfiles("make", job, "--out", out)
    before = sums_of(out)
    for wait_s in (0.3, 0.8):
        process = subprocess.Popen(
            [sys.executable, "-m", "cutfiles", "make", str(DEMO), "--out", str(out), "--files", "svg"],
            stderr=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            cwd=ROOT,
        )
        time.sleep(wait_s)
        process.send_signal(signal.SIGINT)
        process.wait(timeout=60)
        if process.returncode == 0:
            assert cutfiles("check", out).returncode == 0
            cutfiles("make", job, "--out", out)
        assert sums_of(out) == before
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".cutfiles")] == []


def test_outside_the_search_ctrl_c_is_what_it_was() -> None:
    """The handler goes when the search is over, also when it ends in an error, and a deaf run stays deaf."""
    usual = signal.getsignal(signal.SIGINT)

    def fails() -> None:
        with stopped_by_ctrl_c(Clock()):
            assert signal.getsignal(signal.SIGINT) is not usual
            raise ValueError("in the search")

    with pytest.raises(ValueError, match="in the search"):
        fails()
    assert signal.getsignal(signal.SIGINT) is usual
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with stopped_by_ctrl_c(Clock()):
            assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, usual)


def _on_a_terminal(*words: str | Path) -> str:
    """Return what a run writes to stderr where that is a terminal."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "cutfiles", *map(str, words)],
        stdout=subprocess.DEVNULL,
        stderr=theirs,
        cwd=ROOT,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "100"},
    )
    os.close(theirs)
    parts = []
    try:
        while part := os.read(ours, 4096):
            parts.append(part)
    except OSError:
        pass  # how a terminal ends on Linux
    os.close(ours)
    assert process.wait(timeout=60) == 0
    return b"".join(parts).decode()


def test_the_bar_shows_the_fabric_and_what_is_left(tmp_path: Path) -> None:
    """On a terminal; it ends full, however soon the end comes."""
    job = tmp_path / "two.toml"
    fabric = SMALL[SMALL.index("[[fabric]]") : SMALL.index("[mat]")]
    job.write_text(SMALL.replace("sewn = 4", "sewn = 8") + fabric.replace("tide", "shingle"))
    text = _on_a_terminal("make", job, "--out", tmp_path / "cut", "--files", "svg")
    seen = re.findall(r"([a-z]+)(?: \d+)?, (\d+) of 8 pieces and (\d) fabrics? left", text)
    assert [name for name, _, _ in seen] == sorted((name for name, _, _ in seen), reverse=True)
    assert {name for name, _, _ in seen} == {"tide", "shingle"}
    for left in ([int(pieces) for _, pieces, _ in seen], [int(fabrics) for _, _, fabrics in seen]):
        assert left == sorted(left, reverse=True)
    assert seen[0][1:] == ("8", "2")
    assert text.rstrip().removesuffix("\x1b[?25h").rstrip().endswith("shingle, all placed")
