"""The finest feature of a shape, by shapes whose features are known."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings

from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, ring
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.cut.features import narrowest, too_small
from tests.nest.jobs import bed_of
from tests.strategies import lengths_mm
from tests.toolpath.tools import laid_out

QUARTER = math.tan(math.pi / 8)  # the bulge of a quarter round
HOURGLASS = ring((0, 0), (30, 0), (16, 20), (30, 40), (0, 40), (14, 20))


def notes_of(outline: Contour, smallest_mm: float) -> tuple[str, ...]:
    layout = laid_out(Shape("leaf", outline, (), symmetric=False), [(0.0, 0.0)])
    return too_small(layout, bed_of(smallest_mm=smallest_mm).machine, Unit.MM)


@settings(max_examples=20, deadline=None)
@given(neck=lengths_mm(0.5, 8.0))
def test_a_neck_is_as_wide_as_it_is(neck: float) -> None:
    """Two squares and a bridge; wide edges all round but for the bridge's own."""
    half = neck / 2
    bar = ring(
        (0, -20), (40, -20), (40, -half), (60, -half), (60, -20), (99, -20),
        (99, 20), (60, 20), (60, half), (40, half), (40, 20), (0, 20),
    )  # fmt: skip
    assert narrowest(bar, below_mm=10.0) == pytest.approx(neck, abs=0.01)


@pytest.mark.parametrize(
    ("outline", "smallest", "what"),
    [
        (HOURGLASS, 3.0, "narrowest part is 2 mm (0.079 in)"),
        (ring((0, 0), (40, 0), (40, 29), (39, 30), (0, 30)), 2.0, "smallest edge is 1.41 mm (0.056 in)"),
        (Circle(0, 0, 1.5), 4.0, "narrowest part is 3 mm (0.118 in)"),
        (
            Path(
                (Vertex(0, 0), Vertex(39, 0, 0.41421356), Vertex(40, 1), Vertex(40, 30), Vertex(0, 30)), True
            ),
            2.0,
            "smallest arc's radius is 1 mm (0.039 in)",
        ),
    ],
)
def test_the_finest_feature_is_named_with_its_size(outline: Contour, smallest: float, what: str) -> None:
    """Necks, short edges, small arcs and thin shapes; a machine fine enough is told nothing."""
    (note,) = notes_of(outline, smallest)
    assert (
        note
        == f"leaf: its {what}, the machine's smallest feature is {smallest:g} mm ({smallest / 25.4:.3f} in)"
    )
    assert notes_of(outline, 0.9) == ()


def test_a_sharp_point_and_the_chords_of_a_curve_are_no_features() -> None:
    """A point has no width of its own, and a chord of a smooth curve is no edge."""
    assert notes_of(ring((0, 0), (60, 0), (0, 9)), 2.0) == ()
    disc = ring(*[(20 * math.cos(n / 30 * math.pi), 20 * math.sin(n / 30 * math.pi)) for n in range(60)])
    assert notes_of(disc, 5.0) == ()
