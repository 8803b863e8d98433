"""The door: a job in, what its fabrics give out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from cutfiles.core.errors import JobError
from cutfiles.geometry.outline import area
from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.job.model.job import FabricSpec, Grain, Job, Share
from cutfiles.job.model.needs import check_cloth
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.cutting_rules.cloth import Cloth, cloth_of
from cutfiles.nest.search.workers import Workers
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.plate.sizes import Json
from cutfiles.yields.longest import Lengths, Longest, longest_blade
from cutfiles.yields.plates import WholePlates, needs_of, whole_plates
from cutfiles.yields.steps import LengthStep, steps_of_all, teach
from cutfiles.yields.trial import Trial

# There are many questions, each asked of every fabric, and a person waits: `make` searches harder and now and
# then finds room for a piece more, never for one less.
_EFFORT = Effort(1, 40, rows_from=13, numbers=True)


PlatesListener = Callable[[WholePlates], None]


@dataclass(frozen=True, slots=True)
class TurnedYield:
    """What one piece would hold with its grain turned, of the blade's shapes: more than it holds."""

    grain: Grain
    holds: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class FabricYield:
    """What one fabric was found to hold of each shape that it may give, each given to it alone."""

    fabric: str
    pieces: int
    holds: tuple[tuple[str, int], ...]  # one piece
    turned: TurnedYield | None = None  # None where that holds no more

    @property
    def in_all(self) -> tuple[tuple[str, int], ...]:
        """All its pieces."""
        return tuple((shape, count * self.pieces) for shape, count in self.holds)


def _turned_json(turned: TurnedYield | None) -> Json:
    if turned is None:
        return {}
    return {"turned": {"grain": turned.grain.value, "holds": dict(turned.holds)}}


@dataclass(frozen=True, slots=True)
class Fit:
    """What the fabrics of a job give. Every number was laid; the next one was tried and wasn't."""

    whole: WholePlates
    fabrics: tuple[FabricYield, ...]
    largest: Longest | None  # None where no blade fits the job as asked
    steps: tuple[LengthStep, ...]
    shortages: tuple[str, ...]  # of the job as asked, a line each: what is short, and what would do

    def json(self) -> Json:
        """Return it as `fit --json` gives it, lengths in mm."""
        largest = self.largest and {
            "blade_length_mm": round(self.largest.blade_length_mm, 6),
            "finished_diameter_mm": round(self.largest.finished_diameter_mm, 6),
            "limited_by": self.largest.limited_by,
            "needs_mm": None if self.largest.needs_mm is None else round(self.largest.needs_mm, 6),
        }
        return {
            "plates": self.whole.plates,
            "blades_over": self.whole.blades_over,
            "limited_by": self.whole.limited_by,
            "fabrics": [
                {
                    "fabric": fabric_yield.fabric,
                    "pieces": fabric_yield.pieces,
                    "holds": dict(fabric_yield.holds),
                    "in_all": dict(fabric_yield.in_all),
                    **_turned_json(fabric_yield.turned),
                }
                for fabric_yield in self.fabrics
            ],
            "largest": largest,
            "steps": [
                {
                    "fabric": step.fabric,
                    "blades": step.blades,
                    "blade_length_mm": round(step.blade_length_mm, 6),
                }
                for step in self.steps
            ],
            "shortages": list(self.shortages),
        }


def fit(
    job: Job,
    *,
    effort: Effort = _EFFORT,
    on_plates: PlatesListener | None = None,
    processes: int | None = None,
) -> Fit:
    """Return what the fabrics of a job give.

    Args:
        job: its own count of plates matters for what is short and for the longest blade alone.
        effort: of each search for one piece more; `make` takes more, and gives at least as much.
        on_plates: told of the whole plates as soon as they are known, for who would rather not wait for
            the lengths.
        processes: how many search at once; None for one a core. The answer is the same.

    Raises:
        JobError: there is no fabric to cut from, or the sizes make no plate.
    """
    check_cloth(job)
    _check_offers(job)
    shapes = cut_list(job, plate_of(job)).shapes
    clock = Clock(effort=effort)
    with Workers(shapes, gap_mm=job.machine.gap_mm, clock=clock, processes=processes) as workers:
        trial = Trial(job, effort=effort, helpers=workers)
        _look_ahead(trial)
        whole = whole_plates(job, trial, most=_most_plates(job, trial))
        if on_plates is not None:
            on_plates(whole)
        steps = steps_of_all(job, trial, workers)
        if teach(trial, steps):
            whole = whole_plates(job, trial, most=_most_plates(job, trial))
        yields = _yields(trial)
        enough = whole.plates >= job.plate.count
        shortages = () if enough else trial.shortages(needs_of(job, job.plate.count))
    lengths = Lengths(job, effort, teach=lambda longer: teach(longer, steps))
    alone = sum(dict(each.in_all).get(BLADE, 0) for each in yields)
    start = min(_by_blades_alone(job, trial.fabrics, steps, lengths, alone=alone), lengths.by_area())
    return Fit(whole, yields, longest_blade(job, lengths, start=start), steps, shortages)


