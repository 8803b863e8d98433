"""The rules in the order in which a file is asked them. A rule is a function from the context to faults."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from cutfiles.check.context.context import Context, Role
from cutfiles.check.rules.calibration import missing_marks, wrong_squares
from cutfiles.check.rules.fabric import off_fabric
from cutfiles.check.rules.holes import marks_in_holes, wrong_holes
from cutfiles.check.rules.layers import misplaced, nothing_to_cut, unknown_layers, wrong_colour, wrong_order
from cutfiles.check.rules.limits import too_far_to_walk, too_many_lines
from cutfiles.check.rules.marks import marks_on_fabric, missing_register, stray_marks, stray_notches
from cutfiles.check.rules.mat import mat_size, off_mat
from cutfiles.check.rules.outlines import broken_curves, broken_outlines, self_crossing
from cutfiles.check.rules.pieces import close_outlines, wrong_pieces, wrong_scale
from cutfiles.check.rules.placing import wrong_placing
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault

Rule = Callable[[Context], Iterable[Fault]]

# Without these nothing can be compared with the layout: where things lie isn't known.
NO_SIZE = frozenset({Code.TRUE_SIZE, Code.MAT_SIZE})


@dataclass(frozen=True, slots=True)
class StopAfter:
    """A place in the list behind which rules would measure nonsense after certain faults.

    Args:
        codes: the faults.
        says: what a person is told then.
    """

    codes: frozenset[Code]
    says: str


LIMITS: tuple[Rule, ...] = (too_many_lines, too_far_to_walk)
_ALL: tuple[Rule | StopAfter, ...] = (
    unknown_layers,
    wrong_colour,
    misplaced,
    nothing_to_cut,
    broken_outlines,
    wrong_order,
    wrong_scale,
    StopAfter(
        frozenset({Code.WRONG_SCALE}), "its scale is wrong, so nothing else was compared with layout.json"
    ),
    self_crossing,
    wrong_holes,
    marks_in_holes,
    close_outlines,
    stray_marks,
    stray_notches,
    mat_size,
    missing_register,
    wrong_placing,
    StopAfter(NO_SIZE, "its size is wrong, so pieces and places weren't compared with layout.json"),
    off_mat,
    marks_on_fabric,
    wrong_pieces,
    off_fabric,
    broken_curves,
)
RULES: dict[Role, tuple[Rule | StopAfter, ...]] = {
    Role.LOAD: _ALL,
    Role.KNIFE: _ALL,
    Role.PEN: (
        unknown_layers,
        wrong_colour,
        misplaced,
        mat_size,
        missing_register,
        wrong_placing,
        StopAfter(NO_SIZE, "its size is wrong, so places weren't compared with layout.json"),
        off_mat,
        marks_on_fabric,
        stray_marks,
    ),
    Role.CALIBRATION: (
        unknown_layers,
        wrong_colour,
        wrong_order,
        broken_outlines,
        self_crossing,
        wrong_squares,
        missing_marks,
    ),
}


@dataclass(frozen=True, slots=True)
class FileFindings:
    """What the rules found.

    Args:
        faults: those of the reading first, then rule by rule.
        notes: what could not be known.
        pieces: how many are cut.
        measurable: the file doesn't hold more than can be measured.
    """

    faults: tuple[Fault, ...]
    notes: tuple[str, ...]
    pieces: int
    measurable: bool


def run_rules(context: Context) -> FileFindings:
    """Return what all rules for a file of this role find."""
    faults = [*context.read.faults]
    too_much = [fault for limit in LIMITS for fault in limit(context)]
    if too_much:
        return FileFindings((*faults, *too_much[:1]), context.read.notes, 0, measurable=False)
    for rule in RULES[context.role]:
        if not isinstance(rule, StopAfter):
            faults += rule(context)
        elif context.known is not None and any(fault.code in rule.codes for fault in faults):
            notes = (*context.read.notes, rule.says)
            pieces = sum(item.quantity for item in context.outlines.items)
            return FileFindings(tuple(faults), notes, pieces, measurable=True)
    pieces = sum(item.quantity for item in context.pieces) if context.role in (Role.LOAD, Role.KNIFE) else 0
    return FileFindings(tuple(faults), (*context.read.notes, *_unknown(context)), pieces, measurable=True)


def _unknown(context: Context) -> Iterator[str]:
    """What could not be known of a file that was measured to the end."""
    if context.role is Role.CALIBRATION:
        return
    if context.role is Role.PEN:
        if context.known is None:
            yield "no layout.json knows this file: whether the pen stays on the pieces wasn't checked"
        return
    if context.pairs.shared and context.kind.for_machine:
        yield f"outlines touch at a gap of 0; stretches that are cut twice: {context.pairs.shared}"
    if context.known is None:
        if context.drawing.width_mm is None or context.drawing.height_mm is None:
            yield "the file doesn't say how large the mat is: whether it fits wasn't checked"
        yield "no layout.json knows this file: gap, fabric, pieces and their places weren't checked"
    elif not context.known.layout.shapes:
        yield "layout.json gives no shapes: outlines and their places weren't compared"
