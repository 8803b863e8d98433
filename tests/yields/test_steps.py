"""The longest blades of which one piece of a fabric holds so many: laid apart, and in bounded work."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
import shapely
from shapely import affinity

from cutfiles import parse_job
from cutfiles.geometry.outline import Path
from cutfiles.job.model.job import Job
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.search.greedy.packing import Packing
from cutfiles.nest.search.overlap import minimise, separate
from cutfiles.nest.search.workers import Workers
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.yields import fit as door
from cutfiles.yields.fit import fit
from cutfiles.yields.longest import with_blade
from cutfiles.yields.steps import LengthStep, steps_of_all
from cutfiles.yields.trial import Trial
from tests.nest.measured import points_of

IN = 25.4
LAID, MOVED, PUSHED = 6000, 1200, 40000  # half as many again as it was when last looked at
# Alike in size and rules are samphire and kelp alone.
STASH = """
[plate]
blades = 16
blade_length = 4
inner_radius = 1

[machine]
gap = "1/16"

[[fabric]]
name = "samphire"
width = 5
length = 5

[[fabric]]
name = "kelp"
width = 5
length = 5

[[fabric]]
name = "mooring"
width = 5
length = "6 1/2"
grain = "straight"
margin = "1/8"

[[fabric]]
name = "limpet"
width = "5 3/4"
length = "7 1/2"
print = "one-way"
"""


def _steps(job: Job) -> tuple[LengthStep, ...]:
    trial = Trial(job, effort=Effort(0, 0))
    shapes = cut_list(job, plate_of(job)).shapes
    with Workers(shapes, gap_mm=job.machine.gap_mm, clock=Clock(), processes=1) as alone:
        return steps_of_all(job, trial, alone)


@pytest.fixture(scope="module")
def job() -> Job:
    """Four fabrics of three kinds."""
    return parse_job(STASH)


@pytest.fixture(scope="module")
def steps(job: Job) -> tuple[LengthStep, ...]:
    """Those of all fabrics."""
    return _steps(job)


def test_every_step_lies_apart_and_on_the_cloth(job: Job, steps: tuple[LengthStep, ...]) -> None:
    """Measured by a library that the search doesn't use: gaps between pieces, margins to the edge, turns."""
    turns = {"samphire": {0, 180}, "mooring": {0, 90, 180, 270}, "limpet": {0}}
    fabrics = {fabric.name: fabric for fabric in job.fabrics}
    assert {(step.fabric, step.blades) for step in steps} >= {(name, 12) for name in turns}
    for step in steps:
        if step.fabric == "kelp":
            continue
        longer = with_blade(job, step.blade_length_mm)
        cut = cut_list(longer, plate_of(longer)).shape("blade").cut
        assert isinstance(cut, Path)
        fabric = fabrics[step.fabric]
        room = shapely.box(0, 0, fabric.width_mm, fabric.length_mm).buffer(
            1e-3 - fabric.margin_mm, join_style="mitre"
        )
        laid = []
        for _, turn, mirrored, x, y in step.layout:
            assert round(turn) in turns[step.fabric]
            assert not mirrored
            turned = affinity.rotate(shapely.Polygon(points_of(cut)), turn, origin=(0, 0))
            laid.append(affinity.translate(turned, x, y))
        assert len(laid) == step.blades
        assert all(room.covers(blade) for blade in laid), step
        gap = job.machine.gap_mm
        assert all(one.distance(other) > gap - 1e-3 for one, other in combinations(laid, 2)), step


def test_alike_cloth_has_alike_steps(steps: tuple[LengthStep, ...]) -> None:
    """It is searched once, and told of each fabric."""
    samphire, kelp = (
        [(step.blades, step.blade_length_mm) for step in steps if step.fabric == name]
        for name in ("samphire", "kelp")
    )
    assert samphire == kelp


def test_longer_blades_never_lie_where_shorter_ones_were_not_found(steps: tuple[LengthStep, ...]) -> None:
    """More blades are never longer ones."""
    for name in ("samphire", "mooring", "limpet"):
        lengths = [step.blade_length_mm for step in steps if step.fabric == name]
        assert lengths == sorted(lengths, reverse=True)


def test_what_is_told_of_a_fabric_agrees(job: Job) -> None:
    """Steps that hold the job's own blades, and what a piece holds; and the longest of all fits the steps."""
    answer = fit(replace(job, plate=replace(job.plate, sewn=8)), effort=Effort(0, 0), processes=1)
    own = job.plate.blade_length_mm
    assert own is not None
    for each in answer.fabrics:
        steps = [step for step in answer.steps if step.fabric == each.fabric]
        assert dict(each.holds)["blade"] == max(
            step.blades for step in steps if step.blade_length_mm >= own - 1e-6
        )
    assert answer.largest is not None
    by_length = sorted((step.blade_length_mm for step in answer.steps), reverse=True)
    # Eight blades from four pieces that give nothing else: the eighth longest of all steps.
    assert answer.largest.blade_length_mm == pytest.approx(by_length[7])


def test_the_work_is_bounded(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted, not timed: pieces laid by greedy rules, and rounds of pushing and moving pieces.

    A search of rows for each of so many lengths, as there once was, lays twenty times as many.
    """
    work: Counter[str] = Counter()

    def counted(owner: Any, name: str) -> None:
        method: Callable[..., Any] = getattr(owner, name)

        def counting(*args: Any, **kwargs: Any) -> Any:
            work[name] += 1
            return method(*args, **kwargs)

        monkeypatch.setattr(owner, name, counting)

    counted(Packing, "lay")
    counted(minimise.GuidedLocalSearch, "_move")
    counted(separate._Pairs, "depths")
    fit(job, effort=door._EFFORT, processes=1)
    assert 0 < work["lay"] < LAID
    assert 0 < work["_move"] < MOVED
    assert 0 < work["depths"] < PUSHED
