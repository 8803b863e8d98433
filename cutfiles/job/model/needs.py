"""How many of each shape a job's plates need, and whether its fabrics are told to give them."""

from __future__ import annotations

from collections import Counter

from cutfiles.core.errors import JobError
from cutfiles.core.words import counted, listed
from cutfiles.job.model.blade_shapes import BLADE, BladeShape
from cutfiles.job.model.job import FabricSpec, Face, Job, Share

CENTRE, BACKGROUND = "centre", "background"
PLATE_SHAPES = (BLADE, CENTRE, BACKGROUND)

Cuts = tuple[tuple[str, int | Share], ...]


def count_of(count: int, shape: str) -> str:
    """Return a count of a shape as messages have it; a name that the user made up has no plural.

    >>> count_of(2, BLADE), count_of(2, "leaf")
    ('2 blades', '2 of leaf')
    """
    return counted(count, shape) if shape in PLATE_SHAPES else f"{count} of {shape}"


def usual_face(shape: str) -> Face:
    """Return which side is up if nothing is said: backgrounds are drawn where the plate is laid on them."""
    return Face.RIGHT_SIDE_UP if shape == BACKGROUND else Face.WRONG_SIDE_UP


def needs(job: Job) -> tuple[tuple[str, int], ...]:
    """Return shape and count: blades, then centres and backgrounds if the plates have them, then outlines."""
    plates = job.plate.count
    needed = [(shape.name, plates * len(shape.places(job.plate.sewn))) for shape in job.plate.shapes]
    if job.centre:
        needed.append((CENTRE, plates))
    if job.background:
        needed.append((BACKGROUND, plates))
    needed.extend((outline.name, outline.count) for outline in job.outlines)
    return tuple(needed)


def cuts_asked(job: Job) -> tuple[Cuts, ...]:
    """Return what each fabric is asked for: an order of names settles whose blades are the rest.

    A fabric that the order doesn't name gives none of them, and may come out with nothing to give.
    """
    if not job.plate.order:
        return tuple(fabric.cuts for fabric in job.fabrics)
    asked = {shape.name: _named_at(job, shape) for shape in job.plate.shapes}
    return tuple(_settled(fabric, asked, job.plate.count) for fabric in job.fabrics)


def _named_at(job: Job, shape: BladeShape) -> Counter[str]:
    """How often an order names each fabric at the places of one shape of blade."""
    return Counter(job.plate.ordered[place] for place in shape.places(job.plate.sewn))


def _settled(fabric: FabricSpec, asked: dict[str, Counter[str]], plates: int) -> Cuts:
    settled: list[tuple[str, int | Share]] = []
    for shape, count in fabric.cuts:
        if shape not in asked or count is not Share.REST:
            settled.append((shape, count))
        elif blades := plates * asked[shape][fabric.name]:
            settled.append((shape, blades))
    return tuple(settled)


def check_cloth(job: Job) -> None:
    """Raise JobError where a job has no fabric to cut from, or keeps every piece out."""
    if job.fabrics:
        return
    if job.kept_out:
        raise JobError(
            "fabric", f"every piece is kept out ({listed(job.kept_out)}); lower keep_out, or add a [[fabric]]"
        )
    raise JobError("fabric", "there is none to cut from; add a [[fabric]] with its width and length")


def check_supply(job: Job) -> None:
    """Do nothing if the fabrics are told to give all that is needed, or there are templates alone.

    Raises:
        JobError: a shape that no fabric is told to give, or too few of it; blades by name more than a
            fabric's number.
    """
    if not job.fabrics and job.templates:
        return
    check_cloth(job)
    _check_order(job)
    for shape, needed in needs(job):
        told = [count for cuts in cuts_asked(job) for name, count in cuts if name == shape]
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


def _check_order(job: Job) -> None:
    for shape in job.plate.shapes if job.plate.order else ():
        places = _named_at(job, shape)
        for fabric in job.fabrics:
            told, asked = dict(fabric.cuts).get(shape.name, 0), job.plate.count * places[fabric.name]
            if isinstance(told, int) and told < asked:
                what = "blades" if shape.name == BLADE else f"of {shape.name}"
                raise JobError(
                    "plate.order",
                    f"asks {asked} {what} of {fabric.name}, which is told to give {told}; "
                    f'raise that number, write {shape.name} = "rest", or name it less often',
                )


def _or_leave_out(shape: str) -> str:
    return f", or leave [{shape}] out" if shape in (CENTRE, BACKGROUND) else ""
