"""`docs/first-plate.md` and README for who never did this: what they show is what comes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cutfiles.pipeline import Options, make
from tests.cli.commands import ROOT, cutfiles
from tests.conftest import at_once
from tests.texts import code_blocks

PAGE = (ROOT / "docs/first-plate.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
# Words of machines and of those who write such programs; a maker needs none of them at the start.
DIALECT = (
    "nest", "kerf", "swivel", "overcut", "HP-GL", "R12", "polygon", "solver", "optim", "search", "guillotine",
    "layer", "schema", "parse", "JSON", "stdout", "repository", "clone", "CLI",
)  # fmt: skip


def test_each_step_shows_what_comes(tmp_path: Path) -> None:
    """One command after the other in an empty folder, to the letter."""
    lines = [line for block in code_blocks(PAGE, "sh") for line in block.splitlines()]
    commands = [line.split() for line in lines if "cutfiles " in line]
    commands = [words[1:] for words in commands if words[0] == "cutfiles"]
    version, *steps = commands
    assert version == ["--version"]
    assert re.fullmatch(r"cutfiles \d\S+\n", cutfiles(*version).stdout)
    assert [words[0] for words in steps] == ["new", "size", "make", "check"]
    for words, shown in zip(steps, code_blocks(PAGE, "text"), strict=True):
        ran = cutfiles(*words, cwd=tmp_path)
        assert ran.returncode == 0
        assert shown == ran.stdout, words
    assert "no faults" in code_blocks(PAGE, "text")[-1]


@pytest.mark.parametrize("number", [0, 1])
def test_the_other_blocks_can_be_made_as_they_are_shown(number: int, tmp_path: Path) -> None:
    """A corner fan; pieced blades without a machine."""
    (tmp_path / "job.toml").write_text(code_blocks(PAGE, "toml")[number], encoding="utf-8")
    made = make(tmp_path / "job.toml", Options(around_search=at_once))
    assert "job-sheet.html" in made.files
    assert bool(made.nested.loads) is (number == 0)
    assert len(code_blocks(PAGE, "toml")) == 2


def test_every_system_has_its_own_lines_for_the_same_four_steps() -> None:
    """Into the folder, an environment, what is needed, and `cutfiles` known in the window."""
    (windows,), unix = code_blocks(PAGE, "powershell"), code_blocks(PAGE, "sh")[0]
    for lines in (windows.splitlines(), unix.splitlines()):
        assert len(lines) == 4
        assert lines[0].startswith("cd ")
        assert lines[1].endswith("-m venv .venv")
        assert lines[2].endswith("pip install -q .")
    assert "Scripts" in windows
    assert "/bin/" not in windows
    assert "Scripts" not in unix
    for system in ("Windows", "macOS", "Linux"):
        assert f"**{system}.**" in PAGE


def test_no_dialect_before_a_maker_asks_for_more() -> None:
    """README up to what else there is to read, and the whole first plate but for the program's own words."""
    before, _ = README.split("## Read on")
    walk = re.sub(r"```.*?```|\(.*?\.md.*?\)", "", PAGE, flags=re.DOTALL)
    for word in DIALECT:
        if word != "search":  # may be stopped: the page says so
            assert not re.search(rf"\b{word}", walk, flags=re.IGNORECASE), word
        assert not re.search(rf"\b{word}", before, flags=re.IGNORECASE), word


def test_readme_says_the_job_then_the_page_then_shows_a_picture_then_two_commands() -> None:
    """In that order, and nothing before."""
    parts = README.split("\n\n")
    assert parts[0] == "# cutfiles"
    assert parts[1].startswith("`cutfiles` is for people who make plate blocks")
    assert "[the page](docs/page.md)" in parts[2]
    assert parts[3].startswith("![The page")
    assert [part.startswith("```sh") for part in parts[4:8]] == [False, True, False, True]
