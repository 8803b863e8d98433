"""The shortest length of cloth for given pieces: built, shortened and, given time, asked for elsewhere."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.core.outline import area
from cutfiles.nest.clock import Clock, cores
from cutfiles.nest.construct import Construct
from cutfiles.nest.form import Form
from cutfiles.nest.forms import Forms, moved
from cutfiles.nest.ground import Ground, Wanted
from cutfiles.nest.packing import Laid
from cutfiles.nest.rules import Pushed
from cutfiles.nest.solid import FINER
from cutfiles.nest.squeeze import Tables
from cutfiles.nest.strip import LAST, USUAL, Strip
from cutfiles.nest.strip_proposal import Proposal, Question, is_there

_RULES = (Pushed(1, 1, 0.01), Pushed(1, 0, 0.01), Pushed(1, 1, 0.1))
_HALVINGS = 6  # of what is between the bound and the length of the greedy layout
_MANY_PIECES = 150  # more aren't shortened: rows hold them nearly as well as anything
_SHARE = 0.9  # of the time for the outside solver; the rest is for putting right what it proposes
_LEAST_S = 3  # less isn't worth asking for
_LOOK_S = 0.05


class Shortest:
    """Finds short lengths, and remembers them."""

    def __init__(self, forms: Forms, construct: Construct, *, gap_mm: float, clock: Clock) -> None:
        self._forms, self._construct, self._gap_mm, self._clock = forms, construct, gap_mm, clock
        self._known: dict[tuple[Ground, Wanted], tuple[Laid, ...] | None] = {}

    def of(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...] | None:
        """Return all that is wanted on as short a length as found, None where the ground is too short."""
        key = (ground, wanted)
        if key not in self._known:
            found = self._search(ground, tuple((shape, count) for shape, count in wanted if count > 0))
            self._known[key] = None if found is None else moved(found, ground.margin_mm)
        return self._known[key]

    def _search(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...] | None:
        if not wanted:
            return ()
        forms = self._forms.on(ground, *(shape for shape, _ in wanted))
        proposal = self._proposal(ground, forms, wanted)
        try:
            return self._found(ground, forms, wanted, proposal)
        finally:
            if proposal is not None:
                proposal.stop()

    def _found(
        self, ground: Ground, forms: tuple[Form, ...], wanted: Wanted, proposal: Proposal | None
    ) -> tuple[Laid, ...] | None:
        best = self._built(ground, forms, wanted)
        if len(wanted) == 1:
            best = self._in_rows(ground, wanted[0], best)
        shorten = self._clock.effort.starts and sum(count for _, count in wanted) <= _MANY_PIECES
        if best is None or not shorten:
            return best
        tables = Tables.of(forms, gap_mm=self._gap_mm, detail=FINER)
        strip = Strip(tables, width_mm=ground.room[0])
        if proposal is None:
            return strip.shortened(best, patience=USUAL, seed=0, stop=self._clock.is_up)
        best = self._put_right(strip, best, proposal)
        return strip.shortened(best, patience=LAST, seed=0, stop=self._clock.is_up)

    def _built(self, ground: Ground, forms: tuple[Form, ...], wanted: Wanted) -> tuple[Laid, ...] | None:
        """The shortest of some greedy layouts, large shapes first."""
        sizes = {shape: area(self._forms.shapes[shape].cut) for shape, _ in wanted}
        order = sorted(wanted, key=lambda one: -sizes[one[0]])
        layouts = []
        for rule in _RULES:
            packing = self._construct.packing(ground, forms)
            for shape, count in order:
                own = [index for index, form in enumerate(forms) if form.shape == shape]
                if packing.fill(own, rule, most=count) < count:
                    break
            else:
                layouts.append(tuple(packing.laid))
            if self._clock.is_up():
                break
        return min(layouts, key=_length_mm, default=None)

    def _in_rows(
        self, ground: Ground, wanted: tuple[str, int], best: tuple[Laid, ...] | None
    ) -> tuple[Laid, ...] | None:
        """Of one shape rows and columns may hold as many on less: the least length is found by halving."""
        shape, count = wanted
        width, most = ground.room
        high = most if best is None else _length_mm(best)
        low = min(high, area(self._forms.shapes[shape].cut) * count / width)
        for _ in range(_HALVINGS):
            if self._clock.is_up():
                break
            middle = (low + high) / 2
            shorter = Ground(width, middle, 0.0, ground.turns, ground.mirrored)
            laid = self._construct.full(shorter, shape)
            if len(laid) >= count:
                best = tuple(sorted(laid, key=lambda one: one.y_mm + one.form.bounds[3])[:count])
                high = _length_mm(best)
            else:
                low = middle
        return best

    def _proposal(self, ground: Ground, forms: tuple[Form, ...], wanted: Wanted) -> Proposal | None:
        """The outside solver set to work on all cores, where the user gave time for it."""
        left = self._clock.left_s
        seconds = 0 if left is None else int(left * _SHARE)
        if seconds < _LEAST_S or not is_there():
            return None
        question = Question(forms, wanted, ground.room[0], self._gap_mm)
        return Proposal(question, seconds=seconds, workers=cores())

    def _put_right(self, strip: Strip, best: tuple[Laid, ...], proposal: Proposal) -> tuple[Laid, ...]:
        """The best layout, or what came of a shorter proposal."""
        while not proposal.is_done():
            if self._clock.wait(_LOOK_S):
                return best
        laid = proposal.found()
        if laid is not None and _length_mm(laid) < _length_mm(best):
            right = strip.put_right(laid, moves=5 * len(laid), stop=self._clock.is_up)
            if right is not None and _length_mm(right) < _length_mm(best):
                return right
        return best


def _length_mm(laid: Sequence[Laid]) -> float:
    return max(one.y_mm + one.form.bounds[3] for one in laid)
