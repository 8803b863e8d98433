"""The guide that is laid on the background: where the middle is, and where every seam points."""

from __future__ import annotations

import math

from cutfiles.core.units import SizeError
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, Point, Vertex, bulge_of, line
from cutfiles.pieces.plate_shapes import CROSS_ARM_MM
from cutfiles.pieces.templates.blade import HOLE_CLEAR_MM, NoRoomError, TemplateSettings
from cutfiles.pieces.templates.board import Board
from cutfiles.pieces.templates.scale import ruled
from cutfiles.plate.plate import Plate

PRICK_MM = 2.0  # hole in the middle, for the point of a pencil; common practice
NOTCH_WIDE_MM, NOTCH_DEEP_MM = 2.0, 4.0  # round at their ends, for the same pencil
BETWEEN_MM = 3.0  # rays end where they would come nearer to each other
_CLEAR_MM = 1.0  # between the ends of lines and cuts


def placement_template(plate: Plate, settings: TemplateSettings, diameter_mm: float) -> Board:
    """Return a disc with a notch and a ray for every seam, the background's centre cross in its middle.

    Raises:
        GeometryError: a disc too small for its notches, or with no room for the hang hole.
    """
    radius = diameter_mm / 2
    angles = _seams(plate)
    start = _rays_from(plate)
    end = radius - NOTCH_DEEP_MM - _CLEAR_MM
    if end - start < BETWEEN_MM:
        least = 2 * (start + BETWEEN_MM + NOTCH_DEEP_MM + _CLEAR_MM)
        raise SizeError("a guide of {} leaves no room for its rays; at least {} does", diameter_mm, least)
    board = Board(_notched(radius, angles), capitals_mm=settings.capitals_mm)
    board.hole(Circle(0.0, 0.0, PRICK_MM / 2))
    arm = min(CROSS_ARM_MM, start - _CLEAR_MM)
    near = PRICK_MM / 2 + _CLEAR_MM
    if arm - near > _CLEAR_MM:
        board.engrave(
            Drawn.SEW,
            [
                line((x * near, y * near), (x * arm, y * arm))
                for x, y in ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
            ],
        )
    opening = plate.blade.opening_radius_mm
    if near < opening < end and opening > arm + _CLEAR_MM / 2:
        board.engrave(Drawn.SEW, [Circle(0.0, 0.0, opening)])
    board.engrave(
        Drawn.SEW,
        [line(_polar(start, angle), _polar(end, angle)) for angle in angles],
    )
    if settings.hole_mm:
        board.hole(Circle(*_hole_middle(plate, settings.hole_mm, start, end), settings.hole_mm / 2))
    board.write((f"plate {ruled(plate.blade.finished_diameter_mm, settings.unit)} {settings.unit.value}",))
    board.write((f"{len(angles)} seams of {_degrees(plate)} deg", f"{len(angles)} seams"))
    board.write_name(settings.name)
    return board


def _degrees(plate: Plate) -> str:
    return f"{2 * plate.blade.half_angle_deg:.2f}".rstrip("0").rstrip(".")


def _seams(plate: Plate) -> list[float]:
    """Directions of the seams, degrees, descending from the left; a fan is centred about the y axis."""
    blade = plate.blade
    whole = plate.sewn == blade.blades
    first = 90.0 + plate.middle_deg + plate.sweep_deg / 2
    return [
        first - seam * 2 * blade.half_angle_deg for seam in range(plate.sewn if whole else plate.sewn + 1)
    ]


def _rays_from(plate: Plate) -> float:
    crowded = BETWEEN_MM / (2 * math.sin(plate.blade.half_angle_rad))
    return max(plate.blade.opening_radius_mm, crowded, CROSS_ARM_MM / 2)


def _polar(radius: float, angle_deg: float) -> Point:
    return radius * math.cos(math.radians(angle_deg)), radius * math.sin(math.radians(angle_deg))


def _notched(radius: float, angles: list[float]) -> Path:
    """A disc with slots from its rim inwards, round at their ends."""
    half = NOTCH_WIDE_MM / 2
    aside = math.degrees(math.asin(half / radius))
    quarter = bulge_of(-math.pi / 2)  # of the slot's end, run clockwise
    inside = radius - NOTCH_DEEP_MM + half
    vertices: list[Vertex] = []
    ordered = sorted(angle % 360.0 for angle in angles)
    for angle, following in zip(ordered, [*ordered[1:], ordered[0] + 360.0], strict=True):
        cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))

        def at(along: float, across: float, cos: float = cos, sin: float = sin) -> Point:
            return along * cos - across * sin, along * sin + across * cos

        sweep = math.radians(following - angle - 2 * aside)
        # An arc of more than half a circle is given as two: some readers take the wrong part of it.
        parts = 2 if sweep > math.pi else 1
        vertices += [
            Vertex(*_polar(radius, angle - aside)),
            Vertex(*at(inside, -half), quarter),
            Vertex(*at(inside - half, 0.0), quarter),
            Vertex(*at(inside, half)),
        ]
        bulge = bulge_of(sweep / parts)
        vertices += [
            Vertex(*_polar(radius, angle + aside + math.degrees(sweep) * part / parts), bulge)
            for part in range(parts)
        ]
    return Path(tuple(vertices), closed=True)


def _hole_middle(plate: Plate, hole_mm: float, start: float, end: float) -> Point:
    """Between the two topmost rays, as near to the rim as the notches allow."""
    half_mm = hole_mm / 2 + HOLE_CLEAR_MM
    middle = end - half_mm
    a = plate.blade.half_angle_rad
    # A whole ring has a ray or the middle between two at the top; a fan's outermost rays need not matter.
    angle = (
        90.0
        + plate.middle_deg
        + plate.sweep_deg / 2
        - plate.blade.half_angle_deg * (2 * (plate.sewn // 2) - 1)
    )
    if middle * math.sin(a) < half_mm or middle - half_mm < start:
        most = max(0.0, 2 * (min((end - HOLE_CLEAR_MM) * math.sin(a), (end - start) / 2) - HOLE_CLEAR_MM))
        raise NoRoomError("a hole of {} would run through a ray of the guide", hole_mm, most_mm=most)
    return _polar(middle, angle)
