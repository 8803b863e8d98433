"""What a rule has laid is remembered: as if each time it were laid anew."""

from __future__ import annotations

import pytest

from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.container import Container
from cutfiles.nest.base.context import SearchContext
from cutfiles.nest.base.orientations import Orientations
from cutfiles.nest.search.greedy.construct import Construction
from cutfiles.nest.search.greedy.packing import NoFits, Packing
from cutfiles.nest.search.greedy.rules import RULES
from tests.nest.shapes import HALF, wedge

_SHEET = Container(250.0, 300.0, 0.0, HALF, mirrored=False)


def _construction(clock: Clock) -> Construction:
    return Construction(SearchContext(Orientations([wedge()]), 1.0, clock))


@pytest.mark.parametrize("asked", [(3, 40, 5), (40, 3), (5, 6, 7)])
def test_fewer_pieces_are_the_first_of_more(asked: tuple[int, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever was asked before; and what was laid once isn't laid again."""
    fills: list[float] = []
    fill = Packing.fill

    def counted(packing: Packing, *arguments: object, most: float) -> int:
        fills.append(most)
        return fill(packing, *arguments, most=most)  # type: ignore[arg-type]

    construction = _construction(Clock())
    items = Orientations([wedge()]).on(_SHEET, "blade")
    for rule in RULES[:3]:
        anew = Packing(NoFits(items, gap_mm=1.0), width_mm=250.0, height_mm=300.0)
        anew.fill((0, 1), rule)
        assert 7 < len(anew.placed) < 40
        monkeypatch.setattr(Packing, "fill", counted)
        for most in asked:
            assert construction.by_rule(_SHEET, items, rule, most=most) == anew.placed[:most]
        monkeypatch.undo()
    growing = [most for index, most in enumerate(asked) if most > max((0, *asked[:index]))]
    assert fills == growing * 3


def test_what_was_laid_in_a_hurry_is_laid_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once the time is up, pieces lie on shelves, which is no answer for later."""
    clock = Clock()
    construction = _construction(clock)
    items = Orientations([wedge()]).on(_SHEET, "blade")
    monkeypatch.setattr(Clock, "is_overdue", lambda _: True)
    hurried = construction.by_rule(_SHEET, items, RULES[0], most=40)
    monkeypatch.undo()
    assert len(construction.by_rule(_SHEET, items, RULES[0], most=40)) > len(hurried) > 0
