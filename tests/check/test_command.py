"""`cutfiles check`: one finding a line, a summary, and an exit status that scripts can trust."""

from __future__ import annotations

import json
from pathlib import Path

import click.testing

from cutfiles.cli.check import check
from cutfiles.findings.codes import MEANINGS, Code
from tests.check.drawings import WRITTEN, drawing_of, usual_layout, usual_texts, write_folder

DOCS = Path(__file__).parents[2] / "docs" / "checks.md"


def _run(*arguments: str) -> click.testing.Result:
    return click.testing.CliRunner().invoke(check, arguments)


def test_no_faults_are_said_in_one_line(tmp_path: Path) -> None:
    """With what was read, and status 0."""
    write_folder(tmp_path, usual_layout(), usual_texts())
    result = _run(str(tmp_path))
    assert (result.exit_code, result.stdout) == (0, "no faults: 2 files, 6 pieces\n")


def test_each_fault_is_one_line_and_the_status_is_one(tmp_path: Path) -> None:
    """File, place, code, sentence; then how many."""
    drawing = drawing_of(usual_layout())
    index = drawing.at("tide-tab-002")
    drawing.lines[index] = drawing.lines[index].moved(0.5, 0)
    write_folder(tmp_path, usual_layout(), {"svg": WRITTEN["svg"](drawing)})
    result = _run(str(tmp_path))
    says = "lies +0.500 mm across and +0.000 mm up from where tide-tab-002 should"
    where = f"{tmp_path / 'load-01.svg'}: tide-tab-002"
    assert result.stdout == f"{where}: wrong-place: {says}\n1 fault in 1 file\n"
    assert result.exit_code == 1


def test_json_is_one_object_and_notes_go_to_the_other_stream(tmp_path: Path) -> None:
    """So that a program can read it."""
    text = usual_texts()["svg"].replace(">cut<", ">cut</title><text/><title><")
    (tmp_path / "load-01.svg").write_text(text)
    result = _run(str(tmp_path), "--json")
    report = json.loads(result.stdout)
    assert {finding["code"] for finding in report["findings"]} == {"unknown-element"}
    assert set(report["findings"][0]) == {"code", "file", "place", "says"}
    assert report["files"] == 1
    assert result.stderr.startswith("note: ")
    assert result.exit_code == 1


def test_the_documentation_lists_every_code_as_the_program_means_it() -> None:
    """The table is made of the meanings in the code, word for word."""
    text = DOCS.read_text(encoding="utf-8")
    rows = [line for line in text.splitlines() if line.startswith("| `")]
    assert rows == [f"| `{code.value}` | {MEANINGS[code].means} | {MEANINGS[code].remedy} |" for code in Code]
