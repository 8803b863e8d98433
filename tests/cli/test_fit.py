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
    assert (
        "1 plate as asked: blades up to 5 in long fit, a plate of 12 in; a longer blade needs" in told.stdout
    )
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


def test_strips_are_told_that_the_grain_turned_would_help(tmp_path: Path) -> None:
    """Strips of 42 × 2 1/2 in hold no blade of 4 3/4 in along their grain, and eight lying across."""
    job = tmp_path / "strips.toml"
    small = SMALL.replace("width = 4.5\nlength = 5", 'width = 42\nlength = "2 1/2"')
    assert small != SMALL
    job.write_text(small)
    told = cutfiles("fit", job)
    assert 'tide: with grain = "crosswise" it would hold 8 blades\n' in told.stdout
    assert "tide: a piece holds 0 blades" in told.stdout
    (tide,) = json.loads(cutfiles("fit", job, "--json").stdout)["fabrics"]
    assert tide["turned"] == {"grain": "crosswise", "holds": {"blade": 8}}


def test_bands_and_alike_fabrics_are_told_as_people_say_it(tmp_path: Path) -> None:
    """A band's name isn't bent, and of several fabrics alike each one's number is told."""
    job = tmp_path / "bands.toml"
    text = SMALL.replace('name = "tide"', 'names = ["tide", "kelp"]')
    text = text.replace("[plate]", '[plate]\nbands = ["3 1/2"]')
    job.write_text(text)
    told = cutfiles("fit", job)
    assert told.returncode == 0, told.stderr
    assert "tide, kelp: a piece holds 3 of band-1, 2 pieces of each 6\n" in told.stdout


def test_every_shortage_is_told_at_once(tmp_path: Path) -> None:
    """Blades, centres and backgrounds, in the words in which `buy` and `make` tell them."""
    job = tmp_path / "short.toml"
    small = SMALL.replace("[plate]", "[centre]\n\n[background]\n\n[plate]\ncount = 3", 1)
    job.write_text(
        small.replace("pieces = 2", 'pieces = 2\ncuts = { blade = "rest" }')
        + """
[[fabric]]
name = "lantern"
width = 4
length = 4
cuts = { centre = "rest" }

[[fabric]]
name = "sailcloth"
width = 27
length = 14
cuts = { background = "rest" }
"""
    )
    told = cutfiles("fit", job)
    assert (told.returncode, told.stderr) == (0, "")
    assert told.stdout.startswith("1 plate; centres decide how many\n")
    _, _, after = told.stdout.partition("\nfor 3 plates as asked there is too little:\n")
    shortages = after.split("\n\n")[0].splitlines()
    assert [line.split(" still to be cut, ")[1] for line in shortages] == [
        "2 fit (sailcloth 2): 1 short; of sailcloth, 1 more piece would do",
        "1 fit (lantern 1): 2 short; of lantern, 2 more pieces would do",
        "4 fit (tide 4): 8 short; of tide, 4 more pieces would do",
    ]
    assert json.loads(cutfiles("fit", job, "--json").stdout)["shortages"] == shortages
    assert cutfiles("buy", job).stderr == "".join(f"{job}: {line}\n" for line in shortages)


def test_a_number_that_is_too_high_decides(tmp_path: Path) -> None:
    """Ten centres are asked of a square that holds one: no plate can be made, and not for want of blades."""
    job = tmp_path / "number.toml"
    lantern = '\n[[fabric]]\nname = "lantern"\nwidth = 4\nlength = 4\ncuts = { centre = 10 }\n'
    job.write_text(SMALL.replace("[[fabric]]", "[centre]\n\n[[fabric]]", 1) + lantern)
    told = json.loads(cutfiles("fit", job, "--json").stdout)
    assert (told["plates"], told["limited_by"]) == (0, "centre")
    assert told["shortages"] == ["lantern: 10 centres asked, 1 fit on 1 piece; 9 more pieces would do"]


def test_nothing_limits_what_is_bought_as_needed(tmp_path: Path) -> None:
    """As many plates as are asked, and no shape decides."""
    job = tmp_path / "bought.toml"
    job.write_text(SMALL.replace("length = 5", 'length = "as needed"').replace("pieces = 2\n", ""))
    told = cutfiles("fit", job)
    assert told.stdout.startswith(
        "1 plate; no more are asked for, and their cloth is bought as needed\n\n1 plate"
    )
    assert json.loads(cutfiles("fit", job, "--json").stdout)["limited_by"] is None
