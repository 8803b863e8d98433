"""`new` and `size` from outside."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cutfiles.formats.registry import FORMATS
from tests.cli.commands import DEMO, SMALL, cutfiles, cutfiles_process


def test_the_starter_job_runs_as_it_stands(tmp_path: Path) -> None:
    """`new`, then `size` and `make` of what it wrote."""
    job = tmp_path / "plate.toml"
    assert cutfiles("new", job).returncode == 0
    assert cutfiles("size", job).returncode == 0
    made = cutfiles("make", job, "--out", tmp_path / "cut")
    assert (made.returncode, made.stderr) == (0, "")
    assert (tmp_path / "cut" / "load-01.svg").exists()


@pytest.mark.parametrize(("unit", "across"), [("in", 292.1), ("cm", 292.0), ("mm", 292.0)])
def test_a_starter_in_any_unit_is_a_plate_of_usual_size(unit: str, across: float, tmp_path: Path) -> None:
    """In metric, sizes are round in metric; nobody is asked whether the unit is meant."""
    job = tmp_path / "plate.toml"
    assert cutfiles("new", "--unit", unit, job).returncode == 0
    run = cutfiles("size", job, "--json")
    assert (run.returncode, run.stderr) == (0, "")
    assert json.loads(run.stdout)["plate"]["finished_diameter_mm"] == pytest.approx(across)
    text = job.read_text(encoding="utf-8")
    assert f'unit = "{unit}"' in text
    assert ("/" in text.partition("[centre]")[0].replace("centre", "")) == (unit == "in")
    notes = [line.index("#", 1) for line in text.splitlines() if "  # " in line and line[0] != "#"]
    assert set(notes) <= {31, len('draw = ["sew", "fold", "label"]  ')}


@pytest.mark.parametrize(
    ("unit", "size"), [("in", ""), ("cm", "11.5 cm (4.528 in)"), ("mm", "11.5 mm (0.453 in)")]
)
def test_a_unit_changed_alone_is_asked_about(unit: str, size: str, tmp_path: Path) -> None:
    """Under 6 in, by `size` and by `make`; what is asked is one line on stderr."""
    asks = (
        f"the plate measures {size} tip to tip, which is very small: are its numbers meant in {unit}?"
        * bool(size)
    )
    job = tmp_path / "plate.toml"
    job.write_text(
        f'[job]\nunit = "{unit}"\n[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\nseam = "1/4"\n'
        '[[fabric]]\nname = "tide"\nwidth = 20\nlength = 20\n'
    )
    run = cutfiles("size", job)
    assert (run.returncode, run.stderr.count("\n")) == (0, int(bool(asks)))
    assert asks in run.stderr
    if asks and unit == "cm":
        made = cutfiles("make", job, "--out", tmp_path / "cut", "--files", "svg")
        assert (made.returncode, asks in made.stderr) == (0, True), made.stderr


def test_a_plate_over_60_inches_is_asked_about(tmp_path: Path) -> None:
    """And one of just 60 isn't, nor one of just 6."""
    for diameter, asked in (("60.01", 1), ("60", 0), ("6", 0), ("5.99", 1)):
        job = tmp_path / "plate.toml"
        job.write_text(f'[plate]\nfinished_diameter = "{diameter}"\ninner_radius = 1\n')
        assert cutfiles("size", job).stderr.count("are its numbers meant in in?") == asked, diameter


def test_new_never_overwrites(tmp_path: Path) -> None:
    """What was there stays, byte for byte."""
    job = tmp_path / "plate.toml"
    job.write_text("mine")
    run = cutfiles("new", job)
    assert (run.returncode, run.stdout) == (2, "")
    assert run.stderr == f"{job}: is there already; choose another name or move it away\n"
    assert job.read_text() == "mine"
    assert cutfiles("new", tmp_path / "no" / "such" / "folder.toml").returncode == 2


