"""Templates of the centre circle: to gather over, to cut by, and the ring of both."""

from __future__ import annotations

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, line
from cutfiles.job.model.job import CentreKind
from cutfiles.pieces.templates.blade import HOLE_CLEAR_MM, NoRoomError, TemplateSettings
from cutfiles.pieces.templates.board import Board
from cutfiles.pieces.templates.scale import ruled
from cutfiles.plate.plate import Centre

TICK_MM = 4.0  # at the quarters of the rim, for the creases of a circle folded in four
_LEAST_MM = 1.0  # of a tick


def finished_template(centre: Centre, settings: TemplateSettings) -> Board:
    """Return the finished circle, which the fabric is gathered over.

    Raises:
        GeometryError: the centre is a yo-yo.
    """
    _refuse_yo_yo(centre, "centre")
    radius = centre.finished_radius_mm
    board = _disc(radius, settings)
    _named(board, settings, f"finished {_size(radius, settings)}", "finished")
    return board


def cut_template(centre: Centre, settings: TemplateSettings) -> Board:
    """Return the circle as it is cut, with the line where it is turned under."""
    board = _disc(centre.cut_radius_mm, settings, tick_mm=centre.cut_radius_mm - centre.fold_radius_mm)
    if centre.cut_radius_mm > centre.fold_radius_mm:
        board.engrave(Drawn.FOLD, [Circle(0.0, 0.0, centre.fold_radius_mm)])
    _named(board, settings, f"cut {_size(centre.cut_radius_mm, settings)}", "cut")
    return board


def ring_template(centre: Centre, settings: TemplateSettings) -> Board:
    """Return the ring between the two: its rim is the cut line, its opening what will show.

    Raises:
        GeometryError: nothing is turned under, so there is no ring; or the centre is a yo-yo.
    """
    _refuse_yo_yo(centre, "centre-ring")
    outer, inner = centre.cut_radius_mm, centre.finished_radius_mm
    if outer - inner < RULE_MM:
        raise GeometryError("a centre-ring is as wide as what is turned under, and turn in [centre] is 0")
    opening = Circle(0.0, 0.0, inner)
    board = Board(Circle(0.0, 0.0, outer), inner=(opening,), capitals_mm=settings.capitals_mm)
    board.engrave(Drawn.NOTCH, _quarters(outer, outer - inner))
    return board


def _refuse_yo_yo(centre: Centre, shape: str) -> None:
    if centre.kind is CentreKind.YO_YO:
        raise GeometryError(f"{shape} is for a gathered centre, and a yo-yo needs none; take centre-cut")


def _disc(radius_mm: float, settings: TemplateSettings, *, tick_mm: float = TICK_MM) -> Board:
    """A round template with a hole in its middle and the quarters marked at its rim."""
    board = Board(Circle(0.0, 0.0, radius_mm), capitals_mm=settings.capitals_mm)
    tick = min(TICK_MM, tick_mm) if tick_mm > _LEAST_MM else TICK_MM
    tick = min(tick, radius_mm / 3)
    most = 2 * (radius_mm - tick - HOLE_CLEAR_MM)
    if settings.hole_mm > max(most, 0.0):
        says = "a hole of {} is too large for a circle of {}"
        raise NoRoomError(says, settings.hole_mm, 2 * radius_mm, most_mm=max(0.0, most))
    board.engrave(Drawn.NOTCH, _quarters(radius_mm, tick))
    if settings.hole_mm:
        board.hole(Circle(0.0, 0.0, settings.hole_mm / 2))
    return board


def _quarters(radius_mm: float, tick_mm: float) -> list[Path]:
    inside = radius_mm - tick_mm
    return [
        line((x * inside, y * inside), (x * radius_mm, y * radius_mm))
        for x, y in ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
    ]


def _named(board: Board, settings: TemplateSettings, size: str, short: str) -> None:
    board.write((f"centre, {size}", size, short))
    board.write_name(settings.name)


def _size(radius_mm: float, settings: TemplateSettings) -> str:
    return f"{ruled(2 * radius_mm, settings.unit)} {settings.unit.value}"