def _check_offers(job: Job) -> None:
    for shape in needs_of(job, 1):
        if not any(name == shape for fabric in job.fabrics for name, _ in fabric.cuts):
            raise JobError(
                "fabric", f'no fabric is told to give {shape}; add {shape} = "rest" to a fabric\'s cuts'
            )


def _look_ahead(trial: Trial) -> None:
    """Have searched, several at once, what one piece of each kind of cloth holds of each shape."""
    trial.solve_ahead(
        list(
            {
                (cloth_of(fabric.lying_for(shape)), shape): (fabric, shape)
                for fabric in reversed(trial.fabrics)
                if not fabric.is_open
                for shape, _ in fabric.cuts
            }.values()
        )
    )


def _yields(trial: Trial) -> tuple[FabricYield, ...]:
    known: dict[tuple[Cloth, str], int] = {}
    turned: dict[Cloth, TurnedYield | None] = {}
    yields = []
    for fabric in trial.fabrics:
        if fabric.is_open:
            continue
        holds = []
        for shape, _ in fabric.cuts:
            key = (cloth_of(fabric.lying_for(shape)), shape)
            if key not in known:
                known[key] = trial.count_on_piece(fabric, shape)
            holds.append((shape, known[key]))
        cloth = cloth_of(fabric.lying_for(BLADE))
        if cloth not in turned:
            turned[cloth] = _turned(trial, fabric, dict(holds))
        yields.append(FabricYield(fabric.name, fabric.pieces, tuple(holds), turned[cloth]))
    return tuple(yields)


def _turned(trial: Trial, fabric: FabricSpec, holds: Mapping[str, int]) -> TurnedYield | None:
    """What a piece holds with the other grain, if that is more of a blade's shape."""
    other = {Grain.LENGTHWISE: Grain.CROSSWISE, Grain.CROSSWISE: Grain.LENGTHWISE}.get(fabric.grain)
    blades = [shape.name for shape in trial.job.plate.shapes if shape.name in holds]
    if other is None:
        return None
    across = replace(fabric, grain=other)
    # Greedy rules say it at once; it is a hint, not worth a search.
    held = {shape: _at_least(trial, across, shape, holds[shape]) for shape in blades}
    return (
        TurnedYield(other, tuple(held.items())) if any(held[shape] > holds[shape] for shape in held) else None
    )


def _at_least(trial: Trial, fabric: FabricSpec, shape: str, count: int) -> int:
    """How many greedy rules lay on a piece, where that is no less than a number; else what they do lay."""
    while trial.lay(fabric, shape, count + 1, all_rules=True) is not None:
        count += 1
    while count and trial.lay(fabric, shape, count, all_rules=True) is None:
        count -= 1
    return count


def _by_blades_alone(
    job: Job, fabrics: Sequence[FabricSpec], steps: Sequence[LengthStep], lengths: Lengths, *, alone: int
) -> int:
    """The steps of the longest blade of which all pieces hold enough, if they give nothing else.

    Of more blades than steps are known for, about how long they are: `alone` of the job's own lie.
    Of fabric that is bought as needed there is always enough: then those of the job's own blades.
    """
    if any(fabric.is_open and BLADE in dict(fabric.cuts) for fabric in fabrics):
        return lengths.own
    pieces = {fabric.name: fabric.pieces for fabric in fabrics}
    longest = sorted(
        (lengths.steps_in(step.blade_length_mm) for step in steps for _ in range(pieces[step.fabric])),
        reverse=True,
    )
    need = needs_of(job, job.plate.count).get(BLADE, 0)
    if 0 < need <= len(longest):
        return longest[need - 1]
    return lengths.steps_in(_as_large(job, alone / need)) if alone and need else lengths.own


def _as_large(job: Job, times: float) -> float:
    """How long blades are whose ring covers so many times what that of the job's own covers.

    A ring of the inner radius r and the width w covers π·w·(w + 2·r).
    """
    plate = plate_of(job)
    inner, own = plate.blade.inner_radius_mm, plate.blade.length_mm
    return math.sqrt(inner**2 + times * own * (own + 2 * inner)) - inner


def _most_plates(job: Job, trial: Trial) -> int:
    """Plates that the cloth can't pass: by its area, and by the numbers that it is told to give.

    Where every shape may come from cloth as long as needed nothing limits them: then as many as are asked.
    """
    one_plate, two_plates = needs_of(job, 1), needs_of(job, 2)
    most = [
        given // (two_plates[shape] - one_plate[shape])
        for shape in one_plate
        if two_plates[shape] > one_plate[shape] and (given := _most_given(trial, shape)) is not None
    ]
    return min(most, default=job.plate.count)


def _most_given(trial: Trial, shape: str) -> int | None:
    """Pieces of a shape that the cloth can't pass, None where some of it is as long as needed."""
    covers = area(trial.pieces.shape(shape).cut)
    total = 0
    for fabric in trial.fabrics:
        count = dict(fabric.cuts).get(shape, 0)
        if not isinstance(count, Share):
            total += count
        elif fabric.is_open:
            return None
        else:
            total += int(fabric.pieces * fabric.width_mm * fabric.length_mm / covers)
    return total
