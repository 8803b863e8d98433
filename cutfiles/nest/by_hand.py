"""From a cut list to a layout where no machine cuts: strips of every fabric, in the order of cutting."""

from __future__ import annotations

from collections import Counter

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.base.layout import HandCut, Layout
from cutfiles.nest.base.progress import ProgressListener, ProgressReporter
from cutfiles.nest.by_ruler.cutter import RulerCutter
from cutfiles.nest.fabric.demand import Settled, settle, settle_as_far
from cutfiles.nest.fabric.shortage import Shortage
from cutfiles.nest.fabric.tally import count_notes, tally_of
from cutfiles.nest.nest import Amounts
from cutfiles.nest.verify.strips import verify_strips
from cutfiles.pieces.shape import CutList
from cutfiles.plate.plate import Plate


def lay_out_strips(
    cut_list: CutList, plate: Plate, unit: Unit, *, progress: ProgressListener | None = None
) -> Layout:
    """Return the strips of every fabric, and how many pieces come of each.

    Args:
        cut_list: the shapes, and which fabric is asked for how many.
        plate: its blades are cut as wedges, end for end where the print lets them.
        unit: of messages, and of the ruler.
        progress: told how far it is.

    Raises:
        UnmetError: the fabrics can't give what is asked; the message says what is short and what would do.
        JobError: a fabric that strips can't be ruled on.
        WrongLayoutError: a strip breaks a law; a bug of ours.
    """
    cutter = ruler_cutter(cut_list, plate, unit)
    settled = settle(cut_list, cutter, Shortage(cutter, unit), _reporter(cut_list, progress))
    layout = Layout(
        cut_list.shapes,
        (),
        (),
        _hand_cuts(settled),
        tuple(tally_of(result, cut_list, cutter, unit) for result in settled),
        count_notes(cut_list, settled),
        strips=tuple(strip for result in settled for strip in result.cut.strips),
    )
    verify_strips(layout, cut_list, {result.fabric.name: result.fabric for result in settled})
    return layout


def amounts_of_strips(cut_list: CutList, plate: Plate, unit: Unit) -> Amounts:
    """Return what each fabric gives, as `lay_out_strips` settles it; what is short is no error here.

    Raises:
        JobError: a fabric that strips can't be ruled on.
    """
    cutter = ruler_cutter(cut_list, plate, unit)
    settled, shortages = settle_as_far(
        cut_list, cutter, Shortage(cutter, unit), _reporter(cut_list, progress=None)
    )
    return Amounts(tuple(tally_of(result, cut_list, cutter, unit) for result in settled), shortages)


def ruler_cutter(cut_list: CutList, plate: Plate, unit: Unit) -> RulerCutter:
    """Return what cuts the fabrics of a job by ruler.

    Raises:
        JobError: a fabric that strips can't be ruled on.
    """
    for demand in cut_list.demands:
        _check_plain(demand.fabric)
    return RulerCutter(cut_list.shapes, plate, mark_mm=unit.rough_mark_mm)


def _check_plain(fabric: FabricSpec) -> None:
    for key, has in (("outline", fabric.outline), ("avoid", fabric.avoid), ("repeat", fabric.repeat)):
        if has:
            hint = "leave it out, and cut one motif at a time through a blade-window template"
            if key != "repeat":
                hint = "give width and length of the largest rectangle without it"
            raise JobError(
                f"{fabric.place}.{key}",
                f'with cut = "by hand" strips go from edge to edge of plain rectangles; {hint}',
            )
    if fabric.faces:
        raise JobError(
            f"{fabric.place}.face",
            'with cut = "by hand" nothing is drawn before it is cut, and you draw on either side; write one '
            "side for all shapes",
        )


def _reporter(cut_list: CutList, progress: ProgressListener | None) -> ProgressReporter:
    needed = sum(need for _, need in cut_list.needs)
    return ProgressReporter(progress, needed=needed, fabrics=len(cut_list.demands))


def _hand_cuts(settled: tuple[Settled, ...]) -> tuple[HandCut, ...]:
    cuts = []
    for result in settled:
        counts: Counter[str] = Counter()
        for strip in result.cut.strips:
            counts[strip.shape] += strip.count
        cuts += [HandCut(result.fabric.name, shape, count) for shape, count in counts.items()]
    return tuple(cuts)
