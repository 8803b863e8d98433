"""How many of each shape a job's plates need, and whether its fabrics are told to give them."""

from __future__ import annotations

from cutfiles.core.errors import JobError
from cutfiles.job.model.job import Job, Share

BLADE, CENTRE, BACKGROUND = "blade", "centre", "background"
PLATE_SHAPES = (BLADE, CENTRE, BACKGROUND)


def needs(job: Job) -> tuple[tuple[str, int], ...]:
    """Return shape and count: blades, then centres and backgrounds if the plates have them, then outlines."""
    plates = job.plate.count
    needed = [(BLADE, plates * job.plate.sewn)]
    if job.centre:
        needed.append((CENTRE, plates))
    if job.background:
        needed.append((BACKGROUND, plates))
    needed.extend((outline.name, outline.count) for outline in job.outlines)
    return tuple(needed)


def check_supply(job: Job) -> None:
    """Do nothing if the fabrics are told to give all that is needed, or there are templates alone.

    Raises:
        JobError: a shape that no fabric is told to give, or too few of it.
    """
    if not job.fabrics and job.templates:
        return
    if not job.fabrics:
        raise JobError("fabric", "there is none to cut from; add a [[fabric]] with its width and length")
    for shape, needed in needs(job):
        told = [count for fabric in job.fabrics for name, count in fabric.cuts if name == shape]
        if any(isinstance(count, Share) for count in told):
            continue
        given = sum(count for count in told if isinstance(count, int))
        if not given:
            raise JobError(
                "fabric",
                f"no fabric is told to give {shape} ({needed} needed); "
                f'add {shape} = "rest" to a fabric\'s cuts{_or_leave_out(shape)}',
            )
        if given < needed:
            raise JobError(
                "fabric",
                f"the fabrics are told to give {given} of the {needed} needed of {shape}; "
                f'raise a count by {needed - given}, or write {shape} = "rest" for one fabric',
            )


def _or_leave_out(shape: str) -> str:
    return f", or leave [{shape}] out" if shape in (CENTRE, BACKGROUND) else ""
