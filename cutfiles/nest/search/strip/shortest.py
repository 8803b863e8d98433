"""The shortest length of cloth for given pieces: built, shortened, or (given time) proposed from outside."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutfiles.geometry.outline import area
from cutfiles.nest.base.clock import Stop, StripWork, cores
from cutfiles.nest.base.container import Container, Wanted
from cutfiles.nest.base.context import SearchContext
from cutfiles.nest.base.orientations import moved
from cutfiles.nest.base.oriented_item import OrientedItem
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.search.greedy.construct import Construction
from cutfiles.nest.search.greedy.rules import Pushed
from cutfiles.nest.search.nofit.half_planes import HalfPlanes
from cutfiles.nest.search.nofit.simplified import FINER
from cutfiles.nest.search.strip.proposal import Proposal, StripTask, is_there

if TYPE_CHECKING:
    from cutfiles.nest.search.strip.improve import StripImprovement

_RULES = (Pushed(1, 1, 0.01), Pushed(1, 0, 0.01), Pushed(1, 1, 0.1))
_HALVINGS = 6  # of what is between the bound and the length of the greedy layout
_TRIES_A_MOVE = 24  # at changing a layout of one piece; with more a try takes as much longer
_TRIES_A_PIECE = 200  # few pieces are soon tried out
_ROWS_A_MOVE = 800  # of linear programs: bays have many, and a try takes as much longer
_PUT_RIGHT_S = 0.7  # kept of the time to put right what the outside solver proposes
_GRACE_S = 1.0  # it was seen to take a little longer than told
_LEAST_S, _MOST_ASKED = 3, 400  # less time, or more pieces, isn't worth asking for
_LOOK_S = 0.05


class StripPacking:
    """Finds short lengths, and remembers them."""

    def __init__(self, context: SearchContext, construction: Construction) -> None:
        self._context, self._construction, self._clock = context, construction, context.clock
        self._known: dict[tuple[Container, Wanted, int], tuple[PlacedItem, ...] | None] = {}

    def shortest(
        self, container: Container, wanted: Wanted, *, share: float, seed: int
    ) -> tuple[PlacedItem, ...] | None:
        """Return all that is wanted on as short a length as found, None where the container is too short.

        Of the time that is left under a limit it takes about a share.
        """
        key = (container, wanted, seed)
        if key not in self._known:
            there = tuple((shape, count) for shape, count in wanted if count > 0)
            placed = self._search(container, there, seed, self._clock.share(share))
            self._known[key] = None if placed is None else moved(placed, container.margin_mm)
        return self._known[key]

    def _search(
        self, container: Container, wanted: Wanted, seed: int, until: float | None
    ) -> tuple[PlacedItem, ...] | None:
        """What is found; `until` says when the time that the user gave for it is over, None if none was."""
        if not wanted:
            return ()
        items = self._context.items.on(container, *(shape for shape, _ in wanted))
        task = StripTask(items, wanted, container.room[0], self._context.gap_mm, seed)
        proposal = self._proposal(task, until)
        try:
            return self._best_of(container, task, proposal, until)
        finally:
            if proposal is not None:
                proposal.stop()

    def _best_of(
        self, container: Container, task: StripTask, proposal: Proposal | None, until: float | None
    ) -> tuple[PlacedItem, ...] | None:
        wanted, one_shape = task.counts, len(task.counts) == 1
        proposed: tuple[PlacedItem, ...] | None = None
        if not one_shape:
            # All cores are the proposal's meanwhile: what could be built here would seldom be shorter.
            proposed = self._put_right(container, task, proposal)
            if proposed is not None:
                return self._improved(container, task, proposed, until, counted=False)
        built = self._built(container, task.items, wanted)
        if one_shape:
            built = self._in_rows(container, wanted[0], built)
            proposed = self._put_right(container, task, proposal)
        best = min(
            (layout for layout in (built, proposed) if layout is not None), key=_length_mm, default=None
        )
        if best is None:
            return None
        return self._improved(container, task, best, until, counted=proposal is None)

    def _improved(
        self,
        container: Container,
        task: StripTask,
        placed: tuple[PlacedItem, ...],
        until: float | None,
        *,
        counted: bool,
    ) -> tuple[PlacedItem, ...]:
        """Shortened by changes: counted ones if asked for, then more as long as the user gave time."""
        if self._clock.poll():
            return placed
        strip, seed = self._strip(container, task), task.seed
        if counted:
            effort, count = self._clock.effort, sum(count for _, count in task.counts)
            moves = effort.starts * effort.moves
            work = StripWork(
                min(_TRIES_A_MOVE * moves // count, _TRIES_A_PIECE * count), _ROWS_A_MOVE * moves
            )
            placed = strip.shortened(placed, work=work, seed=seed, stop=self._clock.poll)
            if until is None or self._clock.poll():
                return placed
            seed += 1

        def time_is_up() -> bool:
            return until is None or not self._clock.extend_until(until)

        return strip.shortened(placed, work=None, seed=seed, stop=time_is_up)

    def _strip(self, container: Container, task: StripTask) -> StripImprovement:
        # Its solver of linear programs takes a while to load, and most jobs never need it.
        from cutfiles.nest.search.strip.compact import Compaction  # noqa: PLC0415
        from cutfiles.nest.search.strip.improve import StripImprovement  # noqa: PLC0415

        half_planes = HalfPlanes(task.items, gap_mm=self._context.gap_mm, detail=FINER)
        return StripImprovement(Compaction(half_planes, width_mm=container.room[0], clock=self._clock))

    def _built(
        self, container: Container, items: tuple[OrientedItem, ...], wanted: Wanted
    ) -> tuple[PlacedItem, ...] | None:
        """The shortest of some greedy layouts, large shapes first."""
        sizes = {shape: area(self._context.items.shapes[shape].cut) for shape, _ in wanted}
        order = sorted(wanted, key=lambda demand: -sizes[demand[0]])
        layouts = []
        for rule in _RULES:
            packing = self._construction.packing(container, items)
            for shape, count in order:
                own = [index for index, item in enumerate(items) if item.shape == shape]
                if packing.fill(own, rule, most=count) < count:
                    break
            else:
                layouts.append(tuple(packing.placed))
            if self._clock.poll():
                break
        return min(layouts, key=_length_mm, default=None)

    def _in_rows(
        self, container: Container, wanted: tuple[str, int], best: tuple[PlacedItem, ...] | None
    ) -> tuple[PlacedItem, ...] | None:
        """Of one shape rows and columns may hold as many on less: the least length is found by halving."""
        shape, count = wanted
        width, most = container.room
        high = most if best is None else _length_mm(best)
        low = min(high, area(self._context.items.shapes[shape].cut) * count / width)
        for _ in range(_HALVINGS):
            if self._clock.poll():
                break
            middle = (low + high) / 2
            shorter = Container(width, middle, 0.0, container.turns, container.mirrored)
            placed = self._construction.maximise(shorter, shape)
            if len(placed) >= count:
                best = tuple(sorted(placed, key=_end_mm)[:count])
                high = _length_mm(best)
            else:
                low = middle
        return best

    def _proposal(self, task: StripTask, until: float | None) -> Proposal | None:
        """The outside solver set to work on all cores, where the user gave time for it."""
        left = None if until is None else self._clock.left_until(until)
        seconds = 0 if left is None else int(left - _PUT_RIGHT_S)
        many = sum(count for _, count in task.counts) > _MOST_ASKED
        if seconds < _LEAST_S or many or not is_there():
            return None
        return Proposal(task, seconds=seconds, workers=cores())

    def _put_right(
        self, container: Container, task: StripTask, proposal: Proposal | None
    ) -> tuple[PlacedItem, ...] | None:
        """What came of a proposal, None where it gave up, came too late or is too long for the container."""
        if proposal is None:
            return None
        late_s = 0.0
        while not proposal.is_done():
            if self._clock.wait(_LOOK_S):
                late_s += _LOOK_S
            if late_s > _GRACE_S or self._clock.stopped_by is Stop.USER:
                return None
        placed = proposal.answer()
        if placed is None:
            return None
        # It takes a moment, and without it all that time would be lost.
        right = self._strip(container, task).put_right(placed, stop=self._clock.is_overdue)
        return right if right is not None and _length_mm(right) <= container.room[1] else None


def _length_mm(placed: Sequence[PlacedItem]) -> float:
    return max(map(_end_mm, placed))


def _end_mm(placed_item: PlacedItem) -> float:
    """How far along the strip a piece reaches."""
    return placed_item.y_mm + placed_item.item.bounds[3]
