"""How many whole plates the fabrics give, which shape decides it, and how many blades are over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import BACKGROUND, CENTRE, needs
from cutfiles.yields.trial import Needs, Trial


@dataclass(frozen=True, slots=True)
class WholePlates:
    """So many plates were found to fit; one more was tried and did not."""

    plates: int
    blades_over: int
    limited_by: (
        str | None
    )  # the shape there is too little cloth for; None: of all as much is bought as needed


def needs_of(job: Job, plates: int) -> dict[str, int]:
    """Return how many of each shape so many plates take; outlines of the user's own are as many as asked."""
    return dict(needs(replace(job, plate=replace(job.plate, count=plates))))


def whole_plates(job: Job, trial: Trial, *, most: int) -> WholePlates:
    """Return the most plates that were found to fit.

    Args:
        job: as asked; its own count of plates doesn't matter.
        trial: of that job.
        most: plates that the cloth can't pass.
    """
    plates = most_true(lambda count: trial.gives(needs_of(job, count)), 1, most, start=1) or 0
    needed = needs_of(job, plates)
    # Of cloth that is bought as needed there are as many blades as one likes, and so none over.
    first = job.plate.shapes[0].name
    # Of bands some may be over, but no blade is whole until they are joined.
    is_open = bool(job.plate.bands_mm) or any(
        fabric.is_open and first in dict(fabric.cuts) for fabric in trial.fabrics
    )
    all_blades = trial.gives_all(needed, first) if not is_open and (plates or trial.gives(needed)) else 0
    over = max(0, all_blades - needed[first])
    return WholePlates(plates, over, _limited_by(job, trial, plates))


def _limited_by(job: Job, trial: Trial, plates: int) -> str | None:
    """The shape of which one plate more is too much by itself; where only all together are, the blade."""
    now, then = needs_of(job, plates), needs_of(job, plates + 1)
    plate_shapes = [shape.name for shape in job.plate.shapes]
    if not trial.gives(now):  # not even what is asked beside plates, or in numbers
        outlines = [shape for shape in now if shape not in then or now[shape] == then[shape]]
        shapes = dict.fromkeys([*outlines, BACKGROUND, CENTRE, *plate_shapes])
        short = (shape for shape in shapes if shape in now and not trial.gives_of(shape, now[shape]))
        return next(short, plate_shapes[0])
    if trial.gives(then):
        return None
    for shape in (BACKGROUND, CENTRE, *plate_shapes):
        if shape in now and not _alone(trial, now, shape, then[shape]):
            return shape
    return plate_shapes[0]


def _alone(trial: Trial, needs: Needs, shape: str, count: int) -> bool:
    return trial.gives({**needs, shape: count})


def most_true(holds: Callable[[int], bool], least: int, most: int, *, start: int) -> int | None:
    """Return the greatest number in a range for which something holds that fails for the next one.

    Args:
        holds: taken never to be true again once it is false.
        least: of the range; None is returned where it doesn't hold even there.
        most: of the range; whether it holds is asked like any other.
        start: where to look first: the steps from there double until it is passed, then they halve. Small
            numbers may take long to try (short blades are many), and so may large ones (many plates).
    """
    if most < least:
        return None
    start = min(max(start, least), most)
    step = 1
    if holds(start):
        good, bad = start, start + 1
        while bad <= most and holds(bad):
            good, step = bad, 2 * step
            bad = min(good + step, max(most, good + 1))
    else:
        good, bad = start - 1, start
        while good >= least and not holds(good):
            bad, step = good, 2 * step
            good = max(good - step, min(least, good - 1))
        if good < least:
            return None
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (middle, bad) if holds(middle) else (good, middle)
    return good
