"""As many pieces of one shape as a ground is found to hold: whatever search finds most.

Lest a wider rule give less than a narrower one, narrower sets of turns are searched as well where they may
come near, and the best of all is where the squeeze begins. Grounds that are one another turned are solved
once.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from cutfiles.nest.base.forms import Forms
from cutfiles.nest.base.ground import Ground
from cutfiles.nest.base.placed import Laid
from cutfiles.nest.base.turns import tried
from cutfiles.nest.greedy.construct import Bound, Construct
from cutfiles.nest.overlap.more import More

# What no layout is likely to reach of the room's area, gaps counted as cloth: there it isn't tried.
_FULLEST = 0.97
# Fewer turns are only searched as well where that comes near: the squeeze was seen to add a tenth.
_NEAR, _NEAR_SHARE = 2, 1.12

# Has several grounds solved, on all cores, before each is asked for.
Ahead = Callable[[Sequence[Ground], str], None]


class Most:
    """Searches grounds, and remembers what it has solved."""

    def __init__(self, forms: Forms, construct: Construct, more: More, bound: Bound) -> None:
        self._forms, self._construct, self._more, self._bound = forms, construct, more, bound
        self._known: dict[tuple[Ground, str], tuple[Laid, ...]] = {}
        self._constructed: dict[tuple[Ground, str], tuple[Laid, ...]] = {}
        self.ahead: Ahead = lambda grounds, shape: None

    def of(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return pieces laid on the ground; positions count from its lower left corner, margin included."""
        key = (ground, shape)
        if key not in self._known:
            self._known[key] = self._search(ground, shape)
        return self._known[key]

    def solved(self, ground: Ground, shape: str) -> tuple[Laid, ...] | None:
        """Return what `of` found, None if it wasn't asked yet."""
        return self._known.get((ground, shape))

    def learn(self, ground: Ground, shape: str, laid: tuple[Laid, ...]) -> None:
        """Keep what another process found for a ground."""
        self._known.setdefault((ground, shape), laid)

    def _first(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        # A narrower ground is first compared by this, then perhaps searched in full: it begins with the same.
        key = (ground, shape)
        if key not in self._constructed:
            self._constructed[key] = self._construct.full(ground, shape)
        return self._constructed[key]

    def _search(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        turns = tried(ground.turns)
        upright = _upright(ground)
        if upright != ground:
            return self._quarter_on(self.of(upright, shape), ground)
        bound = self._bound(ground, shape)
        forms = len(self._forms.on(ground, shape))
        # A circle has one form at all turns: what is narrower is the same.
        grounds = [ground.with_turns(some) for some in _narrower(turns)]
        fewer = [narrower for narrower in grounds if len(self._forms.on(narrower, shape)) < forms]
        # In front: a layout that mixes all turns is the better start.
        found = [self._first(ground, shape)]
        if len(found[0]) < bound and not self._more.clock.is_up():
            fewer = [narrower for narrower in fewer if self._comes_near(narrower, shape, len(found[0]))]
            self.ahead([_upright(narrower) for narrower in fewer], shape)
            may_go_on, self._more.may_go_on = self._more.may_go_on, False
            found += [self.of(narrower, shape) for narrower in fewer]
            self._more.may_go_on = may_go_on
        most = max(map(len, found))
        best = [laid for laid in found if len(laid) == most]
        room = math.ceil(bound * _FULLEST) - most
        if room > 0 and self._more.clock.effort.starts:
            more = self._more.of(best, ground, [(shape, room)], squeezed=len(found) > 1)
            if more is not None:
                return more
        return best[0]

    def _comes_near(self, ground: Ground, shape: str, count: int) -> bool:
        return len(self._first(ground, shape)) * _NEAR_SHARE + _NEAR >= count

    def _quarter_on(self, laid: Sequence[Laid], ground: Ground) -> tuple[Laid, ...]:
        """What lies on a ground turned back, turned on: (x, y) comes to lie at (width − y, x)."""
        return tuple(
            Laid(
                self._forms.of(one.form.shape, (one.form.turn_deg + 90.0) % 360.0, ground.mirrored),
                ground.width_mm - one.y_mm,
                one.x_mm,
            )
            for one in laid
        )


def _upright(ground: Ground) -> Ground:
    """A ground whose least turn is a quarter, turned back: on a square that is the one of half turns."""
    if ground.obstacles or ground.turns is None or ground.turns[0] < 90.0:
        return ground
    return ground.quarter_back()


def _narrower(turns: tuple[float, ...]) -> list[tuple[float, ...]]:
    """Sets of fewer turns to search as well: of quarter turns the half turns, of half turns one alone.

    The other alone is the first turned end for end: it holds as many.
    """
    if len(turns) > 2:
        return [tuple(turn for turn in turns if turn % 180.0 == first) for first in (0.0, 90.0)]
    return [turns[:1]] if len(turns) == 2 else []
