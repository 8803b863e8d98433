"""Whole jobs give what lies beside them."""

from __future__ import annotations

import difflib
import json
from functools import cache
from pathlib import Path

import pytest

from cutfiles.pipeline import Made, Options, make, size

JOBS = sorted(path.parent for path in (Path(__file__).parents[1] / "fixtures/jobs").glob("*/job.toml"))
GOLDEN = [path for job in JOBS for path in sorted((job / "expected").iterdir()) if path.name != "size.json"]
REFRESH = "refresh: cutfiles make fixtures/jobs/{0}/job.toml --out /tmp/{0}, look at it, copy it; say why"


def test_there_are_jobs_and_files_to_compare() -> None:
    """A wrong folder must not pass for agreement."""
    assert {job.name for job in JOBS} >= {"harbour-runner", "one-square"}
    assert GOLDEN


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)
def test_a_job_measures_what_it_must(job: Path) -> None:
    """To a ten-thousandth of a mm."""
    expected = json.loads((job / "expected/size.json").read_text(encoding="utf-8"))
    measured = json.loads(json.dumps(size(job / "job.toml").json()))
    assert measured.keys() == expected.keys()
    for part, measures in expected.items():
        if isinstance(measures, dict):
            assert measured[part] == pytest.approx(measures, abs=1e-4), part
        else:
            assert measured[part] == measures


@cache
def _made(job: Path) -> Made:
    return make(size(job / "job.toml"), Options())


@pytest.mark.parametrize("path", GOLDEN, ids=lambda path: f"{path.parts[-3]}/{path.name}")
def test_a_job_gives_its_files(path: Path) -> None:
    """Byte for byte; a difference is shown line by line."""
    job = path.parents[1]
    content = _made(job).files[path.name].decode()
    expected = path.read_text(encoding="utf-8")
    # One element a line: a reader sees which line moved.
    texts = [text.replace("><", ">\n<").splitlines() for text in (expected, content)]
    shown = "\n".join(difflib.unified_diff(*texts, "expected", "found", lineterm=""))
    assert content == expected, f"{shown}\n{REFRESH.format(job.name)}"
