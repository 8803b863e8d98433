"""Whole jobs of the kinds that people ask about are made, and what is made has no fault."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from cutfiles import Options, buy, check, make, save, size
from cutfiles.job.model.job import Job
from cutfiles.nest.base.clock import Effort
from cutfiles.yields.fit import fit
from tests.clothes import CLOTHES, FOLDER
from tests.conftest import at_once, briefly

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


def _smaller(name: str) -> Job:
    """A job of each kind; of the largest as much as shows what is particular to it."""
    job = size(JOBS / f"harbour-{name}/job.toml").job
    if name == "stash":
        return replace(job, fabrics=job.fabrics[:5], plate=replace(job.plate, sewn=8))
    if name == "kits":
        quarters = [replace(fabric, width_mm=fabric.width_mm / 2) for fabric in job.fabrics]
        return replace(job, kits=2, plate=replace(job.plate, count=2), fabrics=tuple(quarters))
    if name == "shopping":
        return replace(job, plate=replace(job.plate, count=1))
    return job


@pytest.mark.parametrize("name", ["stash", "shopping", "scrappy", "kits", "metric", "pictured"])
def test_a_job_of_each_kind_is_told_what_it_gives_and_what_to_buy(name: str) -> None:
    """A line for each fabric as it is; and something to buy just where a fabric is as needed."""
    job = _smaller(name)
    answer = fit(job, effort=Effort(0, 0, rows_from=100), processes=1)
    there = [fabric for fabric in job.fabrics if not fabric.is_open]
    assert [each.fabric for each in answer.fabrics] == [fabric.name for fabric in there]
    assert all(count > 0 for each in answer.fabrics for _, count in each.holds)
    assert answer.whole.plates >= 1
    assert answer.largest is not None
    shopping = buy(job, Options(around_search=at_once, processes=1))
    assert [item.fabric for item in shopping.items] == [
        fabric.name for fabric in job.fabrics if fabric.is_open
    ]
    assert bool(shopping.items) is (name in ("shopping", "metric"))
