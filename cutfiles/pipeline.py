"""The line itself: job → plate → pieces → nest → passes → files → sheet. Read this first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from cutfiles.job.model import Job
from cutfiles.job.needs import needs
from cutfiles.job.read import read_job
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.plate.sizes import Json, sizes_json


@dataclass(frozen=True, slots=True)
class Sized:
    """A job and the plate that it describes."""

    job: Job
    plate: Plate
    needs: tuple[tuple[str, int], ...]

    def json(self) -> Json:
        """Return the measurements as `size --json` gives them."""
        return sizes_json(self.plate, self.needs)


@dataclass(frozen=True, slots=True)
class Wish:
    """How to make: formats (None for the job's own), a limit on the time, and who is told of progress."""

    formats: tuple[str, ...] | None = None
    time_s: float | None = None
    progress: Callable[[str, int, int], None] | None = None  # what is cut, pieces placed, pieces in all


@dataclass(frozen=True, slots=True)
class Made:
    """Files by name, ready to be saved, and the layout they were written from."""

    files: dict[str, bytes]
    layout: Json


def size(path: Path) -> Sized:
    """Return the plate of a job file and what it needs, with no nesting."""
    job = read_job(path)
    return Sized(job, plate_of(job), needs(job))


def make(sized: Sized, wish: Wish) -> Made:
    """Return every file of a job; nothing is written to the disk yet."""
    # The geometry and format libraries take half a second to load; `size` and `--help` never need them.
    from cutfiles.files.layout_json import LAYOUT_NAME, layout_json, sealed  # noqa: PLC0415
    from cutfiles.files.writers import machine_files  # noqa: PLC0415
    from cutfiles.nest.clock import Clock  # noqa: PLC0415
    from cutfiles.nest.nest import Bed, nest  # noqa: PLC0415
    from cutfiles.passes.passes import plan_cuts  # noqa: PLC0415
    from cutfiles.pieces.cutlist import cut_list  # noqa: PLC0415
    from cutfiles.sheet.html import job_sheet  # noqa: PLC0415

    job, plate = sized.job, sized.plate
    pieces = cut_list(job, plate)
    bed = Bed(job.mat, job.machine, job.unit)
    layout = nest(pieces, bed, clock=Clock(wish.time_s), progress=wish.progress)
    plan = plan_cuts(layout, job.mat, job.machine)
    files = machine_files(plan, wish.formats or job.files)
    files["job-sheet.html"] = job_sheet(job, plate, layout, plan, files=tuple(files))
    written = layout_json(job, sized.json(), layout, plan)
    files[LAYOUT_NAME] = sealed(written, files)
    return Made(files, written)
