"""DEVELOPERS.md: its map, its answers and its words are those of the code."""

from __future__ import annotations

import ast
import re

from tests.cli.commands import ROOT

PACKAGE = ROOT / "cutfiles"
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def _rows(heading: str) -> list[list[str]]:
    """Return the cells of the table below a row of headings."""
    lines = PAGE[PAGE.index(heading) :].partition("\n\n")[0].splitlines()[2:]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines]


def test_the_map_has_every_folder_in_its_own_words() -> None:
    """The first line of each `__init__.py`, to the letter."""
    meant = []
    for path in sorted(PACKAGE.rglob("__init__.py")):
        if path.parent != PACKAGE:
            says = (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").split("\n")[0]
            meant.append([f"`{path.parent.relative_to(PACKAGE).as_posix()}/`", says])
    shown = "\n".join(f"| {folder} | {says} |" for folder, says in meant)
    assert _rows("| folder | what it holds |") == meant, f"the table should be:\n{shown}"


def test_every_answer_leads_to_something() -> None:
    """Each file or folder that a question names is there."""
    rows = _rows("| question | look into |")
    assert len(rows) > 25
    for question, answer in rows:
        places = re.findall(r"`([^`]+)`", answer)
        assert places, question
        for place in places:
            assert (PACKAGE / place).exists(), f"{question} {place}"


def test_recipes_name_what_is_there() -> None:
    """Every path in the part on adding things; `…` stands for a name of one's own."""
    recipes = PAGE[PAGE.index("## How to add") : PAGE.index("## Rules of the house")]
    places = re.findall(r"`([a-z_]+/[a-z_/]*(?:\.[a-z]+)?)`", recipes)
    assert len(places) > 15
    for place in places:
        assert (PACKAGE / place).exists() or (ROOT / place).exists(), place


def test_decisions_name_modules_that_are_there() -> None:
    """A module that moved is named anew where a decision speaks of it."""
    pages = sorted((ROOT / "docs/decisions").glob("*.md"))
    named = [
        (page.name, place)
        for page in pages
        for place in re.findall(r"`((?:[a-z_0-9]+/)+[a-z_]*(?:\.[a-z]+)*)`", page.read_text(encoding="utf-8"))
    ]
    assert len(named) > 8
    assert [
        reference
        for reference in named
        if not ((PACKAGE / reference[1]).exists() or (ROOT / reference[1]).exists())
    ] == []


def test_every_word_of_the_glossary_is_in_the_code() -> None:
    """A class, a function, an attribute or a module of that name; none is explained twice."""
    known = {path.name for path in PACKAGE.rglob("*.py")}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, (ast.ClassDef, ast.FunctionDef)):
                known.add(node.name)
            elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                known.add(node.target.id)
    rows = _rows("| word | what it is | in the code |")
    assert len(rows) > 25
    for word, _, code in rows:
        names = re.findall(r"`([^`]+)`", code)
        assert names, word
        assert set(names) <= known, f"{word}: {set(names) - known}"
    words = [word for row in rows for word in row[0].split(", ")]
    assert len(words) == len(set(words))
