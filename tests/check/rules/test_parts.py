"""Loads in two files, one for the pen and one for the knife: each is known for what it is."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.formats.registry import FORMATS, Audience
from cutfiles.pipeline import Options, make, save, size
from tests.check.drawings import codes_of
from tests.cli.commands import SMALL
from tests.conftest import briefly

SPLIT = f'{SMALL}\n[output]\nfiles = ["svg", "dxf"]\nsplit = true\n'
WHOLE = SPLIT.replace("split = true", "split = false")

_TOLD = [kind.suffix for kind in FORMATS.values() if kind.audience is Audience.MACHINE]
IN_PARTS = [f"load-01-{part}{suffix}" for part in ("draw", "cut") for suffix in _TOLD]
OF_WHOLE_PIECES = [f"load-01{kind.suffix}" for kind in FORMATS.values() if kind.suffix not in _TOLD]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two folders of one job, `split` and `whole`."""
    folder = tmp_path_factory.mktemp("parts")
    for name, text in (("split", SPLIT), ("whole", WHOLE)):
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
        save(
            folder / name, make(size(folder / f"{name}.toml"), Options(tuple(FORMATS), around_search=briefly))
        )
    return folder


def lines_of(path: Path) -> list[str]:
    """Return an SVG's elements, one a line, without what holds them."""
    text = path.read_text(encoding="utf-8").replace("><", ">\n<")
    skipped = ("<?xml", "<svg", "</svg", "<g ", "</g", "<title")
    return [line for line in text.splitlines() if not line.startswith(skipped)]


def test_split_files_together_hold_the_lines_of_the_whole(made: Path) -> None:
    """Counted line by line: the marks twice, all else once; layout.json names them all."""
    whole = lines_of(made / "whole/load-01.svg")
    drawn, cut = (lines_of(made / f"split/load-01-{part}.svg") for part in ("draw", "cut"))
    marks = [line for line in drawn if line in cut]
    assert len(marks) == 7
    assert [*drawn, *cut[7:]] == whole
    assert cut[:7] == marks
    names = {path.name for path in (made / "split").iterdir()}
    assert names == {*IN_PARTS, *OF_WHOLE_PIECES, "job-sheet.html", "layout.json"}
    assert {"load-01-cut.svg", "load-01-draw.plt", "load-01.sewn.dxf", "load-01.pdf"} <= names


def test_parts_have_no_fault(made: Path) -> None:
    """As a folder and each alone; what the pen's file doesn't cut is no fault."""
    report = check_paths([made / "split"])
    assert [finding.line() for finding in report.findings] == []
    assert (report.files, report.pieces) == (len(IN_PARTS) + len(OF_WHOLE_PIECES), 4)
    for path in (made / "split").glob("load-*"):
        assert codes_of(path) == set()


def test_a_whole_file_under_the_name_of_a_part_is_found(made: Path, tmp_path: Path) -> None:
    """The pen would cut, or the knife draw."""
    folder = tmp_path / "split"
    shutil.copytree(made / "split", folder)
    for part, code in (("draw", "extra-piece"), ("cut", "stray-mark")):
        for kind in ("svg", "dxf"):
            path = folder / f"load-01-{part}.{kind}"
            path.write_bytes((made / f"whole/load-01.{kind}").read_bytes())
            assert codes_of(path) == {"changed-file", code}


def test_faults_of_the_pens_file_are_found(made: Path, tmp_path: Path) -> None:
    """A line beside its piece, no marks, another mat."""
    folder = tmp_path / "split"
    shutil.copytree(made / "split", folder)
    path = folder / "load-01-draw.svg"
    good = path.read_text(encoding="utf-8")
    group = good[good.index('<g fill="none" id="register"') : good.index('<g fill="none" id="cut"')]
    stray = '<line x1="200" x2="210" y1="20" y2="20" /></g>'
    for text, code in (
        (good.replace("</g>", stray, 1), "stray-mark"),
        (good.replace(group, ""), "missing-register"),
        (good.replace("304.8", "305.8"), "mat-size"),
    ):
        assert text != good
        path.write_text(text, encoding="utf-8")
        assert codes_of(path) == {"changed-file", code}


def test_a_missing_part_is_said(made: Path, tmp_path: Path) -> None:
    """One of the two is not enough."""
    folder = tmp_path / "split"
    shutil.copytree(made / "split", folder)
    (folder / "load-01-cut.svg").unlink()
    assert codes_of(folder) == {"missing-file"}


def test_alone_a_pens_file_says_what_was_not_checked(made: Path, tmp_path: Path) -> None:
    """No layout beside it: a note, no fault."""
    path = tmp_path / "load-01-draw.svg"
    path.write_bytes((made / "split/load-01-draw.svg").read_bytes())
    report = check_paths([path])
    assert report.findings == ()
    assert any("no layout.json knows this file" in note for note in report.notes)
