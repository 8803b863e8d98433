"""The mat: as large as the layout's, and all lines within the machine's reach."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutfiles.check.context.context import Context, Role
from cutfiles.core.tolerance import FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.geometry.outline import Bounds, Contour, bounds
from cutfiles.geometry.rectangles import beyond_mm


def mat_size(context: Context) -> Iterator[Fault]:
    """Yield a fault where the file's mat isn't the load's."""
    if context.known is None:
        return
    drawing, load = context.drawing, context.known.load
    if drawing.width_mm is None or drawing.height_mm is None:
        if context.kind.has_size:
            yield Fault(Code.MAT_SIZE, "", "the file doesn't say how large the mat is")
        return
    off = max(abs(drawing.width_mm - load.width_mm), abs(drawing.height_mm - load.height_mm))
    if off > FILE_MM:
        words = f"{drawing.width_mm:g} by {drawing.height_mm:g} mm, layout.json has"
        yield Fault(Code.MAT_SIZE, "", f"{words} {load.width_mm:g} by {load.height_mm:g} mm")


def off_mat(context: Context) -> Iterator[Fault]:
    """Yield a fault for each line to cut or mark that leaves what the machine reaches."""
    for _, fault in beyond_reach_of(context):
        yield fault


def beyond_reach_of(context: Context) -> Iterator[tuple[Item, Fault]]:
    """Yield each line to cut or mark that leaves what the machine reaches, with the fault."""
    marks, cuts = context.drawing.on(Layer.REGISTER), context.drawing.on(Layer.CUT)
    slack_mm = context.kind.within_mm
    if context.known is not None:
        # A knife's axis runs further out than the knife: what counts is where the machine goes.
        run = cuts if context.tool.swivel_mm else context.pieces
        run = () if context.role is Role.PEN else run
        yield from beyond_reach((*marks, *run), context.known.reach, slack_mm=slack_mm)
    elif context.role is Role.PEN:
        return
    elif context.drawing.width_mm is not None and context.drawing.height_mm is not None:
        mat = (0.0, 0.0, context.drawing.width_mm, context.drawing.height_mm)
        yield from beyond_reach((*marks, *cuts), mat, slack_mm=slack_mm)


def beyond_reach(items: Sequence[Item], mat: Bounds, *, slack_mm: float) -> Iterator[tuple[Item, Fault]]:
    """Yield each line that leaves what the machine reaches, with the fault.

    Args:
        items: lines to cut or mark.
        mat: least x and y, greatest x and y of the reach, mm.
        slack_mm: by how much a line may pass it.
    """
    for item in items:
        over = beyond(item.path, mat)
        if over > slack_mm:
            yield item, Fault(Code.OFF_MAT, item.place, f"{over:.4g} mm beyond what the machine reaches")


def beyond(path: Contour, limits: Bounds) -> float:
    """Return by how much a path passes an upright rectangle, mm; below 0 if it doesn't."""
    return beyond_mm(bounds(path), limits)
