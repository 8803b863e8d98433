"""`size --picture`: plate and cut blade with their measures, and nothing of the user's is overwritten."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner
from lxml import etree

from cutfiles.cli.size import size
from cutfiles.core.errors import DiskError
from tests.cli.commands import SMALL, cutfiles

STARTER = """\
[plate]
blade_length = "4 3/4"
inner_radius = "1 1/4"
[centre]
[background]
"""
SVG = "{http://www.w3.org/2000/svg}"


def test_plate_and_blade_are_drawn_with_their_measures(tmp_path: Path) -> None:
    """Two pictures beside each other, neither over the other; written again where it was written before."""
    job, picture = tmp_path / "job.toml", tmp_path / "plate.svg"
    job.write_text(STARTER)
    for _ in range(2):
        run = CliRunner().invoke(size, [str(job), "--picture", str(picture)])
        assert run.exit_code == 0, run.output
    tree = etree.parse(picture).getroot()
    plate, blade = tree.findall(f"{SVG}svg")
    assert float(blade.get("x")) >= float(plate.get("width"))
    assert float(tree.get("width")) >= float(blade.get("x")) + float(blade.get("width")) - 1e-3
    texts = {text.text for text in blade.iter(f"{SVG}text")}
    assert {"Length, cut: 4 3/4 in", "Narrow end: 7/8 in (0.9022)", "Seam: 1/4 in"} <= texts
    assert "Wide end: 2 7/16 in (2.4068)" in texts
    assert "up to 1/32 in too narrow" in run.output
    assert "for 1/16 in too narrow the cover must be 3/8 in (0.4045)" in run.output


def test_another_file_stays(tmp_path: Path) -> None:
    """One line, and the file is as it was."""
    job, mine = tmp_path / "job.toml", tmp_path / "mine.svg"
    job.write_text(STARTER)
    mine.write_text("<svg/>")
    run = CliRunner().invoke(size, [str(job), "--picture", str(mine)])
    assert isinstance(run.exception, DiskError)
    assert mine.read_text() == "<svg/>"


def test_a_picture_is_an_svg_by_its_name(tmp_path: Path) -> None:
    """A PNG that holds SVG would open nowhere: refused, and nothing written."""
    job = tmp_path / "job.toml"
    job.write_text(SMALL)
    run = cutfiles("size", job, "--picture", tmp_path / "plate.png")
    assert (run.returncode, run.stdout, run.stderr.count("\n")) == (2, "", 1)
    assert "let it end with .svg" in run.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["job.toml"]
