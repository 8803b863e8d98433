"""What a job says of how its files are to look."""

from __future__ import annotations

from cutfiles.formats.model.style import Look
from cutfiles.job.model.job import Job


def look_of(job: Job) -> Look:
    """Return what a job says of its files."""
    return Look(job.layers, job.plotter, job.paper)
