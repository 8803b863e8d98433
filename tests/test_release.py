"""The wheel and the sdist that a release is: complete, and sound where they are unpacked."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from dataclasses import dataclass
from email.parser import Parser
from pathlib import Path

import pytest

import cutfiles
from tests.cli.commands import ROOT

LEFT_OUT = ("__pycache__", "*.pyc", "*.egg-info", ".*_cache", ".hypothesis")
# What there is beside these (a virtual environment, made files) belongs to nobody's release.
WHOLE = ("cutfiles", "docs", "fixtures", "tests", ".ci")
SINGLE = ("README.md", "DEVELOPERS.md", "LICENSE", "MANIFEST.in", "pyproject.toml")
# Seconds of the tests, of many kinds: jobs from the fixtures, pages, commands and independent readers.
SOME_TESTS = (
    "tests/test_fixtures.py::test_a_job_measures_what_it_must",
    "tests/test_readme.py::test_every_link_leads_somewhere",
    "tests/job/parse/test_read.py",
    "tests/outside/test_svg_standard.py::test_files_are_valid_by_the_published_dtd[folded]",
)


@dataclass(frozen=True)
class Release:
    """Where the two are unpacked."""

    sdist: Path
    wheel: Path


def _build(what: str, source: Path, out: Path) -> Path:
    """Run a hook of the build backend, as `python -m build --no-isolation` does; return what it made."""
    code = f"import sys, setuptools.build_meta as backend; backend.build_{what}(sys.argv[1])"
    run = subprocess.run(
        [sys.executable, "-c", code, str(out)], capture_output=True, text=True, cwd=source, check=False
    )
    assert run.returncode == 0, run.stderr[-2000:]
    (made,) = out.glob("*.whl" if what == "wheel" else "*.tar.gz")
    return made


@pytest.fixture(name="release", scope="module")
def _release(tmp_path_factory: pytest.TempPathFactory) -> Release:
    """An sdist of this tree, and a wheel of that sdist."""
    folder = tmp_path_factory.mktemp("release")
    tree = folder / "tree"
    tree.mkdir()
    for name in WHOLE:
        shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns(*LEFT_OUT))
    for name in SINGLE:
        shutil.copy(ROOT / name, tree / name)
    with tarfile.open(_build("sdist", tree, folder)) as archive:
        archive.extractall(folder / "sdist", filter="data")
    (source,) = (folder / "sdist").iterdir()
    with zipfile.ZipFile(_build("wheel", source, folder)) as wheel:
        wheel.extractall(folder / "wheel")
    return Release(source, folder / "wheel")


def _files(folder: Path, *, below: str = "") -> set[str]:
    return {
        path.relative_to(folder).as_posix()
        for path in (folder / below).rglob("*")
        if path.is_file()
        and not any(path.match(f"**/{pattern}") or pattern in path.parts for pattern in LEFT_OUT)
    }


def test_the_sdist_holds_all_that_its_tests_read(release: Release) -> None:
    """Every file of the tree, the bad jobs' odd ones included."""
    # How tests reach a file is many ways; that all are there is the one way to know.
    tree = {name for folder in WHOLE for name in _files(ROOT, below=folder)} | set(SINGLE)
    assert len(tree) > 400
    assert tree - _files(release.sdist) == set()


def test_tests_pass_where_the_sdist_is_unpacked(release: Release) -> None:
    """Some of them; before a release all are run there by hand."""
    command = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "--no-header", *SOME_TESTS]
    env = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    run = subprocess.run(command, capture_output=True, text=True, cwd=release.sdist, env=env, check=False)
    assert run.returncode == 0, run.stdout[-3000:]
    where = [sys.executable, "-c", "import cutfiles; print(cutfiles.__file__)"]
    run = subprocess.run(where, capture_output=True, text=True, cwd=release.sdist, check=True)
    assert Path(run.stdout.strip()) == release.sdist / "cutfiles/__init__.py"


def test_the_wheel_holds_the_package_and_nothing_else(release: Release) -> None:
    """No tests, no second top-level name; the data and the mark for type checkers are in."""
    inside = _files(release.wheel)
    info = f"cutfiles-{cutfiles.__version__}.dist-info"
    assert {name.split("/")[0] for name in inside} == {"cutfiles", info}
    assert {name for name in inside if name.startswith("cutfiles/")} == _files(ROOT, below="cutfiles")
    assert {"cutfiles/py.typed", f"{info}/licenses/LICENSE"} <= inside


def test_the_wheel_says_what_it_is(release: Release) -> None:
    """Core metadata 2.4: licence by its SPDX name, no classifier for it, no address that isn't there."""
    info = release.wheel / f"cutfiles-{cutfiles.__version__}.dist-info"
    says = Parser().parsestr((info / "METADATA").read_text(encoding="utf-8"))
    assert says["Version"] == cutfiles.__version__
    assert (says["License-Expression"], says["License-File"]) == ("MIT", "LICENSE")
    assert "Typing :: Typed" in says.get_all("Classifier", [])
    assert not any(classifier.startswith("License ::") for classifier in says.get_all("Classifier", []))
    assert says.get_all("Project-URL") is None
    assert "cutfiles = cutfiles.cli.main:run" in (info / "entry_points.txt").read_text(encoding="utf-8")


def test_the_wheel_works_alone(release: Release, tmp_path: Path) -> None:
    """Away from the tree: a job is made, labels written and all, and read back."""
    code = (
        f"import sys; sys.path.insert(0, {str(release.wheel)!r})\n"
        "import cutfiles\n"
        "assert cutfiles.__file__.startswith(sys.path[0]), cutfiles.__file__\n"
        f"made = cutfiles.make({str(ROOT / 'fixtures/jobs/one-square/job.toml')!r})\n"
        "cutfiles.save('out', made)\n"
        "print(cutfiles.check('out').summary())"
    )
    run = subprocess.run(
        [sys.executable, "-I", "-c", code], capture_output=True, text=True, cwd=tmp_path, check=False
    )
    assert (run.returncode, run.stdout) == (0, "no faults: 1 file, 2 pieces\n"), run.stderr
