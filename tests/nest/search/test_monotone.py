"""More freedom never gives less: wider rules, larger sheets, more time."""

from __future__ import annotations

import pytest

from cutfiles.core.units import MM_PER_INCH as IN
from cutfiles.geometry.outline import Path, ring
from cutfiles.job.model.job import Face, Grain, Print
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.container import Container
from cutfiles.nest.cutting_rules.turns import allowed_turns
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.shape import Shape
from tests.nest.concave_shapes import ELL
from tests.nest.jobs import blade_of
from tests.nest.shapes import wedge

SHAPES: dict[str, Path] = {
    "wedge": wedge().cut,  # type: ignore[dict-item]
    "ell": ELL.cut,  # type: ignore[dict-item]
    "kite": ring((0, 0), (30, 40), (0, 90), (-25, 40)),
}
# From the narrowest to the widest, the blade along the length.
RULES = (
    (Print.ONE_WAY, Grain.LENGTHWISE),
    (Print.TWO_WAY, Grain.LENGTHWISE),
    (Print.FOUR_WAY, Grain.STRAIGHT),
    (Print.PLAIN, Grain.ANY),
)


def count(name: str, size: tuple[float, float], rule: tuple[Print, Grain], effort: Effort) -> int:
    """Return how many are found on a sheet in inches under a rule."""
    shape = Shape(name, SHAPES[name], (), symmetric=False)
    turns = allowed_turns(*rule, Face.RIGHT_SIDE_UP)
    container = Container(size[0] * IN, size[1] * IN, 3.0, turns, mirrored=False)
    return len(Solver((shape,), gap_mm=1.0, clock=Clock(effort=effort)).maximise(container, name))


# On each of these sheets quarter turns, searched alone, give less than half turns do.
@pytest.mark.parametrize(
    ("name", "size", "effort"),
    [
        ("kite", (8.0, 8.0), Effort(1, 20)),
        ("ell", (7.0, 6.0), Effort(2, 60)),
        ("wedge", (8.0, 11.0), Effort(1, 20)),
    ],
)
def test_a_wider_rule_never_gives_less(name: str, size: tuple[float, float], effort: Effort) -> None:
    """One way, end for end, quarter turns, any turn: each gives at least what the one before does."""
    counts = [count(name, size, rule, effort) for rule in RULES]
    assert counts == sorted(counts)
    assert counts[0] > 0


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_more_work_never_gives_less(name: str) -> None:
    """No insertion, a little, more: the search goes on from what it has."""
    counts = [
        count(name, (8.0, 8.0), RULES[1], effort) for effort in (Effort(0, 0), Effort(1, 40), Effort(3, 40))
    ]
    assert counts == sorted(counts)


def test_a_blade_fits_wherever_a_longer_one_does() -> None:
    """Shorter blades of one plate are held by the longer: at least as many fit."""
    counts = []
    for length in (5.0, 4.5, 4.0):
        blade = blade_of(length=length)
        wide, narrow = blade.wide_width_mm / 2, blade.narrow_width_mm / 2
        outline = ring((-narrow, 0), (narrow, 0), (wide, length * IN), (-wide, length * IN))
        shape = Shape("blade", outline, (), symmetric=True)
        container = Container(11 * IN, 11 * IN, 0.0, (0.0, 180.0), mirrored=False)
        solver = Solver((shape,), gap_mm=1.0, clock=Clock(effort=Effort(2, 60)))
        counts.append(len(solver.maximise(container, "blade")))
    assert counts == sorted(counts)
