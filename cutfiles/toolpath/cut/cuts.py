"""What is cut on a load: inner cuts before outlines, on a short way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutfiles.core.tolerance import ONE_LINE_MM
from cutfiles.formats.model.plan import Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import (
    Circle,
    Contour,
    Path,
    Point,
    area,
    as_path,
    bounds,
    length,
    reversed_ring,
)
from cutfiles.geometry.pose import placed
from cutfiles.job.model.job import FabricEdge, MachineSpec
from cutfiles.nest.base.layout import Layout, Load
from cutfiles.toolpath.cut.kerf import CutLines
from cutfiles.toolpath.cut.shared import Span, left_over, on_fabric_edge, shared_spans
from cutfiles.toolpath.cut.starts import begun_variously, best_starts
from cutfiles.toolpath.cut.stretch import run_on, stretch
from cutfiles.toolpath.cut.swivel import AT_FIRST, SETTLED, axis_path
from cutfiles.toolpath.draw.drawing import ToolPath, shorter
from cutfiles.toolpath.order.travel import end_of, in_short_order, run_backwards, start_of


@dataclass(frozen=True, slots=True)
class _PieceRun:
    """What is cut in one go: the lines' names within the piece, and the ways in which they may be run.

    Outlines are closed here: how far to run on past their start is decided when they are run. Open lines are
    run `led` where they are the first of a load: as their ways, but begun earlier, for a knife to settle.
    """

    piece_id: str
    parts: tuple[str, ...]
    ways: tuple[tuple[Contour, ...], ...]
    led: tuple[tuple[Contour, ...], ...] = ()


def cuts(layout: Layout, load: Load, lines: dict[str, CutLines], machine: MachineSpec) -> ToolPath:
    """Return a load's cuts."""
    pieces = [(laid, placement) for laid in load.fabrics for placement in laid.placements]
    outlines = [placed(lines[placement.shape].outer, placement.pose) for _, placement in pieces]
    gone: list[list[Span]] = [[] for _ in outlines]
    if machine.gap_mm - machine.kerf_mm <= ONE_LINE_MM:
        gone = shared_spans(outlines)
    if machine.edge is FabricEdge.SKIP:
        for number, (laid, _) in enumerate(pieces):
            gone[number] += on_fabric_edge(outlines[number], laid, out_mm=machine.kerf_mm / 2)
    runs: list[_PieceRun] = []
    for (_, placement), outline, spans in zip(pieces, outlines, gone, strict=True):
        inner = tuple(_clockwise(placed(hole, placement.pose)) for hole in lines[placement.shape].inner)
        runs += _piece(placement.piece_id, _OutlineCuts(outline, tuple(spans)), inner, machine)
    as_laid = _strokes(runs, range(len(runs)), [0] * len(runs), machine)
    return shorter(_strokes(runs, *_in_order(runs), machine), as_laid)


@dataclass(frozen=True, slots=True)
class _OutlineCuts:
    """A closed outline, and what of it is cut with another piece or not at all."""

    outline: Contour
    gone: tuple[Span, ...]

    def open_parts(self, machine: MachineSpec) -> list[_OpenCut]:
        """What is left to cut, each part run on at both ends along what is gone."""
        path = as_path(self.outline)
        whole = length(path)
        parts = []
        for first, last in left_over(path, self.gone, kerf_mm=machine.kerf_mm):
            most = (whole - (last - first)) / 2
            over, lead = min(machine.overcut_mm, most), min(_settling(machine), most)
            parts.append(
                _OpenCut(
                    stretch(path, from_mm=first - over, to_mm=last + over),
                    stretch(path, from_mm=first - lead, to_mm=last + over),
                    run_backwards(stretch(path, from_mm=first - over, to_mm=last + lead)),
                )
            )
        return parts


@dataclass(frozen=True, slots=True)
class _OpenCut:
    """A part of an outline that is cut by itself; begun earlier, run either way."""

    path: Path
    led: Contour
    led_back: Contour


def _settling(machine: MachineSpec) -> float:
    """How far to cut before a knife that pointed anywhere has come round, mm."""
    return max(machine.overcut_mm, SETTLED * machine.swivel_mm)


def _clockwise(hole: Contour) -> Contour:
    """Inner cuts run clockwise: what is kept lies on the tool's left, as beside an outline."""
    return reversed_ring(hole) if area(hole) > 0 else hole


def _piece(
    piece_id: str, line: _OutlineCuts, inner: tuple[Contour, ...], machine: MachineSpec
) -> Iterator[_PieceRun]:
    holes = tuple(f"inner-{number}" for number in range(1, len(inner) + 1))
    if line.gone:
        parts = line.open_parts(machine)
        names = ["", *(f"part-{number}" for number in range(2, len(parts) + 1))][: len(parts)]
        if inner:
            way = (*inner, *(part.path for part in parts))
            yield _PieceRun(piece_id, (*holes, *names), (way, way))
            return
        for name, part in zip(names, parts, strict=True):
            forth, led = (part.path,), (part.led,)
            yield _PieceRun(
                piece_id, (name,), (forth, forth, (run_backwards(part.path),)), (led, led, (part.led_back,))
            )
        return
    # A trailing knife is steadiest where it comes down on a straight edge.
    edges_above = 2 * SETTLED * machine.swivel_mm if machine.swivel_mm else None
    begun = begun_variously(line.outline, on_edges_above_mm=edges_above)
    # Inner cuts first: once the outline is cut, the piece can shift.
    yield _PieceRun(piece_id, (*holes, ""), tuple((*inner, start) for start in (line.outline, *begun)))


def _in_order(runs: Sequence[_PieceRun]) -> tuple[list[int], list[int]]:
    """The order of the runs, and which way to run each."""
    order = [step.run for step in in_short_order([_about(run) for run in runs])]
    picks = dict(zip(order, _picked(runs, order), strict=True))
    # Once more, now that it is known where each begins.
    chosen = [runs[index].ways[picks[index]] for index in range(len(runs))]
    order = [step.run for step in in_short_order([(start_of(way[0]), end_of(way[-1])) for way in chosen])]
    return order, _picked(runs, order)


def _picked(runs: Sequence[_PieceRun], order: Sequence[int]) -> list[int]:
    # The first way is how the outline was laid: it may begin at a sharp point.
    return [pick + 1 for pick in best_starts([runs[index].ways[1:] for index in order])]


def _about(run: _PieceRun) -> tuple[Point, Point]:
    """Where a run lies, before it is known where it begins."""
    last = run.ways[0][-1]
    if isinstance(last, Path) and not last.closed:
        return start_of(last), end_of(last)
    left, low, right, high = bounds(last)
    middle = ((left + right) / 2, (low + high) / 2)
    return middle, middle


def _strokes(
    runs: Sequence[_PieceRun], order: Sequence[int], picks: Sequence[int], machine: MachineSpec
) -> list[Stroke]:
    strokes: list[Stroke] = []
    pointing = AT_FIRST
    for index, pick in zip(order, picks, strict=True):
        run = runs[index]
        ways = run.led if run.led and not strokes else run.ways
        for part, way in zip(run.parts, ways[pick], strict=True):
            path = way
            if isinstance(path, Circle) or path.closed:
                # Nobody knows where a knife points at first: the first outline is run until it has settled.
                path = run_on(path, machine.overcut_mm if strokes else _settling(machine))
            if machine.swivel_mm:
                path, pointing = axis_path(path, swivel_mm=machine.swivel_mm, before=pointing)
            strokes.append(Stroke(Tool.CUT, path, run.piece_id, part=part))
    return strokes
