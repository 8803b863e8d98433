"""One drawing through all checks: alone, and against its load where there is one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from cutfiles.check.layout.layout import KnownLayout, KnownLoad
from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.rules.against import match, match_names
from cutfiles.check.rules.alone import (
    nothing_to_cut,
    off_mat,
    self_crossing,
    tangled,
    too_much,
    unknown_layers,
    wrong_order,
)
from cutfiles.check.rules.between import Spacing, between
from cutfiles.check.rules.holes import holes_apart, marks_in_holes
from cutfiles.check.rules.layout_faults import off_fabric, reach_of
from cutfiles.check.rules.marks import marks_on_fabric, stray_marks
from cutfiles.check.rules.pens import closed_elsewhere, marks_apart
from cutfiles.check.rules.scale import wrong_scale
from cutfiles.check.shapes.needless import needless, needless_points
from cutfiles.check.tool.outlines import Outlines, outlines_of
from cutfiles.check.tool.traced import too_far
from cutfiles.core.tolerance import FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Drawing, Item, Kind, Layer, Marks, Reading

# Without these nothing can be compared with the layout: where things lie isn't known.
NO_SIZE = {Code.TRUE_SIZE, Code.MAT_SIZE}


@dataclass(frozen=True, slots=True)
class Measured:
    """What came out of one file. `drawing` is None where it holds more than can be measured."""

    faults: tuple[Fault, ...]
    notes: tuple[str, ...]
    pieces: int
    drawing: Drawing | None


def measure(reading: Reading, layout: KnownLayout | None, load: KnownLoad | None) -> Measured:
    """Return everything that is wrong with a file.

    Args:
        reading: the file as read.
        layout: what the file was written from, if known.
        load: the file's load in it; None for files that the layout has no load for.
    """
    notes = list(reading.notes)
    drawing = reading.drawing
    heap = too_much(drawing)
    if heap is not None:
        return Measured((*reading.faults, heap), tuple(notes), 0, None)
    faults = list(reading.faults)
    if load is None and _is_nameless(drawing):
        drawing = replace(drawing, items=tuple(replace(item, layer=Layer.CUT) for item in drawing.items))
        notes.append("no layer is named draw, register or cut: every line was taken for one to cut")
    kind = drawing.kind
    if layout is not None and load is not None:
        layout, load = _as_held(layout, load, kind)
    tool = KnownTool() if layout is None or load is None else layout.tool
    heap = too_far(drawing, tool)
    if heap is not None:
        return Measured((*faults, heap), tuple(notes), 0, None)
    found = _without_tangles(outlines_of(drawing, load, tool))
    if kind.marks is Marks.DRAWN:
        drawing = marks_apart(drawing, (*found.items, *found.almost), layout, load)
    faults += [*unknown_layers(drawing), *nothing_to_cut(drawing), *found.faults]
    faults += wrong_order(drawing) if kind.has_order else ()
    if load is not None:
        scaled = wrong_scale((*found.items, *found.almost), load, within_mm=kind.within_mm)
        if scaled is not None:
            notes.append("its scale is wrong, so nothing else was compared with layout.json")
            return Measured((*faults, scaled), tuple(notes), len(found.items), drawing)
    faults += self_crossing(found.items, loop_mm=kind.pair_mm)
    apart = holes_apart(found.items, load, kind)
    faults += [*apart.faults, *marks_in_holes(drawing, apart.holes)]
    gap = None if layout is None or load is None else tool.spacing_mm(layout.gap_mm)
    pairs = between(apart.outlines, Spacing(gap, kind.pair_mm, tool.over_mm))
    faults += pairs.faults
    if pairs.shared and kind.for_machine:
        notes.append(f"outlines touch at a gap of 0; stretches that are cut twice: {pairs.shared}")
    pieces = (
        tuple(item for index, item in enumerate(apart.outlines) if index not in pairs.doubles) + found.almost
    )
    faults += stray_marks(drawing.on(Layer.DRAW), drawing.drawn, pieces, slack_mm=kind.pair_mm)
    run = (*drawing.on(Layer.REGISTER), *drawing.on(Layer.CUT))
    if layout is None or load is None:
        if drawing.width_mm is not None and drawing.height_mm is not None:
            mat = (0.0, 0.0, drawing.width_mm, drawing.height_mm)
            faults += [fault for _, fault in off_mat(run, mat, slack_mm=kind.within_mm)]
        else:
            notes.append("the file doesn't say how large the mat is: whether it fits wasn't checked")
        faults += [fault for _, fault in needless_points(pieces, kind)]
        notes.append("no layout.json knows this file: gap, fabric, pieces and their places weren't checked")
        return Measured(tuple(faults), tuple(notes), len(pieces), drawing)
    faults += [*mat_size(drawing, load), *missing_register(drawing, layout)]
    if any(fault.code in NO_SIZE for fault in faults):
        notes.append("its size is wrong, so pieces and places weren't compared with layout.json")
        return Measured(tuple(faults), tuple(notes), len(pieces), drawing)
    faults += _against(pieces, drawing, layout, load)
    bare = "layout.json gives no shapes: outlines and their places weren't compared"
    notes += [] if layout.shapes else [bare]
    return Measured(tuple(faults), tuple(notes), len(pieces), drawing)


def _without_tangles(found: Outlines) -> Outlines:
    """The outlines that can be measured; of the others it is told that they can't."""
    bad, nearly = tangled(found.items), tangled(found.almost)
    return Outlines(
        tuple(item for index, item in enumerate(found.items) if index not in bad),
        tuple(item for index, item in enumerate(found.almost) if index not in nearly),
        (*found.faults, *bad.values()),
    )


