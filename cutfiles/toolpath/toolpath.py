"""From a layout to strokes: each load placed, drawn, marked, cut, with short ways between strokes."""

from __future__ import annotations

from collections import defaultdict

from cutfiles.core.units import Unit
from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.geometry.pose import placed
from cutfiles.job.model.job import MachineSpec, MatSpec
from cutfiles.nest.base.layout import Layout, Load
from cutfiles.toolpath.cut.cuts import cuts
from cutfiles.toolpath.cut.features import too_small
from cutfiles.toolpath.cut.kerf import cut_lines, kept_too_much
from cutfiles.toolpath.draw.drawing import Pen, ToolPath, shorter
from cutfiles.toolpath.draw.placing import placing
from cutfiles.toolpath.draw.register import register_marks


def plan_cuts(layout: Layout, mat: MatSpec, machine: MachineSpec, *, unit: Unit = Unit.MM) -> CutPlan:
    """Return the strokes of every load, in the order to run them; notes tell lengths in `unit` first.

    Raises:
        JobError: a shape that can't be cut with the machine's kerf.
    """
    pen = Pen(layout, machine)
    strokes = list(register_marks(mat, machine.register))
    marks = shorter(strokes, strokes)
    lines = {shape.name: cut_lines(shape, machine.kerf_mm) for shape in layout.shapes}
    loads = tuple(
        _load_plan(
            layout, load, mat, (*_placing(load, machine), drawn, marks, cuts(layout, load, lines, machine))
        )
        for load, drawn in zip(layout.loads, pen.drawn(), strict=True)
    )
    kept = [note for shape in layout.shapes for note in kept_too_much(shape, machine.kerf_mm, unit)]
    return CutPlan(loads, (*pen.notes(), *kept, *too_small(layout, machine, unit)))


def _placing(load: Load, machine: MachineSpec) -> tuple[ToolPath, ...]:
    """Where fabric is laid, if that is to be drawn."""
    strokes = list(placing(load)) if machine.place else []
    return (shorter(strokes, strokes),) if strokes else ()


def _load_plan(layout: Layout, load: Load, mat: MatSpec, tool_paths: tuple[ToolPath, ...]) -> LoadPlan:
    return LoadPlan(
        load.name,
        mat.width_mm,
        mat.height_mm,
        tuple(stroke for path in tool_paths for stroke in path.strokes),
        sum(path.travel_mm for path in tool_paths),
        sum(path.travel_as_laid_mm for path in tool_paths),
        tuple(
            (placement.piece_id, placed(layout.shape(placement.shape).cut, placement.pose))
            for laid in load.fabrics
            for placement in laid.placements
        ),
        _alike(load),
    )


def _alike(load: Load) -> tuple[tuple[str, ...], ...]:
    groups: defaultdict[tuple[str, str, bool], list[str]] = defaultdict(list)
    for laid in load.fabrics:
        for placement in laid.placements:
            groups[laid.fabric, placement.shape, placement.pose.mirrored].append(placement.piece_id)
    return tuple(map(tuple, groups.values()))
