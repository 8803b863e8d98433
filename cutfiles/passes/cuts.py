"""What is cut on a load: inner cuts before outlines, on a short way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutfiles.core.outline import Contour, Path, Point, area, bounds
from cutfiles.core.pose import placed
from cutfiles.job.model import MachineSpec
from cutfiles.nest.layout import Layout, Load
from cutfiles.passes.drawing import Pass, shorter
from cutfiles.passes.plan import Stroke, Tool
from cutfiles.passes.starts import begun_variously, best_starts
from cutfiles.passes.stretch import reversed_ring, run_on
from cutfiles.passes.travel import end_of, in_short_order, start_of


@dataclass(frozen=True, slots=True)
class CutLines:
    """Where the tool runs to cut a shape, in the shape's own frame."""

    outer: Contour
    inner: tuple[Contour, ...]


@dataclass(frozen=True, slots=True)
class _Run:
    """What is cut in one go: the lines' names within the piece, and the ways in which they may be run."""

    piece_id: str
    parts: tuple[str, ...]
    ways: tuple[tuple[Contour, ...], ...]


def cuts(layout: Layout, load: Load, lines: dict[str, CutLines], machine: MachineSpec) -> Pass:
    """Return a load's cuts."""
    runs = []
    for laid in load.laid:
        for placement in laid.placements:
            line = lines[placement.shape]
            outer = placed(line.outer, placement.pose)
            inner = tuple(_clockwise(placed(hole, placement.pose)) for hole in line.inner)
            runs.append(_piece(placement.piece_id, outer, inner, machine))
    return shorter(_strokes(runs, *_in_order(runs)), _strokes(runs, range(len(runs)), [0] * len(runs)))


def _clockwise(hole: Contour) -> Contour:
    """Inner cuts run clockwise: what is kept lies on the tool's left, as beside an outline."""
    return reversed_ring(hole) if area(hole) > 0 else hole


def _piece(piece_id: str, outer: Contour, inner: Sequence[Contour], machine: MachineSpec) -> _Run:
    over = machine.overcut_mm
    # Inner cuts first: once the outline is cut, the piece can shift.
    first = tuple(run_on(hole, over) for hole in inner)
    names = (*(f"inner-{number}" for number in range(1, len(inner) + 1)), "")
    ways = [(*first, run_on(begun, over)) for begun in begun_variously(outer)]
    return _Run(piece_id, names, ((*first, run_on(outer, over)), *ways))


def _in_order(runs: Sequence[_Run]) -> tuple[list[int], list[int]]:
    """The order of the runs, and which way to run each."""
    order = [step.run for step in in_short_order([_about(run) for run in runs])]
    picks = dict(zip(order, _picked(runs, order), strict=True))
    # Once more, now that it is known where each begins.
    chosen = [runs[index].ways[picks[index]] for index in range(len(runs))]
    order = [step.run for step in in_short_order([(start_of(way[0]), end_of(way[-1])) for way in chosen])]
    return order, _picked(runs, order)


def _picked(runs: Sequence[_Run], order: Sequence[int]) -> list[int]:
    # The first way is how the outline was laid: it may begin at a sharp point.
    return [pick + 1 for pick in best_starts([runs[index].ways[1:] for index in order])]


def _about(run: _Run) -> tuple[Point, Point]:
    """Where a run lies, before it is known where it begins."""
    last = run.ways[0][-1]
    if isinstance(last, Path) and not last.closed:
        return start_of(last), end_of(last)
    left, low, right, high = bounds(last)
    middle = ((left + right) / 2, (low + high) / 2)
    return middle, middle


def _strokes(runs: Sequence[_Run], order: Sequence[int], picks: Sequence[int]) -> list[Stroke]:
    return [
        Stroke(Tool.CUT, path, runs[index].piece_id, part=part)
        for index, pick in zip(order, picks, strict=True)
        for part, path in zip(runs[index].parts, runs[index].ways[pick], strict=True)
    ]
