"""As many pieces of one shape as a ground is found to hold: whatever search finds most.

Lest a wider rule give less than a narrower one, narrower sets of turns are searched as well where they may
come near, and the best of all is where the squeeze begins. (The moves that the clock has left are shared by
a whole job; once they are gone, a ground that was squeezed before may keep more than a wider one after it.)
Grounds that are one another turned are solved once.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutfiles.nest.clock import Clock
from cutfiles.nest.form import Form
from cutfiles.nest.ground import Ground
from cutfiles.nest.packing import Laid
from cutfiles.nest.squeeze import Effort, Squeeze
from cutfiles.nest.turns import tried

# Moves of the squeeze for one piece more: by the pieces that there are, and at most so many from a start.
_MOVES_A_PIECE, _MOST_MOVES = 12, 300
_STARTS = 3
# The work of a move grows with the square of these; circles and round tips have hundreds.
_MOST_CORNERS = 12
# What no layout is likely to reach of the room's area, gaps counted as cloth: there it isn't tried.
_FULLEST = 0.92
# Of half turns one alone is only searched as well where that comes near.
_NEAR = 2


@dataclass(frozen=True, slots=True)
class Kit:
    """What the search needs of others: rows and greedy rules, forms, and why no more can fit."""

    construct: Callable[[Ground, str], tuple[Laid, ...]]
    forms: Callable[[Ground, str], tuple[Form, ...]]
    form: Callable[[str, float, bool], Form]
    bound: Callable[[Ground, str], int]
    gap_mm: float
    clock: Clock


class Most:
    """Searches grounds, and remembers what it has solved."""

    def __init__(self, kit: Kit) -> None:
        self._kit = kit
        self._known: dict[tuple[Ground, str], tuple[Laid, ...]] = {}
        self._constructed: dict[tuple[Ground, str], tuple[Laid, ...]] = {}
        self._squeezes: dict[tuple[Form, ...], Squeeze] = {}

    def of(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return pieces laid on the ground; positions count from its lower left corner, margin included."""
        key = (ground, shape)
        if key not in self._known:
            self._known[key] = self._search(ground, shape)
        return self._known[key]

    def solved(self, ground: Ground, shape: str) -> tuple[Laid, ...] | None:
        """Return what `of` found, None if it wasn't asked yet."""
        return self._known.get((ground, shape))

    def _construct(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        # A narrower ground is first compared by this, then perhaps searched in full: it begins with the same.
        key = (ground, shape)
        if key not in self._constructed:
            self._constructed[key] = self._kit.construct(ground, shape)
        return self._constructed[key]

    def _search(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        turns = tried(ground.turns)
        if not ground.obstacles and ground.turns is not None and turns[0] >= 90.0:
            return self._quarter_on(self.of(ground.quarter_back(), shape), ground)
        bound = self._kit.bound(ground, shape)
        # In front: a layout that mixes all turns is the better start.
        found: list[Sequence[Laid]] = [self._construct(ground, shape)]
        for fewer in _narrower(turns):
            if len(found[0]) < bound and not self._kit.clock.is_up():
                narrower = ground.with_turns(fewer)
                if len(fewer) > 1 or len(self._construct(narrower, shape)) + _NEAR >= len(found[0]):
                    found.append(self.of(narrower, shape))
        most = max(map(len, found))
        best = [laid for laid in found if len(laid) == most]
        if ground.obstacles or not most:
            return tuple(best[0])
        return tuple(self._squeezed(best, ground, shape, math.floor(bound * _FULLEST)))

    def _quarter_on(self, laid: Sequence[Laid], ground: Ground) -> tuple[Laid, ...]:
        """What lies on a ground turned back, turned on: (x, y) comes to lie at (width − y, x)."""
        return tuple(
            Laid(
                self._kit.form(one.form.shape, (one.form.turn_deg + 90.0) % 360.0, ground.mirrored),
                ground.width_mm - one.y_mm,
                one.x_mm,
            )
            for one in laid
        )

    def _squeezed(
        self, layouts: Sequence[Sequence[Laid]], ground: Ground, shape: str, most: int
    ) -> Sequence[Laid]:
        """The first of some layouts of equal count, or what came of them when pieces were squeezed in."""
        forms = self._kit.forms(ground, shape)
        if any(len(form.parts) > 1 or len(form.corners) > _MOST_CORNERS for form in forms):
            return layouts[0]
        if forms not in self._squeezes:
            self._squeezes[forms] = Squeeze(forms, gap_mm=self._kit.gap_mm)
        starts = [_moved(laid, forms, -ground.margin_mm) for laid in layouts]
        grown: list[Laid] | None = None
        while len(starts[0]) < most and self._kit.clock.moves_left and not self._kit.clock.is_up():
            effort = Effort(min(_MOST_MOVES, _MOVES_A_PIECE * (len(starts[0]) + 1)), _STARTS)
            more = self._squeezes[forms].one_more(
                starts, shape, size=ground.room, effort=effort, clock=self._kit.clock
            )
            if more is None:
                break
            starts, grown = [more], more
        return layouts[0] if grown is None else _moved(grown, forms, ground.margin_mm)


def _moved(laid: Sequence[Laid], forms: Sequence[Form], by_mm: float) -> list[Laid]:
    return [Laid(_same(one.form, forms), one.x_mm + by_mm, one.y_mm + by_mm) for one in laid]


def _same(form: Form, forms: Sequence[Form]) -> Form:
    """The form of the squeeze that keeps the same for itself: a circle has one for all turns."""
    return next(one for one in forms if one is form or one.alike(form))


def _narrower(turns: tuple[float, ...]) -> list[tuple[float, ...]]:
    """Sets of fewer turns to search as well: of quarter turns the half turns, of half turns one alone.

    The other alone is the first turned end for end: it holds as many.
    """
    if len(turns) > 2:
        return [tuple(turn for turn in turns if turn % 180.0 == first) for first in (0.0, 90.0)]
    return [turns[:1]] if len(turns) == 2 else []
