"""Notches of sewn-product DXF, which are points: one that is missing or moved is found."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.pipeline import Options, make, save, size
from tests.cli.commands import SMALL
from tests.conftest import briefly

JOB = f'{SMALL}\n[machine]\ndraw = ["sew", "notch", "label"]\n'
POINT = re.compile(r"  0\nPOINT\n  5\n[0-9A-F]+\n  8\n4\n 10\n([-0-9.]+)\n 20\n([-0-9.]+)\n 30\n0.0\n")
OTHERS = ("svg", "dxf", "pdf")
Change = Callable[[re.Match[str]], str]


def _moved(by_mm: float) -> Change:
    return lambda point: point[0].replace(point[2], f"{float(point[2]) + by_mm:.4f}")


def _missing(point: re.Match[str]) -> str:
    return ""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of a load with notches, in formats that are compared with each other."""
    folder = tmp_path_factory.mktemp("notches")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    save(
        folder / "cut", make(size(folder / "job.toml"), Options((*OTHERS, "sewn-dxf"), around_search=briefly))
    )
    return folder / "cut"


def _codes(folder: Path, change: Change | None, kept: tuple[str, ...], count: int = 1) -> set[str]:
    """What is wrong with the sewn trade's file beside the others that are kept."""
    path = folder / "load-01.sewn.dxf"
    if change is not None:
        text, changed = POINT.subn(change, path.read_text(encoding="ascii"), count)
        assert changed == count
        path.write_text(text, encoding="ascii")
    for suffix in OTHERS:
        if suffix not in kept:
            (folder / f"load-01.{suffix}").unlink()
    return {finding.code for finding in check_paths([folder]).findings} - {"missing-file"}


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    """Return a copy to spoil."""
    return Path(shutil.copytree(made, tmp_path / "cut"))


def test_the_load_has_two_notches_a_blade(made: Path) -> None:
    """Else nothing below would be planted."""
    text = (made / "load-01.sewn.dxf").read_text(encoding="ascii")
    assert len(POINT.findall(text)) == 2
    assert text.count("Piece Name") == 1


@pytest.mark.parametrize("kept", [*[(name,) for name in OTHERS], OTHERS, ()])
def test_notches_as_they_are_written_agree_with_the_lines_of_others(
    folder: Path, kept: tuple[str, ...]
) -> None:
    """Whichever of the two files is compared with the other."""
    assert _codes(folder, None, kept) == set()


@pytest.mark.parametrize("kept", OTHERS)
def test_a_missing_notch_is_found(folder: Path, kept: str) -> None:
    """The others have a line there."""
    assert _codes(folder, _missing, (kept,)) == {"changed-file", "formats-differ"}


@pytest.mark.parametrize("kept", OTHERS)
def test_a_moved_notch_is_found(folder: Path, kept: str) -> None:
    """By a twentieth of a mm: hardly off its edge, and told by the others' lines."""
    found = _codes(folder, _moved(0.05), (kept,))
    assert {"changed-file", "formats-differ"} <= found <= {"changed-file", "formats-differ", "stray-mark"}


@pytest.mark.parametrize("kept", OTHERS)
def test_a_notch_too_many_is_found(folder: Path, kept: str) -> None:
    """A second one beside the first, on the edge as far as anybody can tell."""
    found = _codes(folder, lambda point: point[0] + _moved(0.05)(point), (kept,))
    assert {"changed-file", "formats-differ"} <= found <= {"changed-file", "formats-differ", "stray-mark"}


def test_a_notch_moved_off_its_edge_is_found_without_other_formats(folder: Path) -> None:
    """Up by 40 mm: the edges lean, so it lies beside the piece or in it."""
    assert _codes(folder, _moved(40), ()) == {"changed-file", "stray-mark"}


def test_a_notch_that_no_program_shows_is_found(folder: Path) -> None:
    """As for any other line."""
    found = _codes(folder, lambda point: point[0].replace(" 10\n", " 60\n1\n 10\n", 1), ())
    assert found == {"changed-file", "hidden"}


def test_a_notch_without_a_place_is_found(folder: Path) -> None:
    """A word for a number."""
    found = _codes(folder, lambda point: point[0].replace(point[1], "left"), ())
    assert found == {"changed-file", "not-a-number"}