def test_size_json_gives_the_handbook_plate() -> None:
    """The numbers of the usual twenty-blade plate, worked out by hand in inches."""
    run = cutfiles("size", DEMO, "--json")
    assert (run.returncode, run.stderr) == (0, "")
    sizes = json.loads(run.stdout)
    inches = {
        ("blade", "length_mm"): 4.75,
        ("blade", "narrow_width_mm"): 0.9022,
        ("blade", "wide_width_mm"): 2.4068,
        ("plate", "finished_diameter_mm"): 11.5,
        ("plate", "valley_diameter_mm"): 10.0514,
        ("plate", "opening_diameter_mm"): 2.5312,
        ("centre", "finished_diameter_mm"): 3.0312,
        ("centre", "cut_diameter_mm"): 3.5312,
        ("background", "cut_side_mm"): 13,
    }
    for (part, key), inch in inches.items():
        assert sizes[part][key] / 25.4 == pytest.approx(inch, abs=5e-5), key
    assert sizes["blade"]["angle_deg"] == 18
    assert sizes["needs"] == [
        {"shape": "blade", "count": 60},
        {"shape": "centre", "count": 3},
        {"shape": "background", "count": 3},
    ]


def test_size_json_tells_of_cloth_that_is_too_short(tmp_path: Path) -> None:
    """Only where no piece is as long as a blade."""
    job = tmp_path / "short.toml"
    job.write_text(SMALL.replace("length = 5", "length = 4"))
    assert json.loads(cutfiles("size", job, "--json").stdout)["cloth"] == {"longest_mm": 101.6}
    job.write_text(SMALL)
    assert "cloth" not in json.loads(cutfiles("size", job, "--json").stdout)


def test_size_shows_the_jobs_unit(tmp_path: Path) -> None:
    """Inches as fractions with the decimal where that rounds; millimetres as they are."""
    text = cutfiles("size", DEMO).stdout
    assert "7/8 in (0.9022)" in text
    assert "4 3/4 in long, 18° wide" in text
    job = tmp_path / "mm.toml"
    job.write_text('[job]\nunit = "mm"\n[plate]\nblade_length = 120\ninner_radius = 30\n')
    assert "finished diameter  287.3 mm tip to tip" in cutfiles("size", job).stdout


def test_a_fan_is_not_measured_twice_from_tip_to_tip(tmp_path: Path) -> None:
    """Its diameter is that of a circle, and its two furthest tips are nearer: 6.760 in of a quarter."""
    job = tmp_path / "fan.toml"
    job.write_text('[plate]\nblades = 20\nsewn = 5\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n')
    lines = cutfiles("size", job).stdout.splitlines()
    (diameter,) = [line for line in lines if line.startswith("finished diameter")]
    assert diameter.split(maxsplit=2)[2] == "11 1/2 in of the circle that its tips lie on"
    assert [line for line in lines if "tip to tip" in line] == [
        "tip to tip         6 3/4 in (6.7595), of the two that are furthest apart"
    ]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (
            ("size", "none.toml"),
            "none.toml: can't be read (No such file or directory); give the path of a job file",
        ),
        (("size",), "cutfiles size: Missing argument 'JOB'. See cutfiles size --help."),
        (("sizes", "x"), "cutfiles: No such command 'sizes'. See cutfiles --help."),
        (("make", "x"), "cutfiles make: Missing option '--out'. See cutfiles make --help."),
        (
            ("make", "x", "--out", "y", "--files", "svg,pgn"),
            f'--files: "pgn" is not allowed; choose {", ".join(list(FORMATS)[:-1])} or {list(FORMATS)[-1]}',
        ),
    ],
)
def test_an_error_is_one_line_and_status_2(words: tuple[str, ...], line: str, tmp_path: Path) -> None:
    """Nothing on stdout, no traceback, nothing made."""
    run = cutfiles_process(*words, cwd=tmp_path)
    assert (run.returncode, run.stdout, run.stderr) == (2, "", f"{line}\n")
    assert list(tmp_path.iterdir()) == []


def test_a_bad_key_is_named_with_its_file(tmp_path: Path) -> None:
    """File, key path, what to do."""
    job = tmp_path / "j.toml"
    job.write_text("[plate]\nblade_lenght = 4\n")
    assert cutfiles("size", job).stderr == (
        f'{job}: plate.blade_lenght: unknown key "blade_lenght"; the nearest known one is blade_length\n'
    )


def test_help_names_every_command() -> None:
    """Both spellings of help, and the version."""
    run = cutfiles_process("--help")
    assert run.returncode == 0
    for command in ("new", "size", "make", "check"):
        assert f"\n  {command} " in run.stdout
    assert cutfiles_process("-h").stdout == run.stdout
    assert cutfiles_process("--version").stdout.startswith("cutfiles 0.")
