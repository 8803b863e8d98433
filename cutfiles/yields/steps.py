"""How long the blades could be of which one piece of a fabric holds one, two, three … twelve.

Greedy rules say about how long. Then the blades of the layout are made longer step by step: where they come
too near, they are pushed apart. That holds far longer ones than any layout that is begun anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.job.model.job import FabricSpec, Job
from cutfiles.nest.base.orientations import PlainLayout
from cutfiles.nest.cutting_rules.cloth import Cloth, cloth_of
from cutfiles.nest.search.workers import Workers
from cutfiles.yields.longest import AT_ONCE, Lengths
from cutfiles.yields.plates import most_true
from cutfiles.yields.trial import Trial

MOST_STEPS = 12  # blades out of one piece: beyond that nobody asks how long they could be


@dataclass(frozen=True, slots=True)
class LengthStep:
    """The longest blade of which one piece of a fabric was found to hold so many."""

    fabric: str
    blades: int
    blade_length_mm: float
    layout: PlainLayout = ()  # where they lie; () if the piece is cut up first to lie on the mat


@dataclass(frozen=True, slots=True)
class StepTask:
    """One kind of cloth whose steps are searched, by itself."""

    job: Job
    fabric: FabricSpec
    holds: int  # so many of the job's own blades were found to lie on a piece …
    known: PlainLayout  # … and where


def steps_of_all(job: Job, trial: Trial, workers: Workers) -> tuple[LengthStep, ...]:
    """Return the steps of each fabric that gives blades; alike cloth is searched once.

    Args:
        job: whose inner radius, seam and tip the blades have.
        trial: of that job.
        workers: who search at the same time.
    """
    offers = [
        fabric.lying_for(BLADE)
        for fabric in trial.fabrics
        if not fabric.as_needed and any(shape == BLADE for shape, _ in fabric.cuts)
    ]
    unlike: dict[Cloth, FabricSpec] = {}
    for fabric in offers:
        unlike.setdefault(cloth_of(fabric), fabric)
    tasks = [
        StepTask(job, fabric, trial.count_on_piece(fabric, BLADE), trial.found_layout(fabric, BLADE))
        for fabric in unlike.values()
    ]
    found = dict(zip(unlike, workers.each(steps_of, tasks), strict=True))
    return tuple(replace(step, fabric=fabric.name) for fabric in offers for step in found[cloth_of(fabric)])


def teach(trial: Trial, steps: Sequence[LengthStep]) -> bool:
    """Tell a trial what its fabrics are known to hold: a blade lies wherever a longer one does.

    Return whether that is more than it had found.
    """
    length = trial.plate.blade.length_mm
    most: dict[str, LengthStep] = {}
    for step in steps:  # of each fabric in the order of their number
        if step.blade_length_mm >= length:
            most[step.fabric] = step
    learnt = [
        trial.learn(fabric, BLADE, most[fabric.name].layout)
        for fabric in trial.fabrics
        if fabric.name in most
    ]
    return any(learnt)


def steps_of(task: StepTask) -> tuple[LengthStep, ...]:
    """Return the steps of one kind of cloth."""
    lengths, fabric = _lengths_of(task.job), task.fabric
    if (range_ := lengths.range) is None:
        return ()
    least, most = range_
    most = min(most, int(max(fabric.width_mm, fabric.length_mm) * 2**0.5 / lengths.step_mm))
    layouts = _Layouts(lengths, task)
    steps: list[LengthStep] = []
    for blades in range(1, MOST_STEPS + 1):
        longest = layouts.longest(blades, least, most)
        if longest is None:
            break
        most = longest
        steps.append(LengthStep(fabric.name, blades, lengths.mm(longest), layouts.layout(blades)))
    return tuple(steps)


@lru_cache(maxsize=1)
def _lengths_of(job: Job) -> Lengths:
    """Lengths that the tasks of one process have in common."""
    return Lengths(job, AT_ONCE)


class _Layouts:
    """Of each number of blades the longest that were found to lie on one piece of a fabric, and where."""

    def __init__(self, lengths: Lengths, task: StepTask) -> None:
        self._lengths, self._fabric = lengths, task.fabric
        self._found: dict[int, tuple[int, PlainLayout]] = {}
        self._in_vain: dict[int, int] = {}  # so many blades of so many steps, by two rules
        self._note(task.holds, lengths.own, task.known)

    def layout(self, blades: int) -> PlainLayout:
        """Return where the longest of so many lie."""
        return self._found[blades][1]

    def longest(self, blades: int, least: int, most: int) -> int | None:
        """Return the most steps of length at which so many blades lie; None if none does in the range."""
        longest = most_true(lambda steps: self._try_layout(blades, steps), least, most, start=most)
        if longest is None:
            return None
        while longest < most and (
            self._separate(blades, longest + 1) or self._lay(blades, longest + 1, all_rules=True)
        ):
            longest += 1
        return longest

    def _note(self, blades: int, steps: int, layout: PlainLayout) -> None:
        # Where there are so many there are fewer, too.
        for count in range(1, blades + 1):
            if self._found.get(count, (0, ()))[0] < steps:
                self._found[count] = (steps, layout[:count])

    def _try_layout(self, blades: int, steps: int) -> bool:
        """Whether so many are known to lie, or are laid; a shorter one lies where a longer does."""
        if self._found.get(blades, (0, ()))[0] >= steps:
            return True
        if self._in_vain.get(steps, blades + 1) <= blades:
            return False
        laid = self._lay(blades, steps, all_rules=False)
        if not laid:
            self._in_vain[steps] = blades
        return laid

    def _lay(self, blades: int, steps: int, *, all_rules: bool) -> bool:
        trial = self._lengths.trial(steps)
        layout = trial.lay(self._fabric, BLADE, blades, all_rules=all_rules) if trial else None
        if layout is not None:
            self._note(blades, steps, layout)
        return layout is not None

    def _separate(self, blades: int, steps: int) -> bool:
        """Whether the blades, longer now, could be pushed apart."""
        trial = self._lengths.trial(steps)
        layout = trial.separate(self._fabric, BLADE, self.layout(blades)) if trial else None
        if layout is not None:
            self._note(blades, steps, layout)
        return layout is not None
