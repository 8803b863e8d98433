"""From a cut list to a layout: settle who gives what, spread the fabric on mats, number the pieces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from cutfiles.core.errors import JobError, UnmetError
from cutfiles.core.units import Unit, shown, sides_shown
from cutfiles.geometry.outline import Point, bounds
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.blade_shapes import is_blade_shape
from cutfiles.job.model.job import FabricSpec, Face, MachineSpec, MatSpec
from cutfiles.nest.base.clock import Clock, Stop
from cutfiles.nest.base.layout import (
    FabricTally,
    HandCut,
    Layout,
    Load,
    PlacedFabric,
    PlacedRepeat,
    Placement,
    RoughCut,
)
from cutfiles.nest.base.names import piece_stems
from cutfiles.nest.base.progress import ProgressListener, ProgressReporter
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.reach import Reach, reach_of
from cutfiles.nest.cutting_rules.repeat import Lattice, lattice_in
from cutfiles.nest.cutting_rules.turns import tried, turned_with
from cutfiles.nest.fabric.cutting import Cutter
from cutfiles.nest.fabric.demand import Settled, settle, settle_as_far
from cutfiles.nest.fabric.fabric_cut import Cut
from cutfiles.nest.fabric.obstacles import avoided_in
from cutfiles.nest.fabric.shortage import Shortage
from cutfiles.nest.fabric.tally import count_notes, tally_of
from cutfiles.nest.mat_loads.loads import LoadPosition, on_loads
from cutfiles.nest.search.solver import Solver
from cutfiles.nest.search.workers import Workers
from cutfiles.nest.verify.verify import Law, verify
from cutfiles.pieces.shape import CutList


@dataclass(frozen=True, slots=True)
class Bed:
    """What the fabric is laid on, and what cuts it."""

    mat: MatSpec
    machine: MachineSpec
    unit: Unit  # for messages


_STOPPED = {
    Stop.TIME: "the time limit cut the search short",
    Stop.USER: "the search was stopped by hand",
}
_WENT_ON = "the search went on as long as the time limit let it: another run may find another layout"


def nest(
    cut_list: CutList,
    bed: Bed,
    *,
    clock: Clock,
    progress: ProgressListener | None = None,
    processes: int | None = None,
) -> Layout:
    """Return where every piece lies.

    Args:
        cut_list: the shapes, and which fabric is asked for how many.
        bed: the mat and the machine.
        clock: says when the search must stop; stopped early, it keeps the best that it has found.
        progress: told how far it is.
        processes: how many search at once; None for one a core, 1 for this one alone. The layout is the same.

    Raises:
        UnmetError: the fabrics can't give what is asked; the message says what is short and what would do.
        JobError: nothing of the mat can be used.
        WrongLayoutError: what was found breaks a law; a bug of ours.
    """
    reach, gap = _reach(cut_list, bed), bed.machine.gap_mm
    with _cutter(cut_list, bed, clock, processes) as cutter:
        settled = _settled(cut_list, cutter, Shortage(cutter, bed.unit), clock, progress)
    cuts = [(result.fabric, cut) for result in settled for cut in result.cut.cuts]
    sizes = [(cut.blank.rect.width_mm, cut.blank.rect.height_mm) for _, cut in cuts]
    spreads = on_loads(sizes, reach, gap_mm=gap, names=[fabric.name for fabric, _ in cuts])
    rects = [(fabric, cut, spread) for (fabric, cut), spread in zip(cuts, spreads.places, strict=True)]
    notes = count_notes(cut_list, settled)
    if clock.stopped_by is not None:
        less = ", or need less length" if any(result.fabric.as_needed for result in settled) else ""
        notes = (
            *notes,
            f"{_STOPPED[clock.stopped_by]}: left to its end, a fabric may give more pieces{less}",
        )
    elif clock.went_on:
        notes = (*notes, _WENT_ON)
    layout = Layout(
        cut_list.shapes,
        _loads(rects),
        _rough_cuts(settled, rects),
        _hand_cuts(settled),
        tuple(tally_of(result, cut_list, cutter, bed.unit, hurried=clock.cut_short) for result in settled),
        notes,
        spreads.at_least,
    )
    verify(layout, Law(cut_list, bed.mat, bed.machine))
    return layout


@dataclass(frozen=True, slots=True)
class Amounts:
    """What each fabric was found to give, and a line for every shortage."""

    tallies: tuple[FabricTally, ...]
    shortages: tuple[str, ...]


def amounts(
    cut_list: CutList,
    bed: Bed,
    *,
    clock: Clock,
    progress: ProgressListener | None = None,
    processes: int | None = None,
) -> Amounts:
    """Return what each fabric gives, settled as `nest` does it, but laid on no mat; arguments as there.

    Raises:
        JobError: nothing of the mat can be used.
    """
    with _cutter(cut_list, bed, clock, processes) as cutter, _watched(cut_list, clock, progress) as reporter:
        settled, shortages = settle_as_far(cut_list, cutter, Shortage(cutter, bed.unit), reporter)
    tallies = tuple(
        tally_of(result, cut_list, cutter, bed.unit, hurried=clock.cut_short) for result in settled
    )
    return Amounts(tallies, _with_reason(shortages, clock))


def _reach(cut_list: CutList, bed: Bed) -> Reach:
    # Its axis runs a little further out than the pieces, and must stay within its reach.
    reach = reach_of(bed.mat.less(bed.machine.beyond_mm), bed.machine.register, unit=bed.unit)
    check_blades(cut_list, reach, bed.unit)
    _check_outlines(cut_list, reach, bed.unit)
    return reach


def check_mat(cut_list: CutList, bed: Bed) -> None:
    """Do nothing if the mat has room for what is to be cut on it; `nest` asks the same before its search.

    Raises:
        JobError: nothing of the mat can be used, or it is too small for a blade or a scrap.
    """
    _reach(cut_list, bed)


@contextmanager
def _cutter(cut_list: CutList, bed: Bed, clock: Clock, processes: int | None) -> Iterator[Cutter]:
    """Give what cuts the fabrics of a job, while its helpers are there."""
    reach, gap = _reach(cut_list, bed), bed.machine.gap_mm
    with Workers(cut_list.shapes, gap_mm=gap, clock=clock, processes=processes) as helpers:
        solver = Solver(cut_list.shapes, gap_mm=gap, clock=clock, helpers=helpers)
        yield Cutter(cut_list.shapes, reach, solver, mark_mm=bed.unit.rough_mark_mm)


@contextmanager
def _watched(
    cut_list: CutList, clock: Clock, progress: ProgressListener | None
) -> Iterator[ProgressReporter]:
    """Give a reporter that is told of whatever is found while this lasts."""
    needed = sum(need for _, need in cut_list.needs)
    reporter = ProgressReporter(progress, needed=needed, fabrics=len(cut_list.demands))
    clock.watch(reporter.report if progress else None)
    try:
        yield reporter
    finally:
        clock.watch(None)


def _with_reason(shortages: Iterable[str], clock: Clock) -> tuple[str, ...]:
    """Lines of shortages; where the search was cut short they say so."""
    if clock.stopped_by is None:
        return tuple(shortages)
    return tuple(f"{line}; {_STOPPED[clock.stopped_by]}, so more may fit" for line in shortages)


def _settled(
    cut_list: CutList, cutter: Cutter, shortage: Shortage, clock: Clock, progress: ProgressListener | None
) -> tuple[Settled, ...]:
    """What each fabric gives; where it is too little, the message says so if the search was cut short."""
    try:
        with _watched(cut_list, clock, progress) as reporter:
            return settle(cut_list, cutter, shortage, reporter)
    except UnmetError as error:
        raise UnmetError("\n".join(_with_reason(str(error).splitlines(), clock))) from None


def _check_outlines(cut_list: CutList, reach: Reach, unit: Unit) -> None:
    """Rough cuts are rectangles: a scrap with an outline of its own goes onto the mat as it is."""
    for demand in cut_list.demands:
        fabric = demand.fabric
        if fabric.outline and not reach.holds(fabric.width_mm, fabric.length_mm):
            size = f"{shown(fabric.width_mm, unit)} × {shown(fabric.length_mm, unit)}"
            largest = max(reach.free, key=lambda rect: rect.width_mm * rect.height_mm)
            room = f"{shown(largest.width_mm, unit)} × {shown(largest.height_mm, unit)}"
            raise JobError(
                f"{fabric.place}.outline",
                f"a scrap of {size} is too large for the mat, which takes {room}; cut it in two and write "
                "two fabrics, or use a larger mat",
            )


def check_blades(cut_list: CutList, reach: Reach, unit: Unit) -> None:
    """Do nothing if the mat has room for a blade, or a band of one, of every fabric that is to give it.

    Raises:
        JobError: it hasn't. Backgrounds and other shapes are then ruled by hand; dozens of blades never are.
    """
    blades = [shape for shape in cut_list.shapes if is_blade_shape(shape.name)]
    asked = [(demand.fabric, shape) for demand in cut_list.demands for shape in blades
             if shape.name in dict(demand.counts)]  # fmt: skip
    for fabric, shape in asked:
        margins = 2 * fabric.margin_mm
        sizes = []
        for turn in tried(cloth_of(fabric.lying_for(shape.name)).turns):
            left, low, right, high = bounds(placed(shape.cut, Pose(turn_deg=turn)))
            sizes.append((right - left + margins, high - low + margins))
        if any(reach.holds(width, height) for width, height in sizes):
            continue
        largest = max(reach.free, key=lambda rect: rect.width_mm * rect.height_mm)
        room = sides_shown(largest.width_mm, largest.height_mm, unit)
        with_margin = " with the margin of its fabric" if margins else ""
        raise JobError(
            "mat",
            f"a {shape.name} of {sides_shown(*sizes[0], unit)}{with_margin} does not fit on it: it takes "
            f'{room}; use a larger mat, shorter blades, or write cut = "by hand" in [job]',
        )


def load_name(number: int) -> str:
    """Return the name of a load, counted from 1: `load-01`."""
    return f"load-{number:02d}"


_LaidCut = tuple[FabricSpec, Cut, LoadPosition]


def _loads(rects: list[_LaidCut]) -> tuple[Load, ...]:
    numbers: Counter[tuple[str, str]] = Counter()
    stems = piece_stems(
        (fabric.name, placed_item.item.shape) for fabric, cut, _ in rects for placed_item in cut.placed
    )
    loads = []
    for load in range(max((spread.load for _, _, spread in rects), default=-1) + 1):
        laid = []
        for fabric, cut, spread in rects:
            if spread.load != load:
                continue
            placements = []
            for pose, shape in _on_mat(cut, spread):
                key = (fabric.name, shape)
                numbers[key] += 1
                number = numbers[key]
                piece_id = f"{stems[key]}-{number:03d}"
                placements.append(Placement(piece_id, shape, number, f"{fabric.name} {number}", pose))
            laid.append(_laid(fabric, cut, spread, tuple(placements)))
        loads.append(Load(load_name(load + 1), tuple(laid)))
    return tuple(loads)


def _on_mat(cut: Cut, spread: LoadPosition) -> list[tuple[Pose, str]]:
    """Each piece's pose on the mat, from the near edge up and from left to right."""
    fabric = _blank_pose(cut, spread)
    poses = []
    for placed_item in cut.placed:
        pose = fabric.after(
            Pose(placed_item.x_mm, placed_item.y_mm, placed_item.item.turn_deg, placed_item.item.mirrored)
        )
        left, low, right, high = placed_item.item.bounds
        middle = fabric.point((placed_item.x_mm + (left + right) / 2, placed_item.y_mm + (low + high) / 2))
        poses.append(((round(middle[1], 3), round(middle[0], 3)), pose, placed_item.item.shape))
    poses.sort(key=lambda entry: entry[0])
    return [(pose, shape) for _, pose, shape in poses]


