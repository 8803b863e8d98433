"""Two formats of one load: circles beside chords, and strokes in another order."""

from __future__ import annotations

import math
import random

import pytest

from cutfiles.check.rules.formats import formats_differ
from cutfiles.formats.model.drawing import Capabilities, Drawing, Item, Layer
from cutfiles.formats.model.strokes import StrokeCollector
from cutfiles.geometry.outline import Circle, Point

WITHIN_MM = 0.02
EXACT, CHORDED = Capabilities(within_mm=0.0), Capabilities(within_mm=WITHIN_MM, has_arcs=False)
CROSS = ((20.0, 20.0), (30.0, 20.0))


def _drawing(kind: Capabilities, *strokes: tuple[Point, ...], circles: tuple[Circle, ...] = ()) -> Drawing:
    collector = StrokeCollector()
    for number, stroke in enumerate(strokes):
        collector.add([number for point in stroke for number in point], number)
    items = tuple(Item(Layer.DRAW, "draw", circle, None, "") for circle in circles)
    return Drawing(None, None, items, kind, collector.strokes(str))


def _round(radius: float, *, chords: int = 90, of: int = 90) -> tuple[Point, ...]:
    angles = [2 * math.pi * step / of for step in range(chords + 1)]
    return tuple((50 + radius * math.cos(angle), 40 + radius * math.sin(angle)) for angle in angles)


def _says(mine: Drawing, theirs: Drawing) -> list[str]:
    return [fault.says for fault in formats_differ(mine, theirs, "other", [Layer.DRAW])]


@pytest.mark.parametrize(
    ("radius", "chords", "lacking"),
    [
        (5.0, 90, (0, 0)),
        (5.0 + 0.9 * WITHIN_MM, 90, (0, 0)),
        (5.0 + 1.1 * WITHIN_MM, 90, (90, 2)),
        (5.0 - 2 * WITHIN_MM, 90, (90, 2)),
        (5.0, 89, (0, 1)),  # one of its chords is missing
        (5.0, 46, (0, 1)),  # hardly more than half of it is there
        (5.0, 44, (0, 2)),
    ],
)
def test_a_circle_is_chords_that_run_round_on_it(
    radius: float, chords: int, lacking: tuple[int, int]
) -> None:
    """All round and no further off than the coarser format is, whichever of the two is reported on."""
    whole = _drawing(EXACT, CROSS, circles=(Circle(50, 40, 5),))
    broken = _drawing(CHORDED, CROSS, _round(radius, chords=chords))
    more, less = lacking
    expected = f"has {more} lines that other lacks, and lacks {less} of its lines"
    assert _says(broken, whole) == ([expected] if more or less else [])
    expected = f"has {less} lines that other lacks, and lacks {more} of its lines"
    assert _says(whole, broken) == ([expected] if more or less else [])


@pytest.mark.parametrize("lost", [0, 1, 3])
def test_strokes_are_matched_in_any_order_and_either_way_round(lost: int) -> None:
    """What comes first in one file may come last in the other; what one lacks is counted."""
    rng = random.Random(7)
    strokes = [tuple((rng.uniform(0, 90), rng.uniform(0, 90)) for _ in range(3)) for _ in range(40)]
    other = [stroke[::-1] if rng.random() < 0.5 else stroke for stroke in strokes]
    rng.shuffle(other)
    says = _says(_drawing(EXACT, *strokes), _drawing(CHORDED, *other[lost:]))
    assert says == ([f"has {2 * lost} lines that other lacks, and lacks 0 of its lines"] if lost else [])
