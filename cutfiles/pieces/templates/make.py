"""From a job's `[[template]]` tables to shapes, each with what is engraved on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations

import shapely

from cutfiles.core.errors import GeometryError, JobError
from cutfiles.core.tolerance import FILE_MM, FLAT_ARC_MM
from cutfiles.core.units import SizeError, Unit, in_both, rounded_down_mm
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.distance import contours_apart
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Circle, Path, Side, chords
from cutfiles.job.model.job import Job
from cutfiles.job.model.template import EngraveFrom, SewnOrCut, TemplateSpec
from cutfiles.job.parse.template import LEAST_HOLE_MM
from cutfiles.job.schema import template as names
from cutfiles.pieces.own_outline import given_outline, outline_shape
from cutfiles.pieces.plate_shapes import blade_shapes_of, centre_shape_of
from cutfiles.pieces.shape import Shape
from cutfiles.pieces.templates.blade import NoRoomError, TemplateSettings, blade_template, blade_window
from cutfiles.pieces.templates.board import Board
from cutfiles.pieces.templates.centre import cut_template, finished_template, ring_template
from cutfiles.pieces.templates.ease import eased
from cutfiles.pieces.templates.placement import placement_template
from cutfiles.plate.plate import Plate

USUAL_HOLE_MM = 5.0  # takes a nail or a cord; common practice
_SAID_MM = 0.1
_MOST_TOLD = 3
_HANG_BY_OPENING = (names.WINDOW, names.RING)


@dataclass(frozen=True, slots=True)
class Template:
    """A template as a shape to cut, and how many of it."""

    shape: Shape
    count: int
    key: str  # of its table, such as `template.2`
    mirrored: bool
    note: str = ""


def templates(job: Job, plate: Plate) -> tuple[Template, ...]:
    """Return the job's templates, in its order; no two shapes have one name.

    Raises:
        JobError: a template that can't be drawn; `where` is its key.
    """
    made: list[Template] = []
    for number, spec in enumerate(job.templates, start=1):
        key = f"template.{number}"
        board = _board(job, plate, spec, key)
        _check_inside(board, key, spec.ease_mm, job.unit)
        alike = sum(template.shape == spec.shape for template in job.templates[:number])
        name = spec.shape if alike == 1 else f"{spec.shape}-{alike}"
        while any(name == template.shape.name for template in made):
            name += "-b"  # an outline of the user's may be called so
        mirrored = spec.face is EngraveFrom.BEHIND
        note = ""
        if board.left_out:
            some = board.left_out[:_MOST_TOLD]
            more = len(board.left_out) - len(some)
            told = f"{'; '.join(some)}{f' and {more} more' if more else ''}"
            note = f"template {name}: no room to engrave {told}; lower capitals, or do without"
        made.append(Template(board.shape(name, mirrored=mirrored), spec.count, key, mirrored, note))
    return tuple(made)


def _board(job: Job, plate: Plate, spec: TemplateSpec, key: str) -> Board:
    hangs = spec.shape in _HANG_BY_OPENING and all(outline.name != spec.shape for outline in job.outlines)
    if spec.hole_mm and hangs:
        raise JobError(f"{key}.hole", f"a {spec.shape} hangs by its opening; leave the hole out")
    settings = TemplateSettings(
        spec.ease_mm, spec.hole_mm or 0.0, spec.capitals_mm, spec.name or job.title, job.unit
    )
    try:
        draw = _drawer(job, plate, spec)
        if spec.hole_mm is None and not hangs:
            return _with_usual_hole(draw, settings, web_mm=job.stock.web_mm if job.stock else 0.0)
        return draw(settings)
    except NoRoomError as error:
        most_mm = rounded_down_mm(error.most_mm, _SAID_MM)  # what is said to have room must have it
        hint = f"at most {in_both(most_mm, job.unit)} has room, 0 is none"
        if most_mm < LEAST_HOLE_MM:
            hint = "there is no room for one: write 0"
        raise JobError(f"{key}.hole", f"{error.said(job.unit)}; {hint}") from None
    except GeometryError as error:
        where = f"{key}.diameter" if spec.shape == names.PLACEMENT else key
        says = error.said(job.unit) if isinstance(error, SizeError) else str(error)
        raise JobError(where, says) from None


def _with_usual_hole(
    draw: Callable[[TemplateSettings], Board], settings: TemplateSettings, *, web_mm: float
) -> Board:
    """The template with a hang hole of the usual size, without one where that leaves too little beside it."""
    try:
        board = draw(replace(settings, hole_mm=USUAL_HOLE_MM))
    except NoRoomError:
        return draw(settings)
    cuts = [edges_of(contour) for contour in (board.cut, *board.inner)]
    thin = any(contours_apart(*pair, within_mm=web_mm) < web_mm for pair in combinations(cuts, 2))
    return draw(settings) if thin else board


def _drawer(job: Job, plate: Plate, spec: TemplateSpec) -> Callable[[TemplateSettings], Board]:
    outline = next((candidate for candidate in job.outlines if candidate.name == spec.shape), None)
    shape = next((part for part in _parts(plate) if part.name == spec.shape), None)
    if outline is not None:
        shape = outline_shape(outline, given_outline(outline, job.unit))
    if shape is not None:
        return lambda settings: _outline_template(shape, spec.line, settings)
    if spec.shape == names.BLADE:
        return lambda settings: blade_template(plate.blade, settings)
    if spec.shape == names.SECOND:
        second = plate.second
        assert second is not None, "job/parse/template.py has seen to it"
        return lambda settings: blade_template(second, settings)
    if spec.shape == names.WINDOW:
        return lambda settings: blade_window(plate.blade, settings)
    if spec.shape == names.PLACEMENT:
        diameter = spec.diameter_mm or plate.blade.finished_diameter_mm
        return lambda settings: placement_template(plate, settings, diameter)
    if plate.is_in_seam and spec.shape != names.CENTRE:
        says = f"{spec.shape} is a whole circle, and this job's centre a part of one; take {names.CENTRE}"
        raise GeometryError(f"{says}, which the arc is pressed over, or {names.CENTRE_CUT}, or leave it out")
    centre = plate.centre
    assert centre is not None, "job/parse/template.py has seen to it"
    of_centre = {
        names.CENTRE: finished_template,
        names.CENTRE_CUT: cut_template,
        names.RING: ring_template,
    }[spec.shape]
    return lambda settings: of_centre(centre, settings)


def _parts(plate: Plate) -> tuple[Shape, ...]:
    """Shapes whose templates are their own outlines: bands, and the centre of a fan with straight edges."""
    bands = blade_shapes_of(plate) if plate.bands else ()
    if plate.centre is None or not plate.is_in_seam:
        return bands
    return (*bands, replace(centre_shape_of(plate), name=names.CENTRE_CUT))


def _outline_template(shape: Shape, line: SewnOrCut, settings: TemplateSettings) -> Board:
    """A shape of the user's own, as large as it is cut, with its seam line; or as large as it is sewn."""
    sewn = [mark.path for mark in shape.marks if mark.kind is Drawn.SEW]
    outline = shape.cut
    if line is SewnOrCut.SEWN and sewn:
        outline, sewn = sewn[0], []
    board = Board(eased(outline, settings.ease_mm), capitals_mm=settings.capitals_mm)
    board.engrave(Drawn.SEW, sewn)
    board.engrave(Drawn.FOLD, [mark.path for mark in shape.marks if mark.kind is Drawn.FOLD])
    if settings.hole_mm:
        middle, radius = board.roundest()
        if radius < settings.hole_mm / 2:
            raise NoRoomError("a hole of {} is too large for it", settings.hole_mm, most_mm=2 * radius)
        board.hole(Circle(*middle, settings.hole_mm / 2))
    board.write((shape.name,))
    board.write_name(settings.name)
    return board


def _check_inside(board: Board, key: str, ease_mm: float, unit: Unit) -> None:
    """Corners eased too much would leave engraved lines hanging in the air."""
    part = shapely.Polygon(chords(board.cut, stray_mm=FLAT_ARC_MM / 10, side=Side.OUTSIDE)).buffer(FILE_MM)
    for mark in board.marks:
        points = chords(mark.path, stray_mm=FLAT_ARC_MM)
        closed = not isinstance(mark.path, Path) or mark.path.closed
        if not part.covers(shapely.LineString([*points, points[0]] if closed else points)):
            ease = in_both(ease_mm, unit)
            says = f"{ease} takes corners off that engraved lines reach into; lower it, or write 0"
            raise JobError(f"{key}.ease", says)
