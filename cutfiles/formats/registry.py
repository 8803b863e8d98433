"""Which formats there are. A writer is a function from one load's plan, and its look, to bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from cutfiles.formats.dxf.write import write_dxf, write_dxf_r12
from cutfiles.formats.hpgl.write import far_notes, write_hpgl
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.style import Look
from cutfiles.formats.pdf.write import left_out_notes, write_pdf
from cutfiles.formats.sewn.write import write_sewn_dxf
from cutfiles.formats.svg.write import write_svg


class Whom(Enum):
    """Who takes a file. Only a machine is told kerf, parts and corrections; others get pieces as they are."""

    MACHINE = "machine"
    PROGRAM = "program"
    PRINTER = "printer"


def _nothing(_loads: Sequence[LoadPlan], _look: Look) -> tuple[str, ...]:
    """Most formats hold whatever there is."""
    return ()


@dataclass(frozen=True, slots=True)
class Writer:
    """A format: the end of its files' names, what writes them, and what it can't hold."""

    suffix: str
    write: Callable[[LoadPlan, Look], bytes]
    notes: Callable[[Sequence[LoadPlan], Look], Iterable[str]] = _nothing  # what a person should know
    whom: Whom = Whom.MACHINE


WRITERS: dict[str, Writer] = {
    "svg": Writer(".svg", write_svg),
    "dxf": Writer(".dxf", write_dxf),
    "dxf-r12": Writer(".r12.dxf", write_dxf_r12),
    "hpgl": Writer(".plt", write_hpgl, far_notes),
    "sewn-dxf": Writer(".sewn.dxf", write_sewn_dxf, whom=Whom.PROGRAM),
    "pdf": Writer(".pdf", write_pdf, left_out_notes, Whom.PRINTER),
}
