"""Files of templates: paper gets the parts as they come out, and what is left out of it is said."""

from __future__ import annotations

import re
from pathlib import Path

from cutfiles.pipeline import Made, Options, make, size
from tests.conftest import briefly

JOB = """
[plate]
blade_length = "4 3/4"
inner_radius = "1 1/4"
[centre]
[[template]]
shape = "blade"
[stock]
width = "300 mm"
height = "500 mm"
kerf = "0.3 mm"
[output]
paper = "A4"
"""


def made(folder: Path, *formats: str) -> Made:
    path = folder / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return make(size(path), Options(formats, around_search=briefly))


def test_pages_left_out_of_templates_are_said(tmp_path: Path) -> None:
    """In the notes of the run and of layout.json, and only where a PDF is written."""
    files = made(tmp_path, "svg", "pdf")
    (note,) = (note for note in files.notes if note.startswith("PDF: "))
    assert re.search(r": template-01 1-1(, \d-\d)*$", note)
    assert note in files.layout["templates"]["notes"]
    assert not [note for note in made(tmp_path, "svg", "hpgl").notes if "PDF" in note]


def test_paper_has_no_kerf(tmp_path: Path) -> None:
    """The blade's hole is 0.3 mm wider on paper than where the laser's middle runs."""
    files = made(tmp_path, "svg", "pdf")
    hole = re.search(
        r'<circle cx="(\S+)" cy="(\S+)" id="stock-blade-001-inner-1" r="(\S+)"',
        str(files.files["template-01.svg"]),
    )
    assert hole is not None
    x, y, radius = float(hole[1]), 500 - float(hole[2]), float(hole[3])
    pages = files.files["template-01.pdf"].decode("latin-1")
    assert f"\n{x + radius + 0.15:.4f}".rstrip("0") + f" {y:.4f}".rstrip("0") in pages
