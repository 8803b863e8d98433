"""The line itself: job → plate → pieces → nest → tool path → machine files → job sheet. Read this first."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from cutfiles.core.errors import JobError
from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import check_supply, needs
from cutfiles.job.parse.read import output_formats, read_job
from cutfiles.plate.doubts import blade_is_too_long, number_doubt, size_doubts
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.plate.quilt import Quilt, quilt_of, with_quilt
from cutfiles.plate.sizes import Json, quilt_json, sizes_json

if TYPE_CHECKING:
    from cutfiles.formats.model.plan import CutPlan, LoadPlan
    from cutfiles.nest.base.clock import Clock
    from cutfiles.nest.base.layout import Layout
    from cutfiles.nest.base.progress import ProgressListener
    from cutfiles.nest.repeat.needs import RepeatNeed
    from cutfiles.pieces.shape import CutList
    from cutfiles.shopping.shopping_list import ShoppingList
    from cutfiles.toolpath.template_sheets import TemplateSheets
    from cutfiles.yields.fit import Fit, PlatesListener

# A context that is entered while the search runs. It gets the clock, whose `stop()` ends the search soon
# with the best that it has; any thread may call it.
AroundSearch = Callable[["Clock"], AbstractContextManager[object]]
LaidListener = Callable[["Laid"], None]


@dataclass(frozen=True, slots=True)
class Sized:
    """A job and the plate that it describes: what can be said without a search.

    `needs` pairs the name of each shape with how many the plates ask for; `repeats` says how much of a
    printed repeat they take, for each fabric that has one. `job` has binding and backing of a `quilt` among
    its shapes where a fabric gives them.
    """

    job: Job
    plate: Plate
    needs: tuple[tuple[str, int], ...]
    repeats: tuple[RepeatNeed, ...] = ()
    quilt: Quilt | None = None

    @property
    def notes(self) -> tuple[str, ...]:
        """What a person should be asked before anything is cut, such as whether the unit is meant."""
        return size_doubts(self.plate, self.job.unit)

    def json(self) -> Json:
        """Return the measurements as `size --json` gives them.

        "repeats" is there only where a print repeats, "cloth" only where no piece is as long as a blade,
        "quilt" only where the job has one.
        """
        sizes = sizes_json(self.plate, self.needs)
        room_mm = blade_is_too_long(self.job, self.plate.blade)
        cloth = {} if room_mm is None else {"cloth": {"longest_mm": room_mm}}
        repeats = {"repeats": [repeat.json() for repeat in self.repeats]} if self.repeats else {}
        quilt = {} if self.quilt is None else {"quilt": quilt_json(self.quilt)}
        return {**sizes, **quilt, **cloth, **repeats}


@dataclass(frozen=True, slots=True)
class Options:
    """How to make a job, beside what the job itself says.

    Args:
        formats: of the machine files, such as `("svg", "pdf")`; None for those of the job.
        time_s: seconds after which the search stops with the best that it has, above 0. None: it stops by
            counted work, and the same job gives the same files everywhere.
        progress: called now and then, in the thread that called `make`, with how far the search is.
        around_search: entered while the search runs; see `AroundSearch`.
        calibrate: also write a sheet to measure the machine by.
        processes: how many search at once; None for one a core. The files are the same. On macOS and Windows
            a script without `if __name__ == "__main__":` must ask for 1, as new processes run it again.
        on_laid: called once, in the thread that called `make`, as soon as every piece has its place; files
            take longer.

    Raises:
        JobError: formats that there aren't, or a limit or a number of processes that isn't above 0.
    """

    formats: tuple[str, ...] | None = None
    time_s: float | None = None
    progress: ProgressListener | None = None
    around_search: AroundSearch = nullcontext
    calibrate: bool = False
    processes: int | None = None
    on_laid: LaidListener | None = None

    def __post_init__(self) -> None:
        if self.formats is not None:
            output_formats(",".join(self.formats), where="formats")
        if self.time_s is not None and not self.time_s > 0:  # refuses NaN, too
            raise JobError("time_s", f"{self.time_s} is not above 0; give seconds, or None for no limit")
        if self.processes is not None and self.processes < 1:
            raise JobError("processes", f"{self.processes} is below 1; give a number, or None for all cores")


USUAL = Options()


@dataclass(frozen=True, slots=True)
class Laid:
    """What is known of a job once every piece has its place: where each lies, and what pen and knife do.

    `templates` are the sheets of stock, None where the job has no templates.
    """

    nested: Layout
    plan: CutPlan
    templates: TemplateSheets | None


@dataclass(frozen=True, slots=True)
class Made:
    """All that a job gives, ready to be saved: no file is on the disk yet.

    `files` holds the machine files, the job sheet and `layout.json` by name; `nested` says where every piece
    lies, `plan` what pen and knife do, `notes` what a person should know; `templates` are the sheets of
    stock, None where the job has no templates. Lengths are mm.
    """

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


def size(job: Path | str | Job) -> Sized:
    """Return the plate of a job and what it needs, with no search.

    Args:
        job: the path of a job file, or a job that was read before.

    Raises:
        JobError: the file can't be read, or a key of it is wrong.
        GeometryError: the sizes make no plate.
    """
    read = job if isinstance(job, Job) else read_job(Path(job))
    plate = _plate(read)
    quilt = quilt_of(read, plate)
    whole = with_quilt(read, quilt)
    return Sized(whole, plate, needs(whole), _repeats(whole, plate), quilt)


def _plate(job: Job) -> Plate:
    try:
        return plate_of(job)
    except JobError as error:
        doubt = number_doubt(job.plate, job.unit)
        raise JobError(error.where, f"{error.says}; {doubt}") if doubt else error from None


def _repeats(job: Job, plate: Plate) -> tuple[RepeatNeed, ...]:
    if not any(fabric.repeat for fabric in job.fabrics):
        return ()
    from cutfiles.nest.repeat.needs import repeat_needs  # noqa: PLC0415

    return repeat_needs(job, plate)


def fit(
    job: Path | str | Job | Sized,
    *,
    on_plates: PlatesListener | None = None,
    processes: int | None = None,
) -> Fit:
    """Return what the fabrics of a job give: whole plates, what is over, the longest blades. Writes nothing.

    Args:
        job: the path of a job file, a job that was read before, or what `size` returned.
        on_plates: told of the whole plates as soon as they are known; the lengths take longer.
        processes: how many search at once, as in `Options`; the answer is the same.

    Raises:
        JobError: a key is wrong, there is no fabric, or none is told to give a shape.
    """
    from cutfiles.yields.fit import fit as fit_job  # noqa: PLC0415

    sized = job if isinstance(job, Sized) else size(job)
    return fit_job(sized.job, on_plates=on_plates, processes=processes)


def buy(job: Path | str | Job | Sized, options: Options = USUAL) -> ShoppingList:
    """Return what must be bought of fabrics whose length or pieces are "as needed". Writes nothing.

    What is short of the others stands in `shortages`, a line each; it is no error here.

    Args:
        job: the path of a job file, a job that was read before, or what `size` returned.
        options: a limit on the time, who is told of progress, and how many processes search.

    Raises:
        JobError: a key is wrong, there is no fabric, or none is told to give a shape.
        GeometryError: the sizes make no plate.
    """
    from cutfiles.nest.base.clock import Clock  # noqa: PLC0415
    from cutfiles.shopping.purchases import EFFORT, purchases  # noqa: PLC0415

    sized = job if isinstance(job, Sized) else size(job)
    clock = Clock(options.time_s, effort=EFFORT)
    with options.around_search(clock):
        return purchases(sized.job, clock=clock, progress=options.progress, processes=options.processes)


def make(job: Path | str | Job | Sized, options: Options = USUAL) -> Made:
    """Return every file of a job; nothing is written to the disk yet.

    Args:
        job: the path of a job file, a job that was read before, or what `size` returned.
        options: formats, a limit on the time, and who is told of progress.

    Raises:
        JobError: a key is wrong, no fabric is told to give a shape, or the mat has no room.
        GeometryError: the sizes make no plate.
        UnmetError: the fabrics can't give what is asked; the message says what is short and what would do.
    """
    # The geometry and format libraries take half a second to load; `size` and `--help` never need them.
    from cutfiles.nest.base.clock import Clock  # noqa: PLC0415
    from cutfiles.nest.kitting.bags import with_bags  # noqa: PLC0415
    from cutfiles.nest.kitting.plates import with_plates  # noqa: PLC0415
    from cutfiles.nest.nest import Bed, check_mat  # noqa: PLC0415
    from cutfiles.output.layout_json import LAYOUT_NAME, layout_json, sealed  # noqa: PLC0415
    from cutfiles.output.machine_files import (  # noqa: PLC0415
        file_notes,
        machine_files,
        style_of,
    )
    from cutfiles.output.template_files import noted, template_files  # noqa: PLC0415
    from cutfiles.pieces.cutlist import cut_list  # noqa: PLC0415
    from cutfiles.pieces.templates.paper import with_paper_templates  # noqa: PLC0415
    from cutfiles.sheet.html import job_sheet  # noqa: PLC0415
    from cutfiles.sheet.pictures.cloth_picture import cloth_pictures  # noqa: PLC0415
    from cutfiles.toolpath.calibrate.calibrate import calibrated  # noqa: PLC0415
    from cutfiles.toolpath.split import split_plan  # noqa: PLC0415
    from cutfiles.toolpath.template_sheets import template_sheets  # noqa: PLC0415
    from cutfiles.toolpath.toolpath import plan_cuts  # noqa: PLC0415

    sized = job if isinstance(job, Sized) else size(job)
    job, plate = sized.job, sized.plate
    check_supply(job)
    pieces = cut_list(job, plate)
    job = with_paper_templates(job, plate)
    # Before the long search: what is wrong with the mat, a template or a picture should be said at once.
    sheets = _calibration(job, calibrate=options.calibrate)
    if not job.by_hand:
        check_mat(pieces, Bed(job.mat, job.machine, job.unit))
    templates = template_sheets(job, plate, Clock())
    pictures = cloth_pictures(job)
    layout = _laid_out(sized, pieces, options)
    if not job.fabrics:
        layout = replace(layout, notes=())  # templates alone: nobody misses the pieces
    layout = with_bags(with_plates(layout, plate, job.plate.order), job)
    plan = plan_cuts(layout, job.mat, job.machine, unit=job.unit)
    if options.on_laid:
        options.on_laid(Laid(layout, plan, templates))
    # The layout and the job sheet keep to what lies on the mat; a machine gets it in parts and corrected.
    machine_plan = split_plan(plan) if job.split else plan
    machine_plan = replace(machine_plan, loads=(*machine_plan.loads, *sheets))
    machine_plan = calibrated(machine_plan, job.machine.calibration, unit=job.unit)
    formats = options.formats or job.files
    style = style_of(job)
    of_files = file_notes(plan, formats, style=style, machine_plan=machine_plan)
    plan = replace(plan, notes=(*machine_plan.notes, *of_files))
    files = machine_files(plan, formats, style=style, machine_plan=machine_plan)
    if templates:
        templates = noted(templates, formats, style=style)
        files |= template_files(templates, formats, style=style)
    files["job-sheet.html"] = job_sheet(
        job, plate, layout, plan, files=tuple(files), templates=templates, pictures=pictures
    )
    files[LAYOUT_NAME] = sealed(layout_json(job, sized.json(), layout, plan, templates), files)
    notes = (*sized.notes, *layout.notes, *plan.notes, *(templates.plan.notes if templates else ()))
    return Made(files, layout, plan, notes, templates)


def _laid_out(sized: Sized, pieces: CutList, options: Options) -> Layout:
    """Where every piece lies: on strips by ruler, or on mats by a search."""
    from cutfiles.nest.base.clock import Clock, effort_for  # noqa: PLC0415
    from cutfiles.nest.by_hand import lay_out_strips  # noqa: PLC0415
    from cutfiles.nest.nest import Bed, nest  # noqa: PLC0415

    job = sized.job
    if job.by_hand:
        return lay_out_strips(pieces, sized.plate, job.unit, progress=options.progress)
    bed = Bed(job.mat, job.machine, job.unit)
    clock = Clock(options.time_s, effort=effort_for(job.fabrics))
    with options.around_search(clock):
        return nest(pieces, bed, clock=clock, progress=options.progress, processes=options.processes)


def _calibration(job: Job, *, calibrate: bool) -> tuple[LoadPlan, ...]:
    """The sheet to measure a machine by, where one is wanted."""
    from cutfiles.toolpath.calibrate.sheet import calibration_load  # noqa: PLC0415

    if calibrate and job.by_hand:
        raise JobError("job.cut", "no machine cuts by hand, so there is none to measure; leave calibrate out")
    return (calibration_load(job.mat, job.machine),) if calibrate else ()


def save(out: Path | str, made: Made) -> None:
    """Write all files into a folder, or none. Files of an earlier run are replaced, others never.

    Raises:
        DiskError: a file that isn't ours is in the way, or the disk refused.
    """
    from cutfiles.output.save import save as save_all  # noqa: PLC0415

    save_all(Path(out), made.files)
