"""Which formats there are. A writer is a function from one load's plan, and its look, to bytes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutfiles.files.dxf import write_dxf
from cutfiles.files.look import USUAL, Look
from cutfiles.files.svg import write_svg
from cutfiles.passes.plan import CutPlan, LoadPlan


@dataclass(frozen=True, slots=True)
class Writer:
    """A format: the end of its files' names, and what writes them."""

    suffix: str
    write: Callable[[LoadPlan, Look], bytes]


WRITERS: dict[str, Writer] = {
    "svg": Writer(".svg", write_svg),
    "dxf": Writer(".dxf", write_dxf),
}


def machine_files(plan: CutPlan, formats: tuple[str, ...], look: Look = USUAL) -> dict[str, bytes]:
    """Return the machine files by name, load by load."""
    return {
        f"{load.name}{WRITERS[name].suffix}": WRITERS[name].write(load, look)
        for load in plan.loads
        for name in formats
    }
