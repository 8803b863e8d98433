"""The door: a job in, what must be bought for it out."""

from __future__ import annotations

from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import check_supply
from cutfiles.nest.base.clock import Clock, Effort
from cutfiles.nest.base.progress import ProgressListener
from cutfiles.nest.by_hand import amounts_of_strips
from cutfiles.nest.nest import Bed, amounts
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.shopping.shopping_list import ShoppingList, shopping_list

# A person waits: `make` searches harder, and now and then finds that a little less would do.
EFFORT = Effort(1, 80)


def purchases(
    job: Job, *, clock: Clock, progress: ProgressListener | None = None, processes: int | None = None
) -> ShoppingList:
    """Return what must be bought for a job: what its pieces were found to lie on.

    Args:
        job: of its fabrics those are bought whose length or pieces are as needed.
        clock: says when the search must stop; what it then found is marked as hurried.
        progress: told how far it is.
        processes: how many search at once; None for one a core.

    Raises:
        JobError: no fabric is told to give a shape, or nothing of the mat can be used.
        GeometryError: the sizes make no plate.
    """
    check_supply(job)
    plate = plate_of(job)
    pieces = cut_list(job, plate)
    if job.by_hand:
        of_strips = amounts_of_strips(pieces, plate, job.unit)
        return shopping_list(job, of_strips.tallies, shortages=of_strips.shortages)
    bed = Bed(job.mat, job.machine, job.unit)
    needed = amounts(pieces, bed, clock=clock, progress=progress, processes=processes)
    return shopping_list(job, needed.tallies, shortages=needed.shortages)
