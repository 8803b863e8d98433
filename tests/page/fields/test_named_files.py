"""Files that a job names go where the job goes, and a job from a browser reaches no others."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutfiles.core.errors import JobError
from cutfiles.page.fields.document import tables_of
from cutfiles.page.fields.named_files import as_given, endings_of, free_name, keep, packed_with, stay_inside

# Each key that names a file, once.
TEXT = """\
[job]
machine = "{}notes.toml"
[[fabric]]
name = "tide"
picture = "{}tide.png"
[[fabric]]
name = "shingle"
outline = "{}scrap.svg"
[[outline]]
name = "leaf"
file = "{}leaf.svg"
"""
NAMES = ("notes.toml", "tide.png", "scrap.svg", "leaf.svg")


def _text(folder: str) -> str:
    return TEXT.replace("{}", folder)


def _packed(text: str, tmp_path: Path, *taken: str) -> tuple[str, dict[str, bytes]]:
    home = tmp_path / "a/home"
    home.mkdir(parents=True)
    for folder in (home, home / "drawn", home.parent):
        folder.mkdir(exist_ok=True)
        for name in NAMES:
            (folder / name).write_text(f"{folder.name}/{name}", encoding="utf-8")
    keep(tables_of(text), home, tmp_path / "kept")
    return packed_with(text, tmp_path / "kept", taken)


@pytest.mark.parametrize("folder", ["", "drawn/", "./"])
def test_what_lies_beside_the_job_keeps_its_path(folder: str, tmp_path: Path) -> None:
    """And the text of the job is the same to the letter."""
    text, files = _packed(_text(folder), tmp_path)
    assert text == _text(folder)
    here = "drawn" if folder == "drawn/" else "home"
    assert files == {f"{folder}{name}": f"{here}/{name}".encode() for name in NAMES}


def test_what_lies_elsewhere_comes_along_under_its_name(tmp_path: Path) -> None:
    """From the folder above, and by a path from the root; comments stay."""
    given = _text("../").replace("../leaf", f"{tmp_path}/a/leaf") + "# by hand\n"
    text, files = _packed(given, tmp_path)
    assert text == _text("") + "# by hand\n"
    assert files == {name: f"a/{name}".encode() for name in NAMES}


def test_nothing_takes_the_place_of_another_file(tmp_path: Path) -> None:
    """A drawing called as a machine file is, and two of the same name, in capitals or not."""
    given = _text("").replace("leaf.svg", "../leaf.svg").replace("scrap.svg", "leaf.svg")
    text, files = _packed(given, tmp_path, "Tide.png", "leaf-2.svg")
    assert files == {
        "notes.toml": b"home/notes.toml", "tide-2.png": b"home/tide.png",
        "leaf.svg": b"a/leaf.svg", "leaf-3.svg": b"home/leaf.svg",
    }  # fmt: skip
    assert text == _text("").replace("tide.png", "tide-2.png").replace("scrap.svg", "leaf-3.svg")


def test_a_file_that_is_missing_is_left_to_who_reads_the_job(tmp_path: Path) -> None:
    """Nothing is packed for it, and its name stays."""
    given = _text("").replace("leaf.svg", "kelp.svg")
    text, files = _packed(given, tmp_path)
    assert text == given
    assert set(files) == {*NAMES} - {"leaf.svg"}


@pytest.mark.parametrize("number", range(4))
def test_each_name_that_leads_elsewhere_is_refused(number: int) -> None:
    """By its place; nothing else is wrong with the others. Notes named at the top as well."""
    places = ("job.machine", "fabric.tide.picture", "fabric.shingle.outline", "outline.leaf.file")
    stay_inside(tables_of(_text("")))
    for elsewhere in ("../", "/etc/", "C:", "drawn\\\\"):
        text = _text("").replace(NAMES[number], elsewhere + NAMES[number])
        with pytest.raises(JobError, match=f"^{places[number]}: is in another folder"):
            stay_inside(tables_of(text))
    with pytest.raises(JobError, match=r"^machine: is in another folder"):
        stay_inside({"machine": "../notes.toml"})


def test_what_was_given_with_a_job_is_named_by_its_name_alone() -> None:
    """Whatever folder it came from; what wasn't given is left to be told of."""
    assert as_given(_text("../machines/"), NAMES) == _text("")
    assert as_given(_text("C:\\\\cloth\\\\"), NAMES) == _text("")
    assert as_given(_text("../"), NAMES[:3]) == _text("").replace("leaf.svg", "../leaf.svg")


def test_only_keys_that_name_a_file_take_one(tmp_path: Path) -> None:
    """With the endings that they may have; a name that is free differs by more than capitals."""
    assert endings_of(("outline", 3, "file")) == (".svg", ".dxf")
    assert endings_of(("job", "machine")) == (".toml",)
    assert (
        endings_of(("job", "title")) == endings_of(("outline", 3, "points")) == endings_of(("plate",)) == ()
    )
    (tmp_path / "Sea-Kelp.SVG").touch()
    assert free_name("Sea kelp", ".svg", tmp_path) == "sea-kelp-2.svg"
    assert free_name("../../æ", ".dxf", tmp_path) == "given.dxf"
