"""The blade template, and the window to choose a motif through."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.core.units import SizeError, Unit
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.offset import offset
from cutfiles.geometry.outline import Circle, Contour, Path, Point, bounds, line
from cutfiles.pieces.lettering.label import FROM_EDGE_MM, FROM_LINE_MM
from cutfiles.pieces.lettering.letters import Text
from cutfiles.pieces.plate_shapes import blade_shape, side_seams
from cutfiles.pieces.templates.board import Board
from cutfiles.pieces.templates.ease import eased
from cutfiles.pieces.templates.scale import Rung, ruled, rung_lines, rungs
from cutfiles.plate.blade import Blade

HOLE_CLEAR_MM = 1.0  # between the hang hole and an engraved line
_HAIR_MM = 0.05  # more than lettering must keep off a line
_ASIDE_MM = 1.4  # from the centre line to the numbers beside it: nearer, a 1 reads as part of it
_SHORTEST_MM = 1.5  # of a stretch of the centre line

Span = tuple[float, float]


class NoRoomError(SizeError):
    """The hang hole has no room; `most_mm` is the largest that has."""

    def __init__(self, says: str, *lengths_mm: float, most_mm: float) -> None:
        self.most_mm = most_mm
        super().__init__(says, *lengths_mm)


@dataclass(frozen=True, slots=True)
class TemplateSettings:
    """What a template's table says of it."""

    ease_mm: float
    hole_mm: float  # 0 for none
    capitals_mm: float
    name: str
    unit: Unit


def blade_template(blade: Blade, settings: TemplateSettings) -> Board:
    """Return the blade's template: origin at the plate centre, centre line up the y axis.

    Raises:
        NoRoomError: the hang hole would run through a line.
    """
    shape = blade_shape(blade)
    board = Board(eased(shape.cut, settings.ease_mm), capitals_mm=settings.capitals_mm)
    board.engrave(Drawn.SEW, [*side_seams(blade), *blade.tip.finish.template_lines(blade)])
    scale = rungs(blade, settings.unit)
    board.engrave(Drawn.NOTCH, [path for rung in scale if rung.drawn for path in rung_lines(blade, rung)])
    gaps: list[Span] = []
    if settings.hole_mm:
        middle = _hole_middle(blade, scale, settings.hole_mm)
        board.hole(Circle(0.0, middle, settings.hole_mm / 2))
        reach = settings.hole_mm / 2 + HOLE_CLEAR_MM
        gaps.append((middle - reach, middle + reach))
    for rung in reversed(scale):
        gaps += _numbered(board, rung, settings)
    board.engrave(Drawn.FOLD, _centre_line(blade, _top(blade, board), gaps))
    if scale:
        # In the tip's allowance, either side of the centre line.
        unit = settings.unit.value.upper()
        board.write((f"D = PLATE {unit}", "D = PLATE"), above_mm=blade.tip_radius_mm)
        board.write((f"LENGTH {unit}", "LENGTH"), above_mm=blade.tip_radius_mm)
    angle = f"{2 * blade.half_angle_deg:.2f}".rstrip("0").rstrip(".")
    board.write((f"{blade.blades} blades of {angle} deg", f"{blade.blades} x {angle} deg"))
    board.write_name(settings.name)
    return board


def _hole_middle(blade: Blade, scale: tuple[Rung, ...], hole_mm: float) -> float:
    """How far up the centre line the hang hole goes: between the topmost lines that leave it room."""
    ends = (blade.inner_radius_mm, *blade.tip.finish.levels_mm(blade))
    levels = sorted({*ends, *(rung.y_mm for rung in scale)})
    of_tip = [edge for path in blade.tip.finish.template_lines(blade) for edge in edges_of(path)]
    widest = 0.0
    for low, high in reversed(list(pairwise(levels))):
        # Right in the middle, and no nearer to the other lines than to those above and below.
        middle = (low + high) / 2
        beside = min(
            [middle * math.sin(blade.half_angle_rad), *(edge.distance_to((0.0, middle)) for edge in of_tip)]
        )
        room = min(high - low, 2 * beside) - 2 * HOLE_CLEAR_MM
        if hole_mm <= room:
            return middle
        widest = max(widest, room)
    what = "a scale line" if scale else "a seam line"
    says = f"a hole of {{}} would run through {what} of the blade"
    raise NoRoomError(says, hole_mm, most_mm=max(0.0, widest))


