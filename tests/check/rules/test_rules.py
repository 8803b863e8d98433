"""The list of rules: whole, and every lasting code is raised by one of them or by a reader."""

from __future__ import annotations

import ast
import importlib
import inspect
from pathlib import Path

import pytest

from cutfiles.check.rules.rules import LIMITS, RULES, StopAfter
from cutfiles.findings.codes import Code

PACKAGE = Path(__file__).parents[3] / "cutfiles"
RULE_FILES = sorted((PACKAGE / "check" / "rules").glob("*.py"))
JUDGES = [
    path
    for path in [*(PACKAGE / "check").rglob("*.py"), *(PACKAGE / "formats").rglob("*.py")]
    if not path.stem.startswith("write")
]


def _listed() -> set[str]:
    rules = [*LIMITS, *(rule for role in RULES.values() for rule in role if not isinstance(rule, StopAfter))]
    return {f"{rule.__module__}.{rule.__name__}" for rule in rules}  # type: ignore[attr-defined]


@pytest.mark.parametrize("path", RULE_FILES, ids=lambda path: path.stem)
def test_every_rule_of_a_file_is_in_the_list(path: Path) -> None:
    """A public function from a context to plain faults is a rule; one left out would never run."""
    module = importlib.import_module(f"cutfiles.check.rules.{path.stem}".removesuffix(".__init__"))
    for name, function in inspect.getmembers(module, inspect.isfunction):
        takes = inspect.get_annotations(function)
        gives = takes.pop("return", "")
        own = function.__module__ == module.__name__ and not name.startswith("_")
        if own and list(takes.values()) == ["Context"] and gives in ("Iterator[Fault]", "tuple[Fault, ...]"):
            assert f"{module.__name__}.{name}" in _listed()


def test_the_list_is_found_by_the_test_above() -> None:
    """So that it can't pass by finding nothing."""
    assert len(_listed()) >= 20


def test_every_code_is_raised_somewhere() -> None:
    """By a rule or a reader; what writes and what names the codes doesn't count."""
    raised = {
        node.attr
        for path in JUDGES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "Code"
    }
    assert {code.name for code in Code} <= raised
