"""One job put to its fabrics: do they give so many of each shape? No mat loads, no files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutfiles.core.errors import CutfilesError, UnmetError
from cutfiles.job.model.job import FabricSpec, Job, Share
from cutfiles.job.model.needs import cuts_asked
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.context import ALONE, Helpers
from cutfiles.nest.base.orientations import PlainLayout, plain
from cutfiles.nest.base.progress import ProgressReporter
from cutfiles.nest.by_hand import ruler_cutter
from cutfiles.nest.cutting_rules.reach import reach_of
from cutfiles.nest.fabric.cutting import Cutter
from cutfiles.nest.fabric.demand import settle, settle_as_far
from cutfiles.nest.fabric.fabric_cutter import ALL, FabricCutter
from cutfiles.nest.fabric.shortage import Shortage
from cutfiles.nest.nest import check_blades
from cutfiles.nest.search.solver import Solver
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pieces.shape import CutList
from cutfiles.plate.measure import plate_of

Needs = Mapping[str, int]

# Of single pieces, where a layout is moved apart: most give way when pushed, and then a few moves help.
_MOVES = 6


class Trial:
    """A job's shapes and fabrics; each container that was filled once is remembered."""

    def __init__(self, job: Job, *, effort: Effort, helpers: Helpers = ALONE) -> None:
        """Raise JobError or GeometryError where the job makes no plate or no shape."""
        self.job, self.plate = job, plate_of(job)
        self.pieces = cut_list(job, self.plate)
        self.mark_mm = job.unit.rough_mark_mm
        self._searched: tuple[Cutter, Solver] | None = None
        self._cutter = self._by_ruler() if job.by_hand else self._by_search(effort, helpers)
        self._shortage = Shortage(self._cutter, job.unit, remedies=False)

    def _by_ruler(self) -> FabricCutter:
        return ruler_cutter(self.pieces, self.plate, self.job.unit)

    def _by_search(self, effort: Effort, helpers: Helpers) -> FabricCutter:
        job = self.job
        gap, clock = job.machine.gap_mm, Clock(effort=effort)
        reach = reach_of(job.mat.less(job.machine.beyond_mm), job.machine.register, unit=job.unit)
        check_blades(self.pieces, reach, job.unit)
        solver = Solver(self.pieces.shapes, gap_mm=gap, clock=clock, helpers=helpers)
        cutter = Cutter(self.pieces.shapes, reach, solver, mark_mm=self.mark_mm)
        self._searched = (cutter, solver)
        return cutter

    @property
    def fabrics(self) -> tuple[FabricSpec, ...]:
        """The job's fabrics, drawn scraps measured."""
        return tuple(demand.fabric for demand in self.pieces.demands)

    def count_on_piece(self, fabric: FabricSpec, shape: str, *, most: int = ALL) -> int:
        """Return how many of a shape, up to `most`, one piece of a fabric holds if it gives nothing else."""
        return self._cutter.cut(replace(fabric, pieces=1), {shape: most}).given[shape]

    def lay(self, fabric: FabricSpec, shape: str, count: int, *, all_rules: bool) -> PlainLayout | None:
        """Return how greedy rules lay so many of a shape on one piece of a fabric, None if they don't.

        () stands for what is cut by ruler, or cut up first to lie on the mat.
        """
        if self._searched is None:
            return () if self.count_on_piece(fabric, shape, most=count) >= count else None
        cutter, solver = self._searched
        container = cutter.whole(fabric, shape)
        if container is None:
            one = replace(fabric, pieces=1)
            return () if cutter.up_to(one, shape, count, all_rules=all_rules) >= count else None
        layout = solver.up_to(container, shape, count, all_rules=all_rules)
        return layout if len(layout) >= count else None

    def separate(self, fabric: FabricSpec, shape: str, layout: PlainLayout) -> PlainLayout | None:
        """Return the pieces of a layout, made for pieces of another size, moved apart; None if not found."""
        if self._searched is None or not layout:
            return None
        cutter, solver = self._searched
        container = cutter.whole(fabric, shape)
        return None if container is None else solver.separate(container, shape, layout, moves=_MOVES)

    def found_layout(self, fabric: FabricSpec, shape: str) -> PlainLayout:
        """Return the layout behind `count_on_piece`, () where there is none on a whole piece."""
        if self._searched is None or self._searched[0].whole(fabric, shape) is None:
            return ()
        cuts = self._searched[0].cut(replace(fabric, pieces=1), {shape: ALL}).cuts
        return plain(cuts[0].placed) if cuts else ()

    def learn(self, fabric: FabricSpec, shape: str, layout: PlainLayout) -> bool:
        """Take a layout of a shape alone as what one piece of a fabric holds; return whether that is more."""
        if self._searched is None or not layout:
            return False
        cutter, solver = self._searched
        container = cutter.whole(fabric, shape)
        if container is None or not solver.learn_layout(container, shape, layout):
            return False
        cutter.forget(fabric)
        return True

    def solve_ahead(self, questions: Sequence[tuple[FabricSpec, str]]) -> None:
        """Have looked up, several at once if anybody helps, how many one piece holds of a shape."""
        self._cutter.solve_ahead([(replace(fabric, pieces=1), {shape: ALL}) for fabric, shape in questions])

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

    def gives_of(self, shape: str, count: int) -> bool:
        """Return whether the fabrics give so many of a shape, its numbers too, if they give no other."""
        asked = self._asked({name: 0 for name, _ in self.pieces.needs} | {shape: count})
        alone = tuple(
            replace(demand, counts=tuple((name, share) for name, share in demand.counts if name == shape))
            for demand in asked.demands
        )
        return self._settled(replace(asked, demands=alone)) is not None

    def shortages(self, needs: Needs) -> tuple[str, ...]:
        """Return a line for each shortage where the fabrics don't give so many, with what would do."""
        asked, told = self._asked(needs), Shortage(self._cutter, self.job.unit)
        return settle_as_far(asked, self._cutter, told, _reporter(asked))[1]

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
        try:
            settled = settle(asked, self._cutter, self._shortage, _reporter(asked))
        except UnmetError:
            return None
        given: Counter[str] = Counter()
        for fabric in settled:
            given.update(fabric.cut.given)
        return given if all(given[shape] >= need for shape, need in asked.needs) else None


def _reporter(asked: CutList) -> ProgressReporter:
    """Nobody is told of a trial's progress."""
    needed = sum(need for _, need in asked.needs)
    return ProgressReporter(None, needed=needed, fabrics=len(asked.demands))


def _filling(name: str, count: int | Share, shape: str) -> int | Share:
    return Share.FILL if name == shape and count is Share.REST else count


def trial_or_none(job: Job, *, effort: Effort) -> Trial | None:
    """Return the trial of a job; None where its sizes make no plate that can be sewn."""
    try:
        return Trial(job, effort=effort)
    except CutfilesError:
        return None