def _numbered(board: Board, rung: Rung, settings: TemplateSettings) -> list[Span]:
    """Write a line's length and diameter below it; return where the centre line gives way to them."""
    length, plate = (ruled(mm, settings.unit) for mm in (rung.length_mm, rung.finished_diameter_mm))
    clear = FROM_LINE_MM + _HAIR_MM
    beside = (_ASIDE_MM, settings.hole_mm / 2 + FROM_EDGE_MM + _HAIR_MM, None)
    for texts in ((length, f"D {plate}"), (length, f"D{plate}"), (length,)):
        rows = [board.lettering(text) for text in texts]
        for left in beside:
            corners = _stacked(rows, rung.y_mm - clear, left)
            if all(board.has_room(row, corner) for row, corner in zip(rows, corners, strict=True)):
                for row, corner in zip(rows, corners, strict=True):
                    board.write_at(row, corner)
                if len(texts) == 1:
                    board.left_out.append(f"D {plate}")
                return [] if left is not None else [(corners[-1][1] - clear, rung.y_mm)]
    board.left_out.append(f"{length}, D {plate}")
    return []


def _stacked(rows: list[Text], top: float, left: float | None) -> list[Point]:
    """Lower left corners of rows below each other; `left` None centres them on the centre line."""
    corners = []
    for row in rows:
        corners.append((-row.width_mm / 2 if left is None else left, top - row.height_mm))
        top -= row.height_mm + 2 * FROM_LINE_MM + _HAIR_MM
    return corners


def _top(blade: Blade, board: Board) -> float:
    """How far up the centre line the template reaches: a wide end that is a point may be eased."""
    return min(blade.outer_radius_mm, bounds(board.cut)[3])


def _centre_line(blade: Blade, top: float, gaps: list[Span]) -> list[Path]:
    strokes, y = [], blade.inner_radius_mm
    for low, high in [*sorted(gaps), (top, math.inf)]:
        if low - y >= _SHORTEST_MM:
            strokes.append(line((0.0, y), (0.0, low)))
        y = max(y, high)
    return strokes


def blade_window(blade: Blade, settings: TemplateSettings) -> Board:
    """Return a frame as wide as the seam: what is seen through it is what a blade shows, its tip apart.

    Raises:
        GeometryError: the seam leaves no window.
    """
    shape = blade_shape(blade)
    assert isinstance(shape.cut, Path)
    opening = offset(shape.cut, -blade.seam_mm)
    if opening is None or _is_slit(opening):
        raise SizeError("a seam of {} leaves no window in the blade", blade.seam_mm)
    board = Board(
        eased(shape.cut, settings.ease_mm),
        inner=(eased(opening, settings.ease_mm),),
        capitals_mm=settings.capitals_mm,
    )
    ticks = [
        line((0.0, blade.inner_radius_mm), (0.0, blade.inner_radius_mm + blade.seam_mm)),
        line((0.0, blade.tip_radius_mm), (0.0, _top(blade, board))),
        *blade.tip.finish.frame_ticks(blade),
    ]
    board.engrave(Drawn.NOTCH, ticks)
    board.write((f"{blade.blades} BLADES", f"{blade.blades}"))
    board.write((settings.name.upper(), "WINDOW"))
    return board


def _is_slit(opening: Contour) -> bool:
    """Whether nothing could be seen through it, as in a blade no longer than its two seams."""
    left, low, right, high = bounds(opening)
    return min(right - left, high - low) < SAME_POINT_MM
