"""The machine files of a job, in every format that is wanted, and in the job's style."""

from __future__ import annotations

from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.formats.model.style import DEFAULT_STYLE, OutputStyle
from cutfiles.formats.registry import FORMATS, Audience
from cutfiles.job.model.job import Job


def style_of(job: Job) -> OutputStyle:
    """Return what a job says of layers, plotter and paper."""
    return OutputStyle(job.layers, job.plotter, job.paper)


def machine_files(
    plan: CutPlan,
    formats: tuple[str, ...],
    *,
    style: OutputStyle = DEFAULT_STYLE,
    machine_plan: CutPlan | None = None,
) -> dict[str, bytes]:
    """Return the machine files by name, format by format.

    Args:
        plan: all loads as they lie on the mat.
        formats: which to write.
        style: names and colours of layers, and the like.
        machine_plan: what a machine is told instead: in parts, or corrected for it. Others get `plan`.
    """
    return {
        f"{load.name}{FORMATS[name].suffix}": FORMATS[name].write(load, style=style)
        for name in formats
        for load in _loads(name, plan, machine_plan)
    }


def file_notes(
    plan: CutPlan,
    formats: tuple[str, ...],
    *,
    style: OutputStyle = DEFAULT_STYLE,
    machine_plan: CutPlan | None = None,
) -> tuple[str, ...]:
    """Return what a person should know of the files of these loads in these formats."""
    return tuple(
        note
        for name in formats
        for note in FORMATS[name].notes(_loads(name, plan, machine_plan), style=style)
    )


def _loads(name: str, plan: CutPlan, machine_plan: CutPlan | None) -> tuple[LoadPlan, ...]:
    return (machine_plan if machine_plan and FORMATS[name].audience is Audience.MACHINE else plan).loads
