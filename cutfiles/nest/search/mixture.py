"""Several shapes on one ground, and fewer pieces of one than it holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from cutfiles.geometry.outline import area
from cutfiles.nest.base.form import Form
from cutfiles.nest.base.forms import Forms, moved
from cutfiles.nest.base.ground import Ground, Wanted
from cutfiles.nest.base.leftover import area_mm2, largest_left
from cutfiles.nest.base.placed import Laid
from cutfiles.nest.greedy.construct import Construct, rules
from cutfiles.nest.greedy.packing import Packing
from cutfiles.nest.overlap.more import More

_TO_CHOOSE_FROM = 4  # layouts of all that is wanted, of which the one that leaves most is taken

Fill = Callable[[Ground, Wanted], tuple[Laid, ...]]


class Mixtures:
    """Lays what is wanted and no more; remembers what it has solved."""

    def __init__(self, forms: Forms, construct: Construct, more: More, *, gap_mm: float, fill: Fill) -> None:
        """`fill` solves a ground for fewer shapes: what is free beside large pieces."""
        self._forms, self._construct, self._more, self._gap_mm = forms, construct, more, gap_mm
        self._fill = fill
        self._known: dict[tuple[Ground, Wanted], tuple[Laid, ...]] = {}
        self._on: dict[Ground, list[tuple[Laid, ...]]] = {}

    def solved(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...] | None:
        """Return what was found for just this before, None if it wasn't asked."""
        return self._known.get((ground, wanted))

    def learn(self, ground: Ground, wanted: Wanted, laid: tuple[Laid, ...]) -> None:
        """Keep what was found for a ground."""
        self._known[(ground, wanted)] = laid
        self._on.setdefault(ground, []).append(laid)

    def few(self, ground: Ground, shape: str, most: int) -> tuple[Laid, ...] | None:
        """Return fewer pieces than fit, or None where no greedy rule lays them.

        They lie so that what is left of the ground is large and in one piece.
        """
        forms = self._forms.on(ground, shape)
        choices = []
        for rule in rules(ground):
            packing = self._construct.packing(ground, forms)
            if packing.fill(range(len(forms)), rule, most=most) == most:
                choices.append(moved(packing.laid, ground.margin_mm))
        return _leaving_most(ground, choices) if choices else None

    def of(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...]:
        """Return at most as many of each shape as wanted; of several the first are wanted most."""
        found = self._greedy(ground, wanted)
        if not _missing(found, wanted):
            return found
        for other in self._on.get(ground, []):
            counts = Counter(one.form.shape for one in other)
            if all(counts[shape] >= most for shape, most in wanted):
                return trimmed(other, wanted)
        if self._more.clock.effort.starts and not self._more.clock.is_up():
            more = self._more.of([found], ground, _missing(found, wanted))
            if more is not None:
                return more
        return found

    def _greedy(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...]:
        forms = self._forms.on(ground, *(shape for shape, _ in wanted))
        last, most_last = wanted[-1]
        best: tuple[float, list[Laid]] = (-1.0, [])
        complete: list[tuple[Laid, ...]] = []
        everything = sum(most for _, most in wanted)
        for rule in rules(ground):
            packing = self._construct.packing(ground, forms)
            for shape, most in wanted[:-1]:
                packing.fill(_of_shape(forms, shape), rule, most=most)
            for start in (None, 0, 1) if not ground.obstacles and len(wanted) > 1 else (None,):
                # The plain greedy, then the room right of or above the large pieces filled well first.
                trial = packing.copy()
                if start is not None:
                    self._fill_beside(trial, ground, last, most_last, axis=start)
                left = most_last - sum(laid.form.shape == last for laid in trial.laid)
                trial.fill(_of_shape(forms, last), rule, most=left)
                worth = round(sum(area(self._forms.shapes[laid.form.shape].cut) for laid in trial.laid), 3)
                if worth > best[0]:
                    best = (worth, trial.laid)
                    self._more.clock.tick(len(trial.laid))
                if len(trial.laid) == everything:
                    complete.append(moved(trial.laid, ground.margin_mm))
                    break
            if len(complete) == _TO_CHOOSE_FROM:
                break
            if self._more.clock.is_up():
                break
        return _leaving_most(ground, complete) if complete else moved(best[1], ground.margin_mm)

    def _fill_beside(self, packing: Packing, ground: Ground, shape: str, most: int, *, axis: int) -> None:
        """Fill the free rectangle beyond all laid pieces with one shape."""
        used = max((_end(laid, axis) for laid in packing.laid), default=-self._gap_mm) + self._gap_mm
        room = list(ground.room)
        room[axis] -= used
        if min(room) <= 0:
            return
        rest = Ground(room[0], room[1], 0.0, ground.turns, ground.mirrored)
        index_of = {(form.shape, form.turn_deg): index for index, form in enumerate(packing.forms)}
        for laid in self._fill(rest, ((shape, most),)):
            x, y = (laid.x_mm + used, laid.y_mm) if axis == 0 else (laid.x_mm, laid.y_mm + used)
            packing.lay(index_of[(shape, laid.form.turn_deg)], x, y)


def trimmed(laid: Sequence[Laid], wanted: Wanted) -> tuple[Laid, ...]:
    """Return a layout with no more of each shape than wanted: what lies furthest from one side goes."""
    choices = []
    for axis in (1, 0):
        left = dict(wanted)
        kept = []
        for one in sorted(laid, key=lambda piece: (_end(piece, axis), _end(piece, 1 - axis))):
            if left.get(one.form.shape, 0) > 0:
                left[one.form.shape] -= 1
                kept.append(one)
        choices.append(tuple(kept))
    return min(choices, key=lambda kept: round(_extent_mm2(kept), 3))


def _extent_mm2(laid: Sequence[Laid]) -> float:
    """The area of the rectangle from the corner that holds all."""
    return max((_end(one, 0) for one in laid), default=0.0) * max((_end(one, 1) for one in laid), default=0.0)


def _missing(laid: Sequence[Laid], wanted: Wanted) -> list[tuple[str, int]]:
    counts = Counter(one.form.shape for one in laid)
    return [(shape, most - counts[shape]) for shape, most in wanted if most > counts[shape]]


def _of_shape(forms: Sequence[Form], shape: str) -> list[int]:
    return [index for index, form in enumerate(forms) if form.shape == shape]


def _end(laid: Laid, axis: int) -> float:
    return (laid.x_mm, laid.y_mm)[axis] + laid.form.bounds[axis + 2]


def _leaving_most(ground: Ground, layouts: Sequence[tuple[Laid, ...]]) -> tuple[Laid, ...]:
    """The layout that leaves the largest rectangle; the first of equals."""
    if len(layouts) == 1:
        return layouts[0]
    return max(layouts, key=lambda laid: area_mm2(largest_left(ground, laid)))
