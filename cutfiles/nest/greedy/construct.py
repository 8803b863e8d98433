"""Layouts of one shape built piece by piece: by greedy rules, and by rows and columns."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.form import Form, without_bays
from cutfiles.nest.base.forms import Forms, moved
from cutfiles.nest.base.ground import Ground
from cutfiles.nest.base.placed import Laid
from cutfiles.nest.greedy.packing import Fences, Packing, Rule
from cutfiles.nest.greedy.rows import Strips
from cutfiles.nest.greedy.rules import AROUND, RULES

Bound = Callable[[Ground, str], int]


class Construct:
    """Builds layouts; remembers fences and rows, as the grounds of a job have them in common."""

    def __init__(self, forms: Forms, bound: Bound, *, gap_mm: float, clock: Clock) -> None:
        self._forms, self._bound, self._gap_mm, self._clock = forms, bound, gap_mm, clock
        self._strips: dict[tuple[Form, ...], Strips] = {}
        self._quick: dict[tuple[Ground, str], tuple[Laid, ...]] = {}

    def fences(self, forms: tuple[Form, ...]) -> Fences:
        """Return where forms keep out of each other."""
        return self._strips_of(forms).fences

    def packing(self, ground: Ground, forms: tuple[Form, ...]) -> Packing:
        """Return the ground's room, empty."""
        width, height = ground.room
        return Packing(self.fences(forms), width_mm=width, height_mm=height, obstacles=ground.obstacles)

    def quick(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return what two greedy rules find: enough to choose how to rough-cut."""
        key = (ground, shape)
        if key not in self._quick:
            forms = self._forms.on(ground, shape)
            best: list[Laid] = []
            for rule in RULES[:2]:
                packing = self.packing(ground, forms)
                packing.fill(range(len(forms)), rule, most=self._bound(ground, shape))
                best = max(best, packing.laid, key=len)
            self._quick[key] = moved(best, ground.margin_mm)
        return self._quick[key]

    def full(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return as many pieces as rules and rows find; it stops where the bound is met."""
        bound = self._bound(ground, shape)
        best: list[Laid] = []
        for layout in self._layouts(ground, shape, bound):
            if len(layout) > len(best):
                best = layout
                self._clock.tick(len(best))
            if len(best) == bound or self._clock.is_up():
                break
        return moved(best, ground.margin_mm)

    def _layouts(self, ground: Ground, shape: str, most: int) -> Iterator[list[Laid]]:
        width, height = ground.room
        for forms in _families(self._forms.on(ground, shape)):
            for rule in rules(ground):
                packing = self.packing(ground, forms)
                packing.fill(range(len(forms)), rule, most=most)
                yield packing.laid
            if not ground.obstacles:  # strips know of none
                yield from self._strips_of(forms).layouts(width_mm=width, height_mm=height, most=most)

    def _strips_of(self, forms: tuple[Form, ...]) -> Strips:
        if forms not in self._strips:
            self._strips[forms] = Strips(Fences(forms, gap_mm=self._gap_mm))
        return self._strips[forms]


def rules(ground: Ground) -> Sequence[Rule]:
    """Return the greedy rules worth trying on a ground, in their order."""
    return (*RULES, *AROUND) if ground.obstacles else RULES


def _families(forms: tuple[Form, ...]) -> Iterator[tuple[Form, ...]]:
    """The forms, and with bays filled too: an even row may beat what interlocks."""
    yield forms
    if any(len(form.parts) > 1 for form in forms):
        yield tuple(without_bays(form) for form in forms)
