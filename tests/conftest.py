"""Jobs that several tests need are made once a session, also where several workers share the tests."""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

from cutfiles.nest.base.clock import Clock, Effort

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# A time limit on single examples fails on a busy machine for no fault of ours. Where a property needs more or
# fewer examples than usual, its test says so.
settings.register_profile(
    "cutfiles",
    deadline=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("cutfiles")

# Commands are run in dozens of processes: they need not compile the package anew, whatever is usual here.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
MakeJob = Callable[..., Path]
_LONGEST_S = 300.0  # a worker that is making a job takes no longer, or it has died


def browser_path() -> str | None:
    """Return where a Chromium is, None if there is none."""
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


@pytest.fixture(name="browser", scope="module")
def _browser() -> Iterator[Browser]:
    """The Chromium of this computer, one for all tests of a module."""
    from playwright.sync_api import sync_playwright  # loaded by the workers that need it

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path(), args=["--no-sandbox"])
        yield browser
        browser.close()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say in the last lines what was left out, and how to have it."""
    if browser_path() is None:
        terminalreporter.write_line(
            "The page was not tested in a browser: there is no Chromium here. To have it,"
        )
        terminalreporter.write_line(
            "install the package chromium of your system (Debian: apt-get install chromium)."
        )


@contextmanager
def briefly(clock: Clock) -> Iterator[None]:
    """What greedy rules lay, and no more: for tests of files, whatever the layout is."""
    clock.effort = Effort(0, 0, rows_from=100)
    yield


@contextmanager
def with_insertion(clock: Clock) -> Iterator[None]:
    """One start and few moves for each container: where pieces should lie at any place and turn.

    By counting, as always, so that the layout is the same everywhere.
    """
    clock.effort = Effort(1, 60)
    yield


@contextmanager
def at_once(clock: Clock) -> Iterator[None]:
    """The first layout that is there: for tests of what a job says, where no file is looked at."""
    clock.stop()
    yield


@pytest.fixture(scope="session")
def made_jobs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of what was made in this session; all workers have the same."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder = shared / "made-jobs"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture
def make_job(made_jobs: Path, tmp_path: Path) -> MakeJob:
    """A function from a job's text to a folder with its files: the test's own, to spoil as it likes.

    The search is brief: who asks about layouts nests by themselves.
    """

    def make_job(text: str, formats: Sequence[str] | None = None, *, calibrate: bool = False) -> Path:
        key = hashlib.sha256(repr((text, formats and tuple(formats), calibrate)).encode()).hexdigest()[:16]
        copy = tmp_path / f"cut-{key}"
        shutil.copytree(_made_once(made_jobs / key, text, formats, calibrate=calibrate), copy)
        return copy

    return make_job


def _made_once(folder: Path, text: str, formats: Sequence[str] | None, *, calibrate: bool) -> Path:
    """Make a job, unless it is made; where another worker is at it, wait for it."""
    done, claim = folder.with_suffix(".done"), folder.with_suffix(".claim")
    try:
        claim.touch(exist_ok=False)
    except FileExistsError:
        until = time.monotonic() + _LONGEST_S
        while not done.exists() and claim.exists():
            assert time.monotonic() < until, f"who makes {folder} never comes to an end"
            time.sleep(0.02)
        return folder if done.exists() else _made_once(folder, text, formats, calibrate=calibrate)
    try:
        _make(folder, text, formats, calibrate=calibrate)
    except BaseException:
        claim.unlink()  # the next test makes it, and fails for the same reason
        raise
    done.touch()
    return folder


def _make(folder: Path, text: str, formats: Sequence[str] | None, *, calibrate: bool) -> None:
    # Tests of plain geometry need none of what a whole job loads.
    from cutfiles.pipeline import Options, make, save, size

    job = folder.with_suffix(".toml")
    job.write_text(text, encoding="utf-8")
    wanted = None if formats is None else tuple(formats)
    save(folder, make(size(job), Options(wanted, around_search=briefly, calibrate=calibrate)))
