"""The door: a job in, what its fabrics give out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from cutfiles.core.errors import JobError
from cutfiles.geometry.outline import area
from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.job.model.job import FabricSpec, Job, Share
from cutfiles.nest.base.clock import Effort
from cutfiles.nest.base.cloth import Cloth, cloth_of
from cutfiles.plate.sizes import Json
from cutfiles.yields.longest import Lengths, LengthStep, Longest, longest_blade, steps_of
from cutfiles.yields.plates import WholePlates, needs_of, whole_plates
from cutfiles.yields.trial import Trial, helped_trial

# There are many questions, each asked of every fabric, and a person waits: `make` searches harder and now and
# then finds room for a piece more, never for one less.
_EFFORT = Effort(1, 80)


PlatesListener = Callable[[WholePlates], None]


@dataclass(frozen=True, slots=True)
class FabricYield:
    """What one fabric was found to hold of each shape that it may give, each given to it alone."""

    fabric: str
    pieces: int
    holds: tuple[tuple[str, int], ...]  # one piece

    @property
    def in_all(self) -> tuple[tuple[str, int], ...]:
        """All its pieces."""
        return tuple((shape, count * self.pieces) for shape, count in self.holds)


@dataclass(frozen=True, slots=True)
class Fit:
    """What the fabrics of a job give. Every number was laid; the next one was tried and wasn't."""

    whole: WholePlates
    fabrics: tuple[FabricYield, ...]
    largest: Longest | None  # None where no blade fits the job as asked
    steps: tuple[LengthStep, ...]

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
        }


def fit(job: Job, *, effort: Effort = _EFFORT, on_plates: PlatesListener | None = None) -> Fit:
    """Return what the fabrics of a job give.

    Args:
        job: its own count of plates matters for the longest blade alone.
        effort: of each search for one piece more; `make` takes more, and gives at least as much.
        on_plates: told of the whole plates as soon as they are known, for who would rather not wait for
            the lengths.

    Raises:
        JobError: there is no fabric to cut from, or the sizes make no plate.
    """
    if not job.fabrics:
        raise JobError("fabric", "there is none to cut from; add a [[fabric]] with its width and length")
    _check_offers(job)
    lengths = Lengths(job, effort)
    with helped_trial(job, effort=effort) as trial:
        yields = _yields(trial)
        whole = whole_plates(job, trial, most=_most_plates(job, trial))
    if on_plates is not None:
        on_plates(whole)
    largest = longest_blade(job, lengths)
    steps = tuple(step for fabric in _unlike(trial.fabrics) for step in steps_of(fabric, lengths))
    return Fit(whole, yields, largest, _for_all_alike(steps, trial.fabrics))


def _check_offers(job: Job) -> None:
    for shape in needs_of(job, 1):
        if not any(name == shape for fabric in job.fabrics for name, _ in fabric.cuts):
            raise JobError(
                "fabric", f'no fabric is told to give {shape}; add {shape} = "rest" to a fabric\'s cuts'
            )


def _yields(trial: Trial) -> tuple[FabricYield, ...]:
    known: dict[tuple[Cloth, str], int] = {}
    yields = []
    for fabric in trial.fabrics:
        if fabric.is_open:
            continue
        holds = []
        for shape, _ in fabric.cuts:
            key = (cloth_of(fabric), shape)
            if key not in known:
                known[key] = trial.holds(fabric, shape)
            holds.append((shape, known[key]))
        yields.append(FabricYield(fabric.name, fabric.pieces, tuple(holds)))
    return tuple(yields)


def _unlike(fabrics: Iterable[FabricSpec]) -> list[FabricSpec]:
    """One of each kind of cloth that gives blades."""
    first: dict[Cloth, FabricSpec] = {}
    for fabric in fabrics:
        if not fabric.as_needed and any(shape == BLADE for shape, _ in fabric.cuts):
            first.setdefault(cloth_of(fabric), fabric)
    return list(first.values())


def _for_all_alike(steps: Iterable[LengthStep], fabrics: Iterable[FabricSpec]) -> tuple[LengthStep, ...]:
    """Each fabric's steps, taken from the one that stood for its kind."""
    listed = list(fabrics)
    stands_for = {fabric.name: cloth_of(fabric) for fabric in listed}
    by_cloth: dict[Cloth, list[LengthStep]] = {}
    for step in steps:
        by_cloth.setdefault(stands_for[step.fabric], []).append(step)
    return tuple(
        replace(step, fabric=fabric.name)
        for fabric in listed
        if any(shape == BLADE for shape, _ in fabric.cuts)
        for step in by_cloth.get(cloth_of(fabric), [])
    )


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
