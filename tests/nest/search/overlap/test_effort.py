"""How much is tried before it is said that no piece more fits: it is counted, and bounded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from cutfiles.nest.base.clock import USUAL, Clock
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.context import Attempt, Outcome, Question, SearchContext
from cutfiles.nest.base.orientations import Orientations, PlainLayout
from cutfiles.nest.base.oriented_item import oriented_item
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.overlap.insert import Insertion
from cutfiles.nest.search.overlap.minimise import GuidedLocalSearch, OverlapMinimisation, Start
from tests.nest.shapes import square


class _NoRoom:
    """Says of every attempt that it found no room, and keeps how many there were."""

    def __init__(self) -> None:
        self.attempts: list[int] = []

    def solve(self, questions: Sequence[Question]) -> Sequence[PlainLayout | None]:
        return [None] * len(questions)

    def attempt(self, attempts: Sequence[Attempt]) -> Outcome | None:
        self.attempts.append(len(attempts))
        return Outcome(None)


@pytest.mark.parametrize(
    ("pieces", "missing", "attempts"),
    [(3, 1, [6]), (9, 1, [3]), (9, 2, [2, 2]), (9, 4, [2, 2, 2, 2]), (3, 2, [3, 3])],
)
def test_shapes_that_are_missing_share_the_starts(pieces: int, missing: int, attempts: list[int]) -> None:
    """Six starts for few pieces, half of them for many, and two at the least for each of several shapes."""
    shapes = [replace(square(10.0), name=f"square-{number}") for number in range(missing)]
    helpers = _NoRoom()
    context = SearchContext(Orientations(shapes), 0.0, Clock(effort=USUAL), helpers)
    container = Container(31.0, 31.0, 0.0, (0.0,), mirrored=False)
    item = context.items.on(container, "square-0")[0]
    layout = [PlacedItem(item, 10.0 * (number % 3), 10.0 * (number // 3)) for number in range(pieces)]
    assert Insertion(context).insert([layout], container, [(shape.name, 1) for shape in shapes]) is None
    assert helpers.attempts == attempts


def test_pieces_far_from_lying_apart_are_given_up_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """A square too many overlaps by its whole side: of 400 moves some forty are made."""
    moves = 0
    move = GuidedLocalSearch._move

    def counted(search: GuidedLocalSearch, index: int, depths: object) -> None:
        nonlocal moves
        moves += 1
        move(search, index, depths)  # type: ignore[arg-type]

    monkeypatch.setattr(GuidedLocalSearch, "_move", counted)
    item = oriented_item(square(10.0), turn_deg=0.0, mirrored=False)
    full = tuple(PlacedItem(item, 10.0 * x, 10.0 * y) for y in range(3) for x in range(4))
    found = OverlapMinimisation([item], gap_mm=0.0).one_more(
        Start(full, "square", 0), size=(40.0, 30.0 + 0.01), moves=400, stop=lambda: False
    )
    assert found is None
    assert 40 <= moves < 75
