"""Which formats there are. A writer is a function from one load's plan, and its look, to bytes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutfiles.files.dxf import write_dxf, write_dxf_r12
from cutfiles.files.hpgl import far_note, write_hpgl
from cutfiles.files.look import USUAL, Look
from cutfiles.files.sewn_dxf import write_sewn_dxf
from cutfiles.files.svg import write_svg
from cutfiles.passes.plan import CutPlan, LoadPlan


def _nothing(_plan: LoadPlan) -> None:
    """Most formats hold whatever there is."""


@dataclass(frozen=True, slots=True)
class Writer:
    """A format: the end of its files' names, what writes them, and what it can't hold."""

    suffix: str
    write: Callable[[LoadPlan, Look], bytes]
    note: Callable[[LoadPlan], str | None] = _nothing  # what a person should know of a load in this format
    of_pieces: bool = False  # for other programs, not for a machine: whole pieces, at true size


WRITERS: dict[str, Writer] = {
    "svg": Writer(".svg", write_svg),
    "dxf": Writer(".dxf", write_dxf),
    "dxf-r12": Writer(".r12.dxf", write_dxf_r12),
    "hpgl": Writer(".plt", write_hpgl, far_note),
    "sewn-dxf": Writer(".sewn.dxf", write_sewn_dxf, of_pieces=True),
}


def machine_files(
    plan: CutPlan, formats: tuple[str, ...], look: Look = USUAL, *, told: CutPlan | None = None
) -> dict[str, bytes]:
    """Return the machine files by name, format by format.

    Args:
        plan: all loads as they lie on the mat.
        formats: which to write.
        look: names and colours of layers, and the like.
        told: what a machine is told instead: in parts, or corrected for it. Formats of pieces keep to `plan`.
    """
    machine = told or plan
    return {
        f"{load.name}{WRITERS[name].suffix}": WRITERS[name].write(load, look)
        for name in formats
        for load in (plan if WRITERS[name].of_pieces else machine).loads
    }


def file_notes(plan: CutPlan, formats: tuple[str, ...]) -> tuple[str, ...]:
    """Return what a person should know of the loads in these formats."""
    found = (WRITERS[name].note(load) for load in plan.loads for name in formats)
    return tuple(note for note in found if note)