def _blank_pose(cut: Cut, spread: LoadPosition) -> Pose:
    # Turned, the blank's upper left corner comes to lie at its lower left.
    shift = cut.blank.rect.height_mm if spread.turn_deg else 0.0
    return Pose(spread.x_mm + shift, spread.y_mm, spread.turn_deg)


def _laid(
    fabric: FabricSpec, cut: Cut, spread: LoadPosition, placements: tuple[Placement, ...]
) -> PlacedFabric:
    cloth = cloth_of(fabric.lying(cut.face))
    rect, pose = cut.blank.rect, _blank_pose(cut, spread)

    def on_mat(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple(pose.point((x - rect.x_mm, y - rect.y_mm)) for x, y in points)

    return PlacedFabric(
        fabric.name,
        cut.blank.piece,
        spread.x_mm,
        spread.y_mm,
        rect.width_mm,
        rect.height_mm,
        spread.turn_deg,
        fabric.margin_mm,
        turned_with(cloth.turns, spread.turn_deg),
        placements,
        on_mat(fabric.outline),
        tuple(on_mat(points) for points in avoided_in(cloth, rect)),
        _laid_repeat(lattice_in(cloth, rect), pose),
        (rect.x_mm, rect.y_mm),
        cut.face,
    )


def _laid_repeat(lattice: Lattice | None, pose: Pose) -> PlacedRepeat | None:
    if lattice is None:
        return None
    return PlacedRepeat(*pose.point((lattice.x_mm, lattice.y_mm)), lattice.width_mm, lattice.length_mm)


def _rough_cuts(settled: tuple[Settled, ...], rects: list[_LaidCut]) -> tuple[RoughCut, ...]:
    """Rectangles cut by hand, fabric by fabric and piece by piece: for the mat, and whole shapes."""
    rough_cuts = []
    for result in settled:
        name = result.fabric.name
        own = [(hand.piece, hand.rect, hand.shape, hand.face) for hand in result.cut.by_hand]
        own += [
            (cut.blank.piece, cut.blank.rect, load_name(spread.load + 1), cut.face)
            for fabric, cut, spread in rects
            if fabric is result.fabric and cut.blank.rough
        ]
        faces: dict[int, Face] = {}
        for piece, rect, goes_to, face in sorted(own, key=lambda item: (item[0], item[1].y_mm, item[1].x_mm)):
            # A piece lies one side up while it is cut; what is laid down the other way is turned over then.
            up = faces.setdefault(piece, face)
            x_mm = rect.x_mm if up is face else result.fabric.width_mm - rect.x_mm - rect.width_mm
            rough_cuts.append(
                RoughCut(name, piece, x_mm, rect.y_mm, rect.width_mm, rect.height_mm, goes_to, up)
            )
    return tuple(rough_cuts)


def _hand_cuts(settled: tuple[Settled, ...]) -> tuple[HandCut, ...]:
    return tuple(
        HandCut(result.fabric.name, shape, count)
        for result in settled
        for shape, count in Counter(hand.shape for hand in result.cut.by_hand).items()
    )
