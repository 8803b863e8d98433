"""How long the blades could be: for the job as asked."""

from __future__ import annotations

import math
from collections.abc import Callable, Set
from dataclasses import dataclass, replace
from functools import cached_property

from cutfiles.core.errors import CutfilesError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, rounded_down_mm, rounded_up_mm
from cutfiles.geometry.outline import area, bounds
from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.job.model.job import FabricSpec, Job
from cutfiles.nest.base.clock import Effort
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.yields.plates import most_true, needs_of
from cutfiles.yields.trial import Needs, Trial, trial_or_none

_DENSE = 0.85  # of the cloth is covered where blades alone lie
AT_ONCE = Effort(0, 0, rows_from=100, numbers=True)  # what greedy rules lay


@dataclass(frozen=True, slots=True)
class Longest:
    """The longest blade with which the job as asked fits; a step longer was tried and does not."""

    blade_length_mm: float
    finished_diameter_mm: float
    limited_by: str  # the fabric that holds too few of a longer one
    needs_mm: float | None  # how long, as bought, its pieces had to be for the next step; None: not found


def step_mm(unit: Unit) -> float:
    """Return by how much blades are made longer: 1/16 in or 1 mm."""
    return MM_PER_INCH / 16 if unit is Unit.IN else 1.0


def with_blade(job: Job, length_mm: float) -> Job:
    """Return the job with blades of another length and the same inner radius."""
    inner = job.plate.inner_radius_mm
    if inner is None:
        diameter, length = job.plate.finished_diameter_mm, job.plate.blade_length_mm
        assert diameter is not None
        assert length is not None
        allowance = job.plate.tip.finish.allowance_mm(job.plate.seam_mm)
        inner = max(0.0, diameter / 2 + allowance - length)
    plate = replace(job.plate, blade_length_mm=length_mm, inner_radius_mm=inner, finished_diameter_mm=None)
    return replace(job, plate=plate)


class Lengths:
    """Blades of one job in steps of length; the trial of each is made once."""

    def __init__(self, job: Job, effort: Effort, *, teach: Callable[[Trial], object] | None = None) -> None:
        """Tell each new trial what is known already."""
        self._job = job
        self._effort = effort
        self._teach = teach
        self._trials: dict[int, Trial | None] = {}
        self.step_mm = step_mm(job.unit)

    def with_effort(self, effort: Effort) -> Lengths:
        """Return the same lengths, searched harder or less hard."""
        return Lengths(self._job, effort, teach=self._teach)

    def give(self, steps: int, needs: Needs) -> bool:
        """Return whether the fabrics give what is needed with blades of so many steps."""
        trial = self.trial(steps)
        return trial is not None and trial.gives(needs)

    def mm(self, steps: int) -> float:
        """Return the length of so many steps; the same double as the sum written in a job file."""
        return steps * self.step_mm

    def trial(self, steps: int) -> Trial | None:
        """Return the job with blades of so many steps; None where they make no plate."""
        if steps not in self._trials:
            job = with_blade(self._job, self.mm(steps))
            trial = self._trials[steps] = trial_or_none(job, effort=self._effort)
            if trial and self._teach:
                self._teach(trial)
        return self._trials[steps]

    @property
    def own(self) -> int:
        """The steps that are no longer than the job's own blades."""
        return self.nearest(self._job)

    def nearest(self, job: Job) -> int:
        """Return the steps that are no longer than the blades of a job."""
        return self.steps_in(plate_of(job).blade.length_mm)

    def steps_in(self, length_mm: float) -> int:
        """Return how many whole steps a length holds."""
        return int(rounded_down_mm(length_mm, self.step_mm) / self.step_mm + 0.5)

    @cached_property
    def fabrics(self) -> tuple[FabricSpec, ...]:
        """The job's fabrics, drawn scraps measured."""
        return tuple(demand.fabric for demand in cut_list(self._job, plate_of(self._job)).demands)

    @cached_property
    def range(self) -> tuple[int, int] | None:
        """The fewest steps that make a plate, and the most that any cloth could hold; None if none do."""
        longest = (
            max((max(fabric.width_mm, fabric.length_mm) for fabric in self.fabrics), default=0.0) * 2**0.5
        )
        most = int(rounded_down_mm(longest, self.step_mm) / self.step_mm + 0.5)
        # Blades too short to be sewn aren't tried: every longer one can be, up to what the background holds.
        least = 1
        while least <= most and not self._is_plate(least):
            least += 1
        return (least, most) if least <= most else None

    def by_area(self) -> int:
        """Return about how many steps blades have that use up the cloth, beside all else it must give.

        Of fabric that is bought as needed there is always enough; what other fabrics than those of the blades
        may give is taken to come from them.
        """
        offers = [fabric for fabric in self.fabrics if BLADE in dict(fabric.cuts)]
        elsewhere = {shape for fabric in self.fabrics if fabric not in offers for shape, _ in fabric.cuts}
        if not (range_ := self.range):
            return self.own
        least, most = range_
        if any(fabric.is_open for fabric in offers):
            return most
        cloth_mm2 = sum(fabric.width_mm * fabric.length_mm * fabric.pieces for fabric in offers)
        enough = most_true(
            lambda steps: self._used_mm2(steps, elsewhere) <= cloth_mm2, least, most, start=self.own
        )
        return least if enough is None else enough

    def _used_mm2(self, steps: int, elsewhere: Set[str]) -> float:
        """The cloth that the pieces of a job take, each in the rectangle about it; blades lie closer."""
        try:
            job = with_blade(self._job, self.mm(steps))
            shapes = cut_list(job, plate_of(job))
        except CutfilesError:
            return math.inf
        blades, used = {shape.name for shape in job.plate.shapes}, 0.0
        for name, count in shapes.needs:
            left, low, right, high = bounds(shapes.shape(name).cut)
            each = area(shapes.shape(name).cut) / _DENSE if name in blades else (right - left) * (high - low)
            used += 0.0 if name in elsewhere else count * each
        return used

    def _is_plate(self, steps: int) -> bool:
        try:
            plate_of(with_blade(self._job, self.mm(steps)))
        except CutfilesError:
            return False
        return True