def _is_nameless(drawing: Drawing) -> bool:
    """Whether no line at all is on a layer with a name of ours."""
    return bool(drawing.items) and not len(drawing.drawn) and all(i.layer is None for i in drawing.items)


def _as_held(layout: KnownLayout, load: KnownLoad, kind: Kind) -> tuple[KnownLayout, KnownLoad]:
    """The layout as a format holds it: some have pieces as they are to come out, that no tool has touched."""
    if kind.for_machine:
        return layout, load
    plain = layout.without_tool()
    return plain, plain.load(load.name) or load


def _against(pieces: tuple[Item, ...], drawing: Drawing, layout: KnownLayout, load: KnownLoad) -> list[Fault]:
    kind = drawing.kind
    faults: list[Fault] = []
    outside = set()
    # A knife's axis runs further out than the knife: what counts is where the machine goes.
    run = (*drawing.on(Layer.REGISTER), *(drawing.on(Layer.CUT) if layout.tool.swivel_mm else pieces))
    for item, fault in off_mat(run, reach_of(load, layout), slack_mm=kind.within_mm):
        outside.add(item.place)
        faults.append(fault)
    faults += marks_on_fabric(drawing.on(Layer.REGISTER), load)
    broken = list(needless_points(pieces, kind))
    if not layout.shapes:
        faults += [fault for _, fault in broken]
        return [*faults, *match_names(pieces, load, has_ids=kind.has_ids)]
    matched = match(pieces, load, layout.lines, kind, partial(closed_elsewhere, drawing))
    faults += matched.faults
    for item, fabric, _ in matched.pairs:
        if item.place not in outside:
            # The cut line may pass the fabric's edge by half the kerf: the piece doesn't.
            faults += off_fabric(item, fabric, slack_mm=kind.within_mm + layout.tool.kerf_mm / 2)
    # A shape that has so many points of its own is meant so.
    meant = {id(item): cut for item, _, cut in matched.pairs}
    for item, fault in broken:
        if id(item) not in meant or not needless(meant[id(item)], has_arcs=kind.has_arcs):
            faults.append(fault)
    return faults


def missing_register(drawing: Drawing, layout: KnownLayout) -> list[Fault]:
    """Return a fault where the layout promises register marks and there are none."""
    if layout.register not in ("cross", "ring") or drawing.on(Layer.REGISTER):
        return []
    if drawing.kind.marks is Marks.NONE:
        return []
    return [Fault(Code.MISSING_REGISTER, "", f"no register mark, layout.json has {layout.register}")]


def mat_size(drawing: Drawing, load: KnownLoad) -> list[Fault]:
    """Return a fault where the file's mat isn't the load's."""
    if drawing.width_mm is None or drawing.height_mm is None:
        if not drawing.kind.has_size:
            return []
        return [Fault(Code.MAT_SIZE, "", "the file doesn't say how large the mat is")]
    off = max(abs(drawing.width_mm - load.width_mm), abs(drawing.height_mm - load.height_mm))
    if off <= FILE_MM:
        return []
    words = f"{drawing.width_mm:g} by {drawing.height_mm:g} mm, layout.json has"
    return [Fault(Code.MAT_SIZE, "", f"{words} {load.width_mm:g} by {load.height_mm:g} mm")]
