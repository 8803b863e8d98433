"""One machine file: read, taken back to what it means on the mat, and run through the rules."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from cutfiles.check.context.context import Context, Known, Role
from cutfiles.check.folder import CALIBRATION, content_of, load_of, part_of
from cutfiles.check.layout.layout import KnownLayout
from cutfiles.check.manifest import changed, is_known
from cutfiles.check.rules.rules import NO_SIZE, run_rules
from cutfiles.check.tool.as_meant import as_meant
from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.findings.collected import Collected
from cutfiles.findings.limits import TooMuchError
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Drawing, Reading
from cutfiles.formats.registry import format_of


@dataclass(frozen=True, slots=True)
class Checked:
    """A file that was measured.

    Args:
        path: the file.
        pieces: how many outlines it cuts.
        drawing: as the file has it; None where it can't be compared with the load's other formats.
    """

    path: Path
    pieces: int
    drawing: Drawing | None


def check_file(path: Path, layout: KnownLayout | None, told: Collected) -> Checked | None:
    """Collect what is wrong with one machine file; None comes back where it can't be read.

    Args:
        path: the file.
        layout: of its folder, if there is one.
        told: takes the findings.
    """
    told.files += 1
    kind = format_of(path.name)
    assert kind is not None, "only machine files are asked for"
    content = content_of(path)
    if isinstance(content, Fault):
        told.faults(path, [content])
        return None
    belongs = layout if layout is not None and is_known(path.name, layout) else None
    if layout is not None:
        told.faults(path, changed(path.name, content, layout))
    try:
        reading = kind.read(content, layers={} if belongs is None else belongs.names)
    except TooMuchError as error:
        told.faults(path, [Fault(Code.TOO_MUCH, "", f"{error}: nothing was measured")])
        return None
    except UnreadableError as error:
        told.faults(path, [Fault(Code.UNREADABLE, "", str(error))])
        return None
    return _measured(path, reading, layout, belongs, told)


def _measured(
    path: Path, reading: Reading, layout: KnownLayout | None, belongs: KnownLayout | None, told: Collected
) -> Checked:
    name, drawn = load_of(path.name), reading.drawing
    home = None if layout is None else layout.home(name)
    if home is not None and belongs is not None:
        reading = replace(reading, drawing=as_meant(drawn, home.correction))
    load = None if home is None else home.load(name)
    known = None if home is None or load is None else Known(home, load)
    part = part_of(path.name)
    role = Role.CALIBRATION if known is None and name == CALIBRATION else Role.of_part(part)
    outcome = run_rules(Context.of_reading(reading, known, role))
    told.faults(path, outcome.faults)
    for note in outcome.notes:
        told.note(path, note)
    # Two formats are compared as they are: chords in place of arcs need not be the same number.
    as_others = drawn.kind.for_machine or home is None or home.correction.is_none
    sized = not any(fault.code in NO_SIZE for fault in outcome.faults)
    return Checked(path, outcome.pieces, drawn if outcome.measurable and as_others and sized else None)