def longest_blade(job: Job, lengths: Lengths, *, start: int) -> Longest | None:
    """Return the longest blade with which the job as asked fits; None where no length does.

    Args:
        job: as asked.
        lengths: of its blades.
        start: steps that are likely to be the answer, or near it.
    """
    needs = needs_of(job, job.plate.count)
    if (range_ := lengths.range) is None:
        return None
    least, most = range_
    at_once = lengths.with_effort(AT_ONCE)
    longest = most_true(lambda steps: at_once.give(steps, needs), least, most, start=start)
    if longest is None:
        return None
    # Near the end it takes a search.
    while longest < most and lengths.give(longest + 1, needs):
        longest += 1
    trial = lengths.trial(longest)
    assert trial is not None
    fabric, needed = _holder(lengths, longest, trial)
    return Longest(lengths.mm(longest), trial.plate.blade.finished_diameter_mm, fabric, needed)


def _holder(lengths: Lengths, steps: int, trial: Trial) -> tuple[str, float | None]:
    """The fabric whose pieces hold fewer of the next length, and how long they would have to be for it."""
    following = lengths.trial(steps + 1)
    offers = [fabric for fabric in trial.fabrics if any(shape == BLADE for shape, _ in fabric.cuts)]
    if following is None:
        return (offers or list(trial.fabrics))[0].name, None
    for fabric in offers:
        if fabric.as_needed:
            continue
        now = trial.count_on_piece(fabric, BLADE)
        if now and following.count_on_piece(fabric, BLADE, most=now) < now:
            return fabric.name, _length_for(following, fabric, now)
    return (offers or list(trial.fabrics))[0].name, None


def _length_for(trial: Trial, fabric: FabricSpec, blades: int) -> float | None:
    """How long a piece must be, as bought, to hold so many blades: to 1/8 in or 5 mm, up to a third more."""
    mark, purchase = trial.mark_mm, fabric.purchase
    length = rounded_up_mm(fabric.length_mm + RULE_MM, mark)
    while length <= fabric.length_mm * 4 / 3 and fabric.is_rectangle:
        if trial.count_on_piece(replace(fabric, length_mm=length), BLADE, most=blades) >= blades:
            return purchase.length_to_buy_mm(length, mark)
        length += mark
    return None
