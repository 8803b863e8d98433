"""The output style of a job: what it says of layers, plotter and paper."""

from __future__ import annotations

from cutfiles.formats.model.style import OutputStyle
from cutfiles.job.model.job import Job


def style_of(job: Job) -> OutputStyle:
    """Return the output style of a job's files."""
    return OutputStyle(job.layers, job.plotter, job.paper)
