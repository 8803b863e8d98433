"""What `from cutfiles import …` gives, what its page shows, and what it leaves alone."""

from __future__ import annotations

import ast
import doctest
import logging
import shutil
import signal
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

import cutfiles
from cutfiles.pipeline import Laid
from tests.cli.commands import ROOT

SOURCE = ast.parse((ROOT / "cutfiles/__init__.py").read_text(encoding="utf-8"))


def test_every_public_name_is_there_by_any_way() -> None:
    """By attribute, by `from`, by star, and as `dir` lists it."""
    given: dict[str, object] = {}
    exec("from cutfiles import *", given)
    for name in cutfiles.__all__:
        assert given[name] is getattr(cutfiles, name)
    assert dir(cutfiles) == sorted(cutfiles.__all__)
    with pytest.raises(AttributeError, match="no attribute 'mke'"):
        cutfiles.mke  # noqa: B018


def test_what_is_typed_is_what_loads() -> None:
    """Who checks types reads the imports, who runs the program gets the table: both name the same things."""
    block = next(node for node in SOURCE.body if isinstance(node, ast.If))
    typed = {
        alias.asname or alias.name: (node.module, alias.name)
        for node in block.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert {*typed, "__version__"} == set(cutfiles.__all__)
    for name, (module, attribute) in typed.items():
        home = sys.modules.get(f"{module}.{attribute}") or getattr(sys.modules[str(module)], attribute)
        if name != "check":
            assert getattr(cutfiles, name) is home, name
    assert (ROOT / "cutfiles/py.typed").exists()


def test_check_can_be_called_whatever_was_imported_before() -> None:
    """The folder has the function's name: neither order of imports takes the one away."""
    call = "report = cutfiles.check('fixtures/none.svg')"
    for first in (
        "import cutfiles.check.check",
        "from cutfiles import check",
        "from cutfiles.check import check",
    ):
        code = (
            f"import cutfiles\n{first}\ntry:\n {call}\nexcept cutfiles.errors.UnreadableError: print('asked')"
        )
        run = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True
        )
        assert run.stdout == "asked\n", first


def test_the_page_runs_as_it_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every example of docs/library.md, in a folder with nothing but the fixtures."""
    shutil.copytree(ROOT / "fixtures/jobs", tmp_path / "fixtures/jobs")
    monkeypatch.chdir(tmp_path)
    page = str(ROOT / "docs/library.md")
    failed, tried = doctest.testfile(page, module_relative=False, verbose=False)
    assert (failed, tried > 12) == (0, True)


@pytest.mark.parametrize("in_main_thread", [False, True])
def test_it_leaves_the_process_as_it_was(
    capfd: pytest.CaptureFixture[str], tmp_path: Path, *, in_main_thread: bool
) -> None:
    """In any thread: nothing printed, no signal handler and no logger left changed, also by saving."""
    handled = [signal.SIGINT, signal.SIGTERM, signal.SIGCHLD]
    before = [signal.getsignal(signal_number) for signal_number in handled]
    root = logging.getLogger()
    logged = (root.level, list(root.handlers), root.disabled)

    def make_and_save() -> None:
        cutfiles.save(tmp_path / "cut", cutfiles.make(ROOT / "fixtures/jobs/one-square/job.toml"))

    if in_main_thread:
        make_and_save()
    else:
        thread = threading.Thread(target=make_and_save)
        thread.start()
        thread.join()
    assert (tmp_path / "cut" / "layout.json").exists()
    assert capfd.readouterr() == ("", "")
    assert [signal.getsignal(signal_number) for signal_number in handled] == before
    assert (root.level, list(root.handlers), root.disabled) == logged


SEVERAL = """
[plate]
sewn = 4
blade_length = 4
inner_radius = 1
[[fabric]]
name = "tide"
width = 9
length = 9
cuts = { blade = "fill" }
[[fabric]]
name = "shingle"
width = 8
length = 11
cuts = { blade = "fill" }
"""


def test_one_process_is_this_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked for, it is alone, so a script needs no main guard; of two the other begins soon."""

    def begins(*_: object, **__: object) -> None:
        raise AssertionError("a process begins")

    monkeypatch.setattr("cutfiles.nest.search.workers.ProcessPoolExecutor", begins)
    job = cutfiles.parse_job(SEVERAL)
    with pytest.raises(AssertionError, match="a process begins"):
        cutfiles.make(job, cutfiles.Options(processes=2, time_s=0.5))
    laid: list[Laid] = []
    made = cutfiles.make(job, cutfiles.Options(processes=1, time_s=0.5, on_laid=laid.append))
    assert [(told.nested, told.plan.loads) for told in laid] == [(made.nested, made.plan.loads)]
    assert {tally.fabric for tally in made.nested.tallies if tally.counts} == {"tide", "shingle"}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"formats": ("svg", "pgn")}, 'formats: "pgn" is not allowed; choose svg'),
        ({"formats": ()}, "formats: names no format"),
        ({"time_s": 0.0}, "time_s: 0.0 is not above 0"),
        ({"time_s": float("nan")}, "time_s: nan is not above 0"),
        ({"processes": 0}, "processes: 0 is below 1"),
    ],
)
def test_options_that_make_no_sense_are_refused(wrong: dict[str, Any], says: str) -> None:
    """Before anything is searched, as an error of ours."""
    with pytest.raises(cutfiles.errors.JobError) as caught:
        cutfiles.Options(**wrong)
    assert str(caught.value).startswith(says)


def test_importing_it_loads_nothing() -> None:
    """Neither the line nor what the line needs; the version is known all the same."""
    code = (
        "import cutfiles, sys\n"
        "print(cutfiles.__version__, [name for name in sys.modules if name.startswith('cutfiles.')])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert run.stdout == f"{cutfiles.__version__} []\n"
