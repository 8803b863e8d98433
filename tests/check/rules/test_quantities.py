"""Sewn-product DXF has each distinct piece once: its quantity must be what the layout has of it."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.pipeline import Options, make, save, size
from tests.check.test_own_files import JOB, USUAL
from tests.conftest import with_insertion

TEXT = re.compile(r"Quantity: ([0-9]+)")
FILE = "load-01.sewn.dxf"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A load of four and three blades of two fabrics, a centre and two pennants, in two formats."""
    folder = tmp_path_factory.mktemp("quantities")
    text = JOB.format(**{**USUAL, "face": "right side up"}).replace(
        "width = 12\nheight = 12\n", "width = 20\nheight = 16\n"
    )
    (folder / "job.toml").write_text(text, encoding="utf-8")
    save(
        folder / "cut",
        make(size(folder / "job.toml"), Options(("svg", "sewn-dxf"), around_search=with_insertion)),
    )
    return folder / "cut"


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    """Return a copy to spoil."""
    return Path(shutil.copytree(made, tmp_path / "cut"))


def _quantities(folder: Path) -> list[int]:
    return [int(number) for number in TEXT.findall((folder / FILE).read_text(encoding="ascii"))]


def _put(folder: Path, old: int, new: int) -> None:
    path = folder / FILE
    text = path.read_text(encoding="ascii")
    assert text.count(f"Quantity: {old}\n") == 1
    path.write_text(text.replace(f"Quantity: {old}\n", f"Quantity: {new}\n"), encoding="ascii")


def _findings(folder: Path, *, shapes: bool = True) -> list[tuple[str, str]]:
    if not shapes:
        path = folder / "layout.json"
        layout = json.loads(path.read_text(encoding="utf-8"))
        del layout["shapes"], layout["seal"]
        path.write_text(json.dumps(layout), encoding="utf-8")
    report = check_paths([folder / FILE])
    return [(found.code, found.place) for found in report.findings if found.code != "changed-file"]


def test_quantities_are_those_of_the_layout(made: Path) -> None:
    """Counted in layout.json by fabric, shape and side, each piece once; and so are the pieces reported."""
    layout = json.loads((made / "layout.json").read_text(encoding="utf-8"))
    kinds = [
        (fabric["fabric"], piece["shape"], piece["mirrored"])
        for fabric in layout["loads"][0]["fabrics"]
        for piece in fabric["pieces"]
    ]
    assert sorted(_quantities(made)) == sorted(kinds.count(kind) for kind in set(kinds))
    assert sorted(_quantities(made)) == [1, 2, 3, 4]
    assert check_paths([made / FILE]).pieces == len(kinds)


@pytest.mark.parametrize("shapes", [True, False])
def test_as_written_there_is_no_fault(folder: Path, *, shapes: bool) -> None:
    """Also beside another format that has every copy, and with a layout that gives no shapes."""
    assert check_paths([folder]).findings == ()
    assert _findings(folder, shapes=shapes) == []


@pytest.mark.parametrize("shapes", [True, False])
def test_too_small_a_quantity_is_a_missing_piece(folder: Path, *, shapes: bool) -> None:
    """The last of the two pennants."""
    _put(folder, 2, 1)
    assert _findings(folder, shapes=shapes) == [("missing-piece", "shingle-pennant-002")]


@pytest.mark.parametrize("shapes", [True, False])
@pytest.mark.parametrize(
    ("count", "piece"), [(4, "tide-blade-001"), (3, "shingle-blade-001"), (2, "shingle-pennant-001")]
)
def test_too_large_a_quantity_is_an_extra_piece(
    folder: Path, count: int, piece: str, *, shapes: bool
) -> None:
    """By one: pieces of another fabric or another shape don't count for it."""
    _put(folder, count, count + 1)
    assert _findings(folder, shapes=shapes) == [("extra-piece", piece)]


def test_a_file_at_another_scale_is_told_for_what_it_is(folder: Path) -> None:
    """Sizes are compared piece by piece, each as often as there are of it."""
    path = folder / FILE
    pairs = path.read_text(encoding="ascii").splitlines()
    for index in range(0, len(pairs), 2):
        if pairs[index].strip() in ("10", "11", "20", "21") and "$" not in pairs[index - 1]:
            pairs[index + 1] = repr(float(pairs[index + 1]) * 10)
    path.write_text("\n".join(pairs) + "\n", encoding="ascii")
    assert "wrong-scale" in {code for code, _ in _findings(folder)}


def test_a_line_missing_from_the_piece_that_is_there_is_found(folder: Path) -> None:
    """Though the lines of its copies are passed over."""
    path = folder / FILE
    line = re.compile(r"  0\nLINE\n  5\n[0-9A-F]+\n  8\n14\n(?: [123][01]\n.*\n)+")
    text, count = line.subn("", path.read_text(encoding="ascii"), 1)
    assert count == 1
    path.write_text(text, encoding="ascii")
    codes = {(found.code, Path(found.file).name) for found in check_paths([folder]).findings}
    assert codes == {("changed-file", FILE), ("formats-differ", "load-01.svg")}
