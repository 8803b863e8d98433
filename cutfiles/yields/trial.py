"""One job put to its fabrics: do they give so many of each shape? No mat loads, no files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace

from cutfiles.core.errors import CutfilesError, UnmetError
from cutfiles.job.model.job import FabricSpec, Job, Share
from cutfiles.job.model.needs import cuts_asked
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.context import ALONE, Helpers
from cutfiles.nest.base.progress import ProgressReporter
from cutfiles.nest.base.reach import reach_of
from cutfiles.nest.by_hand import ruler_cutter
from cutfiles.nest.fabric.cutting import ALL, Cutter, FabricCutter
from cutfiles.nest.fabric.demand import settle
from cutfiles.nest.fabric.shortage import Shortage
from cutfiles.nest.nest import check_blades
from cutfiles.nest.search.solver import Solver
from cutfiles.nest.search.workers import Workers
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pieces.shape import CutList
from cutfiles.plate.measure import plate_of

Needs = Mapping[str, int]


class Trial:
    """A job's shapes and fabrics; each container that was filled once is remembered."""

    def __init__(self, job: Job, *, effort: Effort, helpers: Helpers = ALONE) -> None:
        """Raise JobError or GeometryError where the job makes no plate or no shape."""
        self.job, self.plate = job, plate_of(job)
        self.pieces = cut_list(job, self.plate)
        self.mark_mm = job.unit.rough_mark_mm
        self._cutter = self._by_ruler() if job.by_hand else self._by_search(effort, helpers)
        self._shortage = Shortage(self._cutter, job.unit, remedies=False)

    def _by_ruler(self) -> FabricCutter:
        return ruler_cutter(self.pieces, self.plate, self.job.unit)

    def _by_search(self, effort: Effort, helpers: Helpers) -> FabricCutter:
        job = self.job
        gap, clock = job.machine.gap_mm, Clock(effort=effort)
        reach = reach_of(job.mat.less(job.machine.beyond_mm), job.machine.register)
        check_blades(self.pieces, reach, job.unit)
        solver = Solver(self.pieces.shapes, gap_mm=gap, clock=clock, helpers=helpers)
        return Cutter(self.pieces.shapes, reach, solver, gap_mm=gap, mark_mm=self.mark_mm)

    @property
    def fabrics(self) -> tuple[FabricSpec, ...]:
        """The job's fabrics, drawn scraps measured."""
        return tuple(demand.fabric for demand in self.pieces.demands)

    def holds(self, fabric: FabricSpec, shape: str, *, most: int = ALL) -> int:
        """Return how many of a shape, up to `most`, one piece of a fabric holds if it gives nothing else."""
        return self._cutter.cut(replace(fabric, pieces=1), {shape: most}).given[shape]

    def surely_holds(self, fabric: FabricSpec, shape: str) -> int:
        """Return how many one piece holds as far as greedy rules tell: at once, and often not the most."""
        return self._cutter.at_least(replace(fabric, pieces=1), shape)

    def gives(self, needs: Needs) -> bool:
        """Return whether the fabrics give at least so many of each shape, shared out as `make` does it."""
        return self._settled(self._asked(needs)) is not None

    def gives_all(self, needs: Needs, shape: str) -> int:
        """Return how many of a shape they give besides all else that is needed, 0 if they don't give that."""
        others = {name: count for name, count in needs.items() if name != shape}
        asked = self._asked({**others, shape: 0})
        filled = tuple(
            replace(
                demand,
                counts=tuple((name, _filling(name, count, shape)) for name, count in demand.fabric.cuts),
            )
            for demand in asked.demands
        )
        return (self._settled(replace(asked, demands=filled)) or Counter())[shape]

    def _asked(self, needs: Needs) -> CutList:
        # Where an order says how many blades each fabric gives, that depends on how many plates there are.
        first = self.job.plate.shapes[0]
        plates = needs[first.name] // len(first.places(self.job.plate.sewn))
        cuts = cuts_asked(replace(self.job, plate=replace(self.job.plate, count=plates)))
        demands = (
            replace(demand, counts=counts) for demand, counts in zip(self.pieces.demands, cuts, strict=True)
        )
        return replace(self.pieces, needs=tuple(needs.items()), demands=tuple(demands))

    def _settled(self, asked: CutList) -> Counter[str] | None:
        """How many of each shape all fabrics give; None where that is too few."""
        needed = sum(need for _, need in asked.needs)
        reporter = ProgressReporter(None, needed=needed, fabrics=len(asked.demands))
        try:
            settled = settle(asked, self._cutter, self._shortage, reporter)
        except UnmetError:
            return None
        given: Counter[str] = Counter()
        for fabric in settled:
            given.update(fabric.cut.given)
        return given if all(given[shape] >= need for shape, need in asked.needs) else None


def _filling(name: str, count: int | Share, shape: str) -> int | Share:
    return Share.FILL if name == shape and count is Share.REST else count


def trial_or_none(job: Job, *, effort: Effort) -> Trial | None:
    """Return the trial of a job; None where its sizes make no plate that can be sewn."""
    try:
        return Trial(job, effort=effort)
    except CutfilesError:
        return None


@contextmanager
def helped_trial(job: Job, *, effort: Effort) -> Iterator[Trial]:
    """Give the trial of a job that is searched on all cores; strips by ruler need no search."""
    if job.by_hand:
        yield Trial(job, effort=effort)
        return
    shapes = cut_list(job, plate_of(job)).shapes
    with Workers(shapes, gap_mm=job.machine.gap_mm, clock=Clock(effort=effort)) as helpers:
        yield Trial(job, effort=effort, helpers=helpers)
