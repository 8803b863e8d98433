"""Which formats there are. A writer is a function from one load's plan, and its look, to bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from cutfiles.files.dxf import write_dxf, write_dxf_r12
from cutfiles.files.hpgl import far_notes, write_hpgl
from cutfiles.files.look import USUAL, Look
from cutfiles.files.pdf import left_out_notes, write_pdf
from cutfiles.files.sewn_dxf import write_sewn_dxf
from cutfiles.files.svg import write_svg
from cutfiles.passes.plan import CutPlan, LoadPlan


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


def machine_files(
    plan: CutPlan, formats: tuple[str, ...], look: Look = USUAL, *, told: CutPlan | None = None
) -> dict[str, bytes]:
    """Return the machine files by name, format by format.

    Args:
        plan: all loads as they lie on the mat.
        formats: which to write.
        look: names and colours of layers, and the like.
        told: what a machine is told instead: in parts, or corrected for it. Others get `plan`.
    """
    return {
        f"{load.name}{WRITERS[name].suffix}": WRITERS[name].write(load, look)
        for name in formats
        for load in _loads(name, plan, told)
    }


def file_notes(
    plan: CutPlan, formats: tuple[str, ...], look: Look = USUAL, *, told: CutPlan | None = None
) -> tuple[str, ...]:
    """Return what a person should know of the files of these loads in these formats."""
    return tuple(note for name in formats for note in WRITERS[name].notes(_loads(name, plan, told), look))


def _loads(name: str, plan: CutPlan, told: CutPlan | None) -> tuple[LoadPlan, ...]:
    return (told if told and WRITERS[name].whom is Whom.MACHINE else plan).loads
