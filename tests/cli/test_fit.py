"""`fit` from outside: what it prints, and that it writes nothing."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.commands import SMALL, cutfiles


def test_fit_tells_plates_and_lengths_and_writes_nothing(tmp_path: Path) -> None:
    """In words and as JSON with the keys that were promised; two squares of two blades make a fan of four."""
    job = tmp_path / "small.toml"
    job.write_text(SMALL)
    told = cutfiles("fit", job)
    assert (told.returncode, told.stderr) == (0, "")
    assert told.stdout.startswith("1 plate; blades decide how many\n")
    assert "tide: a piece holds 2 blades, 2 pieces 4\n" in told.stdout
    assert "1 plate as asked: blades up to 5 in long fit, a plate of 12 in; longer ones need" in told.stdout
    assert "\ntide  1 to 2: 5 in, 3: " in told.stdout
    told_json = json.loads(cutfiles("fit", job, "--json").stdout)
    assert (told_json["plates"], told_json["blades_over"], told_json["limited_by"]) == (1, 0, "blade")
    assert told_json["fabrics"] == [
        {"fabric": "tide", "pieces": 2, "holds": {"blade": 2}, "in_all": {"blade": 4}}
    ]
    assert told_json["largest"]["blade_length_mm"] == 127.0
    assert told_json["steps"][:2] == [
        {"fabric": "tide", "blades": 1, "blade_length_mm": 127.0},
        {"fabric": "tide", "blades": 2, "blade_length_mm": 127.0},
    ]
    assert [path.name for path in tmp_path.iterdir()] == ["small.toml"]


def test_a_job_without_fabric_is_one_line(tmp_path: Path) -> None:
    """Where, and what to do."""
    job = tmp_path / "bare.toml"
    job.write_text(SMALL[: SMALL.index("[[fabric]]")])
    run = cutfiles("fit", job)
    assert (run.returncode, run.stdout, run.stderr.count("\n")) == (2, "", 1)
    assert "add a [[fabric]]" in run.stderr
