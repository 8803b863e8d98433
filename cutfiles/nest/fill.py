"""The search: fill one rectangle as well as we can, by several strategies, and keep the best.

Deterministic: it stops when its strategies are through or the bound is met, never by the clock, unless
the user gave a time limit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutfiles.core.outline import area
from cutfiles.nest.bound import most_in
from cutfiles.nest.clock import Clock
from cutfiles.nest.form import Form, form_of, without_bays
from cutfiles.nest.ground import Ground
from cutfiles.nest.lattice import OnLattice, Source
from cutfiles.nest.most import Kit, Most
from cutfiles.nest.packing import Fences, Laid, Packing, Rule
from cutfiles.nest.rules import AROUND, RULES
from cutfiles.nest.strips import Strips
from cutfiles.nest.turns import tried
from cutfiles.pieces.shape import Shape

Wanted = tuple[tuple[str, int], ...]  # shape and how many at most, the one to lay first leading


class Filler:
    """Fills grounds with a job's shapes and remembers what it has solved."""

    def __init__(self, shapes: Sequence[Shape], *, gap_mm: float, clock: Clock) -> None:
        self._shapes = {shape.name: shape for shape in shapes}
        self._gap_mm = gap_mm
        self._clock = clock
        self._forms: dict[tuple[str, float, bool], Form] = {}
        self._strips: dict[tuple[Form, ...], Strips] = {}
        kit = Kit(self._search_full, self._all_forms, self._form, self.bound, gap_mm, clock)
        self._most = Most(kit)
        self._lattice = OnLattice(Source(self._shapes, self._all_forms), gap_mm=gap_mm, clock=clock)
        self._quick: dict[tuple[Ground, str], tuple[Laid, ...]] = {}
        self._mixed: dict[tuple[Ground, Wanted], tuple[Laid, ...]] = {}

    def bound(self, ground: Ground, shape: str, *, gap_mm: float | None = None) -> int:
        """Return how many of a shape the ground can't pass; the gap is the job's if none is given."""
        if ground.lattice is not None:
            return self._lattice.bound(ground, shape, gap_mm=gap_mm)
        width, height = ground.room
        return most_in(
            self._shapes[shape],
            self._all_forms(ground, shape),
            width_mm=width,
            height_mm=height,
            gap_mm=self._gap_mm if gap_mm is None else gap_mm,
            obstacles=ground.obstacles,
        )

    def full(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return as many pieces of one shape as the ground is found to hold."""
        if ground.lattice is not None:
            return self._lattice.full(ground, shape)
        return self._most.of(ground, shape)

    def quick(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        """Return what two greedy rules find for one shape: enough to choose how to rough-cut."""
        if ground.lattice is not None:
            return self._lattice.quick(ground, shape)
        solved = self._most.solved(ground, shape)
        if solved is not None:
            return solved
        key = (ground, shape)
        if key not in self._quick:
            self._quick[key] = self._search_quick(ground, shape)
        return self._quick[key]

    def _search_quick(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        width, height = ground.room
        fences = self._strips_of(self._all_forms(ground, shape)).fences
        best: list[Laid] = []
        for rule in RULES[:2]:
            packing = Packing(fences, width_mm=width, height_mm=height, obstacles=ground.obstacles)
            packing.fill(range(len(fences.forms)), rule, most=self.bound(ground, shape))
            best = max(best, packing.laid, key=len)
        return _inset(best, ground)

    def fill(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...]:
        """Return pieces laid on the ground, at most as many of each shape as wanted.

        Positions count from the ground's lower left corner, margin included.
        """
        if ground.lattice is not None:
            return self._lattice.fill(ground, wanted)
        asked = tuple((shape, most) for shape, most in wanted if most > 0 and self.bound(ground, shape))
        if not asked:
            return ()
        if len(asked) == 1:
            return self._of_one(ground, *asked[0])
        capped = tuple((shape, min(most, self.bound(ground, shape))) for shape, most in asked)
        key = (ground, capped)
        if key not in self._mixed:
            self._mixed[key] = self._search_mixed(ground, capped)
        return self._mixed[key]

    def _all_forms(self, ground: Ground, shape: str) -> tuple[Form, ...]:
        return self._different(ground, shape, tried(ground.turns))

    def _different(self, ground: Ground, shape: str, turns: Sequence[float]) -> tuple[Form, ...]:
        """The shape at each turn, once where turns make no difference, as those of a circle."""
        found: list[Form] = []
        for turn in turns:
            form = self._form(shape, turn, ground.mirrored)
            if not any(form.alike(other) for other in found):
                found.append(form)
        return tuple(found)

    def _strips_of(self, forms: tuple[Form, ...]) -> Strips:
        if forms not in self._strips:
            self._strips[forms] = Strips(Fences(forms, gap_mm=self._gap_mm))
        return self._strips[forms]

    def _form(self, shape: str, turn: float, mirrored: bool) -> Form:
        key = (shape, turn, mirrored)
        if key not in self._forms:
            self._forms[key] = form_of(self._shapes[shape], turn_deg=turn, mirrored=mirrored)
        return self._forms[key]

    def _search_full(self, ground: Ground, shape: str) -> tuple[Laid, ...]:
        bound = self.bound(ground, shape)
        width, height = ground.room
        best: list[Laid] = []
        for forms in self._families(ground, shape):
            strips = self._strips_of(forms)
            fences = strips.fences
            for rule in _rules(ground):
                packing = Packing(fences, width_mm=width, height_mm=height, obstacles=ground.obstacles)
                packing.fill(range(len(fences.forms)), rule, most=bound)
                if len(packing.laid) > len(best):
                    best = packing.laid
                if len(best) == bound:
                    return _inset(best, ground)
            if self._clock.is_up():
                return _inset(best, ground)
            if ground.obstacles:
                continue  # strips know of none
            for layout in strips.layouts(width_mm=width, height_mm=height, most=bound):
                if len(layout) > len(best):
                    best = layout
                if len(best) == bound:
                    return _inset(best, ground)
                if self._clock.is_up():
                    return _inset(best, ground)
        return _inset(best, ground)

    def _families(self, ground: Ground, shape: str) -> Iterator[tuple[Form, ...]]:
        """The forms at fewer turns and at all; with bays filled too: an even row may beat what interlocks."""
        forms = self._all_forms(ground, shape)
        yield forms
        if any(len(form.parts) > 1 for form in forms):
            yield tuple(without_bays(form) for form in forms)

    def _of_one(self, ground: Ground, shape: str, most: int) -> tuple[Laid, ...]:
        key = (ground, ((shape, most),))
        if most >= self.bound(ground, shape):
            return self.full(ground, shape)
        if key not in self._mixed:
            self._mixed[key] = self._few(ground, shape, most)
        return self._mixed[key]

    def _few(self, ground: Ground, shape: str, most: int) -> tuple[Laid, ...]:
        """Fewer pieces than fit: laid so that what is left of the ground is large and in one piece."""
        width, height = ground.room
        fences = self._strips_of(self._all_forms(ground, shape)).fences
        choices: list[Sequence[Laid]] = []
        for rule in _rules(ground):
            packing = Packing(fences, width_mm=width, height_mm=height, obstacles=ground.obstacles)
            if packing.fill(range(len(fences.forms)), rule, most=most) == most:
                choices.append(_inset(packing.laid, ground))
        if not choices:
            full = self.full(ground, shape)
            if len(full) <= most:
                return full
            choices = [
                sorted(full, key=lambda laid: (_end(laid, axis), _end(laid, 1 - axis)))[:most]
                for axis in (1, 0)
            ]
        best = max(choices, key=lambda laid: round(_left_over(laid, ground), 3))
        return tuple(best)

    def _search_mixed(self, ground: Ground, wanted: Wanted) -> tuple[Laid, ...]:
        width, height = ground.room
        forms = tuple(form for shape, _ in wanted for form in self._all_forms(ground, shape))
        fences = self._strips_of(forms).fences
        last, most_last = wanted[-1]
        best: tuple[float, list[Laid]] = (-1.0, [])
        everything = sum(most for _, most in wanted)
        for rule in _rules(ground):
            packing = Packing(fences, width_mm=width, height_mm=height, obstacles=ground.obstacles)
            for shape, most in wanted[:-1]:
                packing.fill(_of_shape(forms, shape), rule, most=most)
            for start in (None, 0, 1) if not ground.obstacles else (None,):
                # The plain greedy, then the room right of or above the large pieces filled well first.
                trial = packing.copy()
                if start is not None:
                    self._fill_beside(trial, ground, last, most_last, axis=start)
                left = most_last - sum(laid.form.shape == last for laid in trial.laid)
                trial.fill(_of_shape(forms, last), rule, most=left)
                worth = round(sum(area(self._shapes[laid.form.shape].cut) for laid in trial.laid), 3)
                if worth > best[0]:
                    best = (worth, trial.laid)
                if len(best[1]) == everything:
                    return _inset(best[1], ground)
            if self._clock.is_up():
                break
        return _inset(best[1], ground)

    def _fill_beside(self, packing: Packing, ground: Ground, shape: str, most: int, *, axis: int) -> None:
        """Fill the free rectangle beyond all laid pieces with one shape."""
        used = max((_end(laid, axis) for laid in packing.laid), default=-self._gap_mm) + self._gap_mm
        room = list(ground.room)
        room[axis] -= used
        if min(room) <= 0:
            return
        rest = Ground(room[0], room[1], 0.0, ground.turns, ground.mirrored)
        index_of = {(form.shape, form.turn_deg): index for index, form in enumerate(packing.forms)}
        for laid in self.fill(rest, ((shape, most),)):
            x, y = (laid.x_mm + used, laid.y_mm) if axis == 0 else (laid.x_mm, laid.y_mm + used)
            packing.lay(index_of[(shape, laid.form.turn_deg)], x, y)


def _rules(ground: Ground) -> Sequence[Rule]:
    return (*RULES, *AROUND) if ground.obstacles else RULES


def _of_shape(forms: Sequence[Form], shape: str) -> list[int]:
    return [index for index, form in enumerate(forms) if form.shape == shape]


def _inset(laid: Sequence[Laid], ground: Ground) -> tuple[Laid, ...]:
    margin = ground.margin_mm
    return tuple(Laid(one.form, one.x_mm + margin, one.y_mm + margin) for one in laid)


def _end(laid: Laid, axis: int) -> float:
    return (laid.x_mm, laid.y_mm)[axis] + laid.form.bounds[axis + 2]


def _left_over(laid: Sequence[Laid], ground: Ground) -> float:
    """Area of the largest rectangle of the ground's full width or length beyond all pieces, mm²."""
    right, top = (max(_end(one, axis) for one in laid) for axis in (0, 1))
    return max((ground.width_mm - right) * ground.length_mm, ground.width_mm * (ground.length_mm - top))
