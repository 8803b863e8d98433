"""Whole jobs of the kinds that people ask about are made, and what is made has no fault."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image

from cutfiles import Options, check, make, save
from tests.clothes import CLOTHES, FOLDER
from tests.conftest import briefly

JOBS = Path(__file__).parents[1] / "fixtures/jobs"


@pytest.mark.parametrize("name", ["stash", "shopping", "scrappy", "kits", "metric", "pictured"])
def test_a_job_of_each_kind_is_made_and_has_no_fault(tmp_path: Path, name: str) -> None:
    """Searched briefly: as many plates as it asks, each place of one filled, and every file as it must be."""
    job = JOBS / f"harbour-{name}/job.toml"
    made = make(job, Options(("svg",), around_search=briefly, processes=1))
    save(tmp_path / "cut", made)
    assert list(check(tmp_path / "cut").findings) == []
    layout = json.loads(made.files["layout.json"])
    assert len(layout["plates"]) == layout["sizes"]["plate"]["count"]
    assert ("<h2>Bags" in made.files["job-sheet.html"].decode()) is (name == "kits")
    assert ("<h2>Shopping list" in made.files["job-sheet.html"].decode()) is (name in ("shopping", "metric"))


def test_the_pictures_are_what_their_program_draws() -> None:
    """Pixel by pixel: how they are packed is up to the library."""
    for name, drawn in CLOTHES.items():
        with Image.open(FOLDER / name) as kept:
            assert kept.convert("RGB").tobytes() == drawn().tobytes(), name
