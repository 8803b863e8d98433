"""The line itself: job → plate → pieces → nest → passes → files → sheet. Read this first."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import check_supply, needs
from cutfiles.job.parse.read import read_job
from cutfiles.nest.base.clock import Clock, effort_for
from cutfiles.nest.base.progress import Progress
from cutfiles.nest.repeat.needs import RepeatNeed, repeat_needs
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.plate.sizes import Json, sizes_json

if TYPE_CHECKING:
    from cutfiles.formats.model.plan import CutPlan
    from cutfiles.nest.base.layout import Layout
    from cutfiles.toolpath.template_sheets import TemplateSheets

# Entered while the search runs, with the clock that can stop it.
WhileNesting = Callable[[Clock], AbstractContextManager[object]]


@dataclass(frozen=True, slots=True)
class Sized:
    """A job and the plate that it describes."""

    job: Job
    plate: Plate
    needs: tuple[tuple[str, int], ...]
    repeats: tuple[RepeatNeed, ...] = ()

    def json(self) -> Json:
        """Return the measurements as `size --json` gives them; "repeats" only where a print repeats."""
        sizes = sizes_json(self.plate, self.needs)
        return {**sizes, "repeats": [one.json() for one in self.repeats]} if self.repeats else sizes


@dataclass(frozen=True, slots=True)
class Wish:
    """How to make: formats (None for the job's own), a limit on the time, who is told of progress."""

    formats: tuple[str, ...] | None = None
    time_s: float | None = None
    progress: Progress | None = None
    while_nesting: WhileNesting = nullcontext
    calibrate: bool = False  # also write a calibration sheet


@dataclass(frozen=True, slots=True)
class Made:
    """Files by name, ready to be saved, and the layout and the strokes they were written from."""

    files: dict[str, bytes]
    nested: Layout
    plan: CutPlan
    notes: tuple[str, ...]
    templates: TemplateSheets | None = None

    @property
    def layout(self) -> Json:
        """What `layout.json` holds."""
        from cutfiles.output.layout_json import LAYOUT_NAME  # noqa: PLC0415

        whole: Json = json.loads(self.files[LAYOUT_NAME])
        return whole


def size(path: Path) -> Sized:
    """Return the plate of a job file and what it needs, with no nesting."""
    job = read_job(path)
    plate = plate_of(job)
    return Sized(job, plate, needs(job), repeat_needs(job, plate))


def make(sized: Sized, wish: Wish) -> Made:
    """Return every file of a job; nothing is written to the disk yet.

    Raises:
        JobError: a shape that no fabric is told to give, or a mat with no room.
        UnmetError: the fabrics can't give what is asked.
    """
    # The geometry and format libraries take half a second to load; `size` and `--help` never need them.
    from cutfiles.nest.nest import Bed, nest  # noqa: PLC0415
    from cutfiles.output.layout_json import LAYOUT_NAME, layout_json, sealed  # noqa: PLC0415
    from cutfiles.output.machine_files import file_notes, machine_files  # noqa: PLC0415
    from cutfiles.output.style_of import look_of  # noqa: PLC0415
    from cutfiles.output.template_files import noted, template_files  # noqa: PLC0415
    from cutfiles.pieces.cutlist import cut_list  # noqa: PLC0415
    from cutfiles.sheet.html import job_sheet  # noqa: PLC0415
    from cutfiles.toolpath.calibrate.calibrate import calibrated  # noqa: PLC0415
    from cutfiles.toolpath.calibrate.sheet import calibration_load  # noqa: PLC0415
    from cutfiles.toolpath.split import split_plan  # noqa: PLC0415
    from cutfiles.toolpath.template_sheets import template_sheets  # noqa: PLC0415
    from cutfiles.toolpath.toolpath import plan_cuts  # noqa: PLC0415

    job, plate = sized.job, sized.plate
    check_supply(job)
    pieces = cut_list(job, plate)
    # Before the long search: what is wrong with a template should be said at once.
    templates = template_sheets(job, plate, Clock())
    bed = Bed(job.mat, job.machine, job.unit)
    sheets = (calibration_load(job.mat, job.machine),) if wish.calibrate else ()
    clock = Clock(wish.time_s, effort=effort_for(job.fabrics))
    with wish.while_nesting(clock):
        layout = nest(pieces, bed, clock=clock, progress=wish.progress)
    if not job.fabrics:
        layout = replace(layout, notes=())  # templates alone: nobody misses the pieces
    plan = plan_cuts(layout, job.mat, job.machine)
    runs = split_plan(plan) if job.split else plan
    # The layout and the job sheet keep to what lies on the mat; only the machine is told otherwise.
    runs = calibrated(replace(runs, loads=(*runs.loads, *sheets)), job.machine.calibration)
    formats = wish.formats or job.files
    look = look_of(job)
    plan = replace(plan, notes=(*runs.notes, *file_notes(plan, formats, look, told=runs)))
    files = machine_files(plan, formats, look, told=runs)
    if templates:
        templates = noted(templates, formats, look)
        files |= template_files(templates, formats, look)
    files["job-sheet.html"] = job_sheet(job, plate, layout, plan, files=tuple(files), templates=templates)
    files[LAYOUT_NAME] = sealed(layout_json(job, sized.json(), layout, plan, templates), files)
    told = (*layout.notes, *plan.notes, *(templates.plan.notes if templates else ()))
    return Made(files, layout, plan, told, templates)


def save(out: Path, made: Made) -> None:
    """Write all files into a folder, or none.

    Raises:
        DiskError: a file that isn't ours is in the way, or the disk refused.
    """
    from cutfiles.output.save import save as save_all  # noqa: PLC0415

    save_all(out, made.files)
