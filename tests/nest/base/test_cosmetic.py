"""What is cosmetic changes no search: the same cloth gets the same effort and the same layout."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import Grain, Print
from cutfiles.job.parse.read import read_job
from cutfiles.nest.base.clock import Clock, effort_for
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from tests.nest.jobs import fabric_of

JOB = """
[job]
title = "Runner"

[plate]
blades = 12
blade_length = "3 in"
inner_radius = "1 in"

[[outline]]
name = "pennant"
points = [[0, 0], [2, 0], [0, 1]]
count = 2
seam = 0

[[fabric]]
name = "tide"
width = 6
length = 5
cuts = { blade = 2, pennant = 2 }
colour = "#7fb2bd"

[[fabric]]
name = "shingle"
width = 5
length = 4
print = "two-way"
grain = "lengthwise"
cuts = { blade = "fill" }

[layers]
cut = { colour = "#cc0000" }
"""
CHANGES = {
    "title": ('title = "Runner"', 'title = "Harbour, at low water"'),
    "names": ("tide", "zostera"),
    "colour of a layer": ("#cc0000", "#0000cc"),
    "colour of a fabric": ("#7fb2bd", "#204060"),
    "keys of a table": ("width = 6\nlength = 5", "length = 5\nwidth = 6"),
    "order of shapes": ("{ blade = 2, pennant = 2 }", "{ pennant = 2, blade = 2 }"),
    "order of tables": (
        '[layers]\ncut = { colour = "#cc0000" }\n',
        '[layers.cut]\ncolour = "#cc0000"\n\n[mat]\n',
    ),
}

Lying = list[tuple[str, int, str, Pose]]


def _lying(folder: Path, text: str) -> Lying:
    """Return where all pieces of a job lie, without any name that the job may choose."""
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    job = read_job(path)
    pieces = cut_list(job, plate_of(job))
    clock = Clock(effort=effort_for(job.fabrics))
    layout = nest(pieces, Bed(job.mat, job.machine, job.unit), clock=clock)
    number = {fabric.name: index for index, fabric in enumerate(job.fabrics)}
    return [
        (load.name, number[cloth.fabric], placement.shape, placement.pose)
        for load in layout.loads
        for cloth in load.fabrics
        for placement in cloth.placements
    ]


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> Lying:
    """Return where the pieces of the job lie as it stands."""
    return _lying(tmp_path_factory.mktemp("usual"), JOB)


@pytest.mark.parametrize("change", sorted(CHANGES))
def test_the_same_cloth_gets_the_same_layout(tmp_path: Path, usual: Lying, change: str) -> None:
    """Another title, other names, another colour, another order of keys: every piece lies where it lay."""
    before, after = CHANGES[change]
    assert before in JOB
    assert _lying(tmp_path, JOB.replace(before, after)) == usual


def test_effort_counts_kinds_of_cloth_not_of_fabric() -> None:
    """Twelve names, drawings and ways to say the same rule are one kind; twelve sizes are twelve."""
    alike = [
        replace(
            fabric_of(f"tide-{number}", size=(9, 8), pieces=1),
            drawing=Path(f"scrap-{number}.svg"),
            print_=(Print.FOUR_WAY, Print.PLAIN)[number % 2],
            grain=(Grain.ANY, Grain.STRAIGHT)[number % 2],
        )
        for number in range(12)
    ]
    unlike = [fabric_of("tide", size=(9, 8 + number), pieces=1) for number in range(12)]
    assert effort_for(alike) == effort_for(alike[:1])
    assert effort_for(unlike) != effort_for(unlike[:1])
