"""What must be cut and drawn, and which fabric is asked for how many."""

from __future__ import annotations

from dataclasses import replace

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.units import SizeError
from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import Face, Job, place_of
from cutfiles.job.model.needs import cuts_asked, needs
from cutfiles.pieces.drawings.fabric import drawn_fabric
from cutfiles.pieces.own_outline import given_outline, outline_shape
from cutfiles.pieces.plate_shapes import background_shape, blade_shapes_of, centre_shape_of
from cutfiles.pieces.shape import CutList, Demand, Mark, Shape
from cutfiles.plate.plate import Plate

_NO_GUIDES = (
    "its fabric lies wrong side up, so no guides are drawn on it: lay the plate by creases, or write "
    'face = { background = "right side up" } in its [[fabric]]'
)


def cut_list(job: Job, plate: Plate) -> CutList:
    """Return the shapes, with only those lines that the job wants drawn, and the demand by fabric.

    Raises:
        JobError: a drawing that holds no outline, one that its seam leaves nothing of, or a scrap that
            its margin does.
    """
    shapes = [*blade_shapes_of(plate)]
    if plate.centre:
        shapes.append(centre_shape_of(plate))
    if plate.background:
        shapes.append(background_shape(plate))
    for spec in job.outlines:
        key = "file"
        try:
            given = given_outline(spec, job.unit)
            key = "seam"
            shapes.append(outline_shape(spec, given))
        except GeometryError as error:
            says = error.said(job.unit) if isinstance(error, SizeError) else str(error)
            raise JobError(f"{place_of('outline', spec.name)}.{key}", says) from None
    return CutList(
        tuple(_with_wanted_marks(shape, job) for shape in shapes),
        needs(job),
        tuple(
            Demand(drawn_fabric(fabric, fabric.place, job.unit), cuts)
            for fabric, cuts in zip(job.fabrics, cuts_asked(job), strict=True)
        ),
    )


def _with_wanted_marks(shape: Shape, job: Job) -> Shape:
    wanted = tuple(mark for mark in shape.marks if mark.kind in job.machine.draw)
    cut = (shape.cut, *shape.inner) if Drawn.CUT in job.machine.draw else ()
    lines = tuple(Mark(Drawn.CUT, path) for path in cut)
    if shape.name == "background" and wanted and not _right_side_up(shape.name, job):
        # The plate is laid on the right side, where lines on the back can't be seen.
        return replace(shape, marks=lines, note=_NO_GUIDES, hand_marks=(*wanted, *lines))
    return replace(shape, marks=(*wanted, *lines))


def _right_side_up(shape: str, job: Job) -> bool:
    """Whether every fabric that gives a shape lies right side up."""
    givers = [fabric for fabric in job.fabrics if any(name == shape for name, _ in fabric.cuts)]
    return all(fabric.face_of(shape) is Face.RIGHT_SIDE_UP for fabric in givers)
