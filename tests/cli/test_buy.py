"""`buy` from outside: what it prints, and that it writes nothing."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.commands import SMALL, cutfiles

OPEN = SMALL.replace("pieces = 2", 'pieces = "as needed"')


def test_buy_tells_pieces_and_writes_nothing(tmp_path: Path) -> None:
    """A fan of four blades, two to a square; in words, and as JSON with the keys that were promised."""
    job = tmp_path / "small.toml"
    job.write_text(OPEN)
    told = cutfiles("buy", job)
    assert (told.returncode, told.stderr) == (0, "")
    assert told.stdout == (
        "tide    2 pieces of 4 1/2 × 5 in, one less won't do  for 4 × blade\nin all  2 pieces\n"
    )
    told_json = json.loads(cutfiles("buy", job, "--json").stdout)
    assert told_json["items"] == [
        {
            "fabric": "tide",
            "sold_as": "pieces",
            "pieces": 2,
            "packs": None,
            "width_mm": 114.3,
            "length_mm": 127.0,
            "gives": {"blade": 4},
            "least": True,
        }
    ]
    assert told_json["total"] == {"pieces": 2, "packs": 0, "length_mm": 0}
    assert [path.name for path in tmp_path.iterdir()] == ["small.toml"]


def test_where_all_is_there_nothing_is_bought(tmp_path: Path) -> None:
    """Said in words, not by an empty answer."""
    job = tmp_path / "small.toml"
    job.write_text(SMALL)
    told = cutfiles("buy", job)
    assert (told.returncode, told.stdout) == (
        0,
        "nothing to buy: the fabrics of the job give all it asks\n",
    )


def test_what_is_short_comes_last_and_fails(tmp_path: Path) -> None:
    """The list is still told; a line for what is short, with the file's name and what would do."""
    job = tmp_path / "small.toml"
    job.write_text(SMALL.replace("pieces = 2", "pieces = 1"))
    told = cutfiles("buy", job)
    assert told.returncode == 2
    assert (
        told.stdout == 'the fabrics of the job give too little, and none has pieces or length "as needed"\n'
    )
    assert told.stderr.count("\n") == 1
    assert told.stderr.startswith(f"{job}: ")
    assert "1 more piece would do" in told.stderr
