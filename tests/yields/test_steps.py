"""The longest blades of which one piece of a fabric holds so many: laid apart, and in bounded work."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from itertools import combinations
from typing import Any

import pytest
import shapely
from shapely import affinity

from cutfiles import parse_job
from cutfiles.geometry.outline import Path
from cutfiles.job.model.job import Job
from cutfiles.nest.search.greedy.packing import Packing
from cutfiles.nest.search.overlap import minimise, separate
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.yields.fit import Fit, fit
from cutfiles.yields.longest import with_blade
from cutfiles.yields.steps import LengthStep
from tests.nest.measured import points_of

IN = 25.4
LAID, MOVED, PUSHED = 4900, 900, 30000  # half as many again as it was when last looked at
# Alike in size and rules are samphire and kelp alone.
STASH = """
[plate]
blades = 16
sewn = 8
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


@pytest.fixture(scope="module")
def job() -> Job:
    """Four fabrics of three kinds, for eight blades in all."""
    return parse_job(STASH)


@pytest.fixture(scope="module")
def work() -> Counter[str]:
    """How much the answer took: pieces laid by greedy rules, and rounds of pushing and moving pieces."""
    return Counter()


@pytest.fixture(scope="module")
def answer(job: Job, work: Counter[str]) -> Fit:
    """What is told of them."""

    def counted(owner: Any, name: str) -> None:
        method: Callable[..., Any] = getattr(owner, name)

        def counting(*args: Any, **kwargs: Any) -> Any:
            work[name] += 1
            return method(*args, **kwargs)

        patch.setattr(owner, name, counting)

    with pytest.MonkeyPatch.context() as patch:
        counted(Packing, "lay")
        counted(minimise.GuidedLocalSearch, "_move")
        counted(separate._Pairs, "depths")
        return fit(job, processes=1)


@pytest.fixture(scope="module")
def steps(answer: Fit) -> tuple[LengthStep, ...]:
    """Those of all fabrics."""
    return answer.steps


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


def test_what_is_told_of_a_fabric_agrees(job: Job, answer: Fit) -> None:
    """Steps that hold the job's own blades, and what a piece holds; and the longest of all fits the steps."""
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


@pytest.mark.usefixtures("answer")
def test_the_work_is_bounded(work: Counter[str]) -> None:
    """Counted, not timed.

    A search of rows for each of so many lengths, as there once was, lays twenty times as many.
    """
    assert 0 < work["lay"] < LAID
    assert 0 < work["_move"] < MOVED
    assert 0 < work["depths"] < PUSHED
