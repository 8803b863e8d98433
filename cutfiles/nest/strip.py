"""The shortest strip that holds given pieces: lay them, then shorten the strip and let them make room.

The strip is cut shorter by a little, what sticks out is moved in, and pieces are pushed and moved until none
overlap (see `squeeze`). Where that fails two pieces change places and it goes on from there; steps get
smaller with each failure (as in Gardeyn, Vanden Berghe and Wauters, "An open-source heuristic to reboot 2D
nesting research", 2025, arXiv 2509.13329, in its outline). It stops by counted failures. The same start and
seed give the same answer.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from cutfiles.nest.apart import Pieces, Room
from cutfiles.nest.packing import Laid
from cutfiles.nest.planes import APART_MM
from cutfiles.nest.squeeze import Tables, Trial, same_shape

_LAST_STEP = 0.0005  # of the length that is cut off
_SLOWER = 0.7  # after a failure
_LONGER = (1.0, 1.0001, 1.001, 1.005)  # tried where a proposal has to be put right


@dataclass(frozen=True, slots=True)
class Patience:
    """How long to try: the first step, trials in all, and failures in a row at the end."""

    step: float  # share of the length that is cut off at first
    trials: int
    failures: int


USUAL = Patience(0.04, 24, 7)
LAST = Patience(0.002, 1_000_000, 1_000_000)  # as long as there is time


@dataclass(slots=True)
class _State:
    at: Pieces
    loss: float  # squared depths that are left; 0 where nothing overlaps


class Strip:
    """Shortens a strip of one width; its length runs along y, from 0."""

    def __init__(self, tables: Tables, *, width_mm: float) -> None:
        self._tables, self._width_mm = tables, width_mm
        # Moves for each piece at one length; among bays a move takes longer, and says more.
        self._moves = 20 if tables.planes.there.shape[2] == 1 else 8

    def shortened(
        self, laid: Sequence[Laid], *, patience: Patience, seed: int, stop: Callable[[], bool]
    ) -> tuple[Laid, ...]:
        """Return the pieces laid anew on no longer a strip.

        Args:
            laid: nothing nearer than the gap; its forms are those of the tables.
            patience: how long to try.
            seed: for the dice.
            stop: asked now and then whether to give up.
        """
        forms = self._tables.planes.forms
        dice = random.Random(seed)
        best, length = tuple(laid), self.length_mm(laid)
        least = max(min(form.height_mm for form in forms), 1e-3)
        kinds = np.array([forms.index(one.form) for one in laid])
        now = Pieces(kinds, np.array([one.x_mm for one in laid]), np.array([one.y_mm for one in laid]))
        step, failures = patience.step, 0
        stuck: _State | None = None
        for _ in range(patience.trials):
            if failures >= patience.failures or stop():
                break
            target = length * (1 - step)
            room = Room.of(forms, (self._width_mm, target))
            same = same_shape(forms, room)
            choices = [same[one.form.shape] for one in laid]
            if target < least or not all(choices):
                failures, step = failures + 1, max(_LAST_STEP, step * _SLOWER)
                continue
            at = now if stuck is None else stuck.at
            begun = self._begun(at, choices, room, dice, swap=stuck is not None)
            trial = Trial(self._tables, begun, choices, room, dice)
            if trial.run(self._moves * len(laid), stop):
                best, now, stuck, failures = trial.laid(), trial.at, None, 0
                length = self.length_mm(best)
                continue
            loss = self._loss(trial.at)
            if stuck is None or loss < stuck.loss:
                stuck = _State(trial.at, loss)
            failures, step = failures + 1, max(_LAST_STEP, step * _SLOWER)
        return best

    def put_right(
        self, laid: Sequence[Laid], *, moves: int, stop: Callable[[], bool]
    ) -> tuple[Laid, ...] | None:
        """Return a proposal with its pieces pushed apart and into the strip, or None where that fails."""
        forms = self._tables.planes.forms
        kinds = np.array([forms.index(one.form) for one in laid])
        at = Pieces(kinds, np.array([one.x_mm for one in laid]), np.array([one.y_mm for one in laid]))
        length = self.length_mm(laid)
        for longer in _LONGER:
            dice = random.Random(0)
            room = Room.of(forms, (self._width_mm, length * longer))
            same = same_shape(forms, room)
            choices = [same[one.form.shape] for one in laid]
            if all(choices):
                trial = Trial(self._tables, room.clipped(at), choices, room, dice)
                if trial.run(moves, stop):
                    return trial.laid()
        return None

    def length_mm(self, laid: Sequence[Laid]) -> float:
        """Return where the last piece ends."""
        return max(one.y_mm + one.form.bounds[3] for one in laid)

    def _begun(
        self, at: Pieces, choices: Sequence[list[int]], room: Room, dice: random.Random, *, swap: bool
    ) -> Pieces:
        begun = at.copy()
        for index, own in enumerate(choices):
            if begun.kinds[index] not in own:  # at that turn it is longer than the strip now is
                begun.kinds[index] = dice.choice(own)
        if swap and len(choices) > 1:
            one, other = dice.sample(range(len(choices)), 2)
            for spots in (begun.x, begun.y):
                spots[one], spots[other] = spots[other], spots[one]
        return room.clipped(begun)

    def _loss(self, at: Pieces) -> float:
        depths = self._tables.planes.all_depths(at.kinds, at.x, at.y)
        return float((depths[depths > APART_MM] ** 2).sum())
