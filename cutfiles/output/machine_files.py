"""The machine files of a job, in every format that is wanted."""

from __future__ import annotations

from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.formats.model.style import USUAL, Look
from cutfiles.formats.registry import WRITERS, Whom


def machine_files(
    plan: CutPlan, formats: tuple[str, ...], look: Look = USUAL, *, machine_plan: CutPlan | None = None
) -> dict[str, bytes]:
    """Return the machine files by name, format by format.

    Args:
        plan: all loads as they lie on the mat.
        formats: which to write.
        look: names and colours of layers, and the like.
        machine_plan: what machines get instead: in parts, or corrected for them. Others get `plan`.
    """
    return {
        f"{load.name}{WRITERS[name].suffix}": WRITERS[name].write(load, look)
        for name in formats
        for load in _loads(name, plan, machine_plan)
    }


def file_notes(
    plan: CutPlan, formats: tuple[str, ...], look: Look = USUAL, *, machine_plan: CutPlan | None = None
) -> tuple[str, ...]:
    """Return what a person should know of the files of these loads in these formats."""
    return tuple(
        note for name in formats for note in WRITERS[name].notes(_loads(name, plan, machine_plan), look)
    )


def _loads(name: str, plan: CutPlan, machine_plan: CutPlan | None) -> tuple[LoadPlan, ...]:
    return (machine_plan if machine_plan and WRITERS[name].whom is Whom.MACHINE else plan).loads
