"""A blade as it looks when it is sewn: outlines for the plate's picture, about the plate centre, mm."""

from __future__ import annotations

import math

from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import Setting
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Plate


def finished_blade(blade: Blade) -> Path:
    """Return the blade between its sew lines, centre line up the y axis, with its true tip."""
    inner = blade.inner_radius_mm
    narrow = inner * math.tan(blade.half_angle_rad)
    # At inner radius 0 the blade ends in the plate centre: one corner, not two that are the same.
    foot = [Vertex(-narrow, inner), Vertex(narrow, inner)] if inner > 0 else [Vertex(0.0, 0.0)]
    return Path((*foot, *blade.tip.finish.finished_edge(blade)), closed=True)


def joined_blade(blade: Blade, *, raw_right: bool, raw_left: bool) -> Path:
    """Return what is seen of a blade among others, its tip finished; raw edges are where they were cut."""
    low = blade.inner_radius_mm
    raw, sewn = blade.cut_half_width_mm(low), low * math.tan(blade.half_angle_rad)
    right, left = (raw if raw_right else sewn), (raw if raw_left else sewn)
    x, y = blade.tip.finish.raw_top(blade)
    foot = [Vertex(-left, low), Vertex(right, low)] if left + right > 0 else [Vertex(0.0, low)]
    corners = ([Vertex(x, y)] if raw_right else [], [Vertex(-x, y)] if raw_left else [])
    return Path((*foot, *corners[0], *blade.tip.finish.finished_edge(blade), *corners[1]), closed=True)


def blade_turns_deg(plate: Plate) -> tuple[float, ...]:
    """Return how far each blade is turned from the y axis: a ring closes below.

    A fan is centred about that axis, a quarter in a corner about the corner's diagonal.
    """
    step = 2 * plate.blade.half_angle_deg
    first = plate.middle_deg + plate.sweep_deg / 2 - plate.blade.half_angle_deg
    return tuple(first - number * step for number in range(plate.sewn))


def sewing_turns_deg(plate: Plate) -> tuple[float, ...]:
    """Return how far each blade is turned from the y axis in the order of sewing, counter-clockwise.

    A ring begins at the top, with the blade that stands on the y axis or else the first one beyond it; a fan
    begins at its right end.

    >>> from cutfiles.plate.blade import Blade; from cutfiles.tips.registry import Tip
    >>> plate = Plate(1, Blade(5, 40, 150, 6, Tip.FOLDED), 5, None, None)
    >>> [round(turn) for turn in sewing_turns_deg(plate)]
    [0, 72, 144, 216, 288]
    """
    turns = sorted(blade_turns_deg(plate))
    if not is_ring(plate):
        return tuple(turns)
    # Slightly below zero is the top itself: the blades are counted from the bottom.
    return tuple(sorted((turn + 1e-6) % 360.0 - 1e-6 for turn in turns))


def finished_blades(plate: Plate) -> tuple[tuple[Path, Pose], ...]:
    """Return every blade and where it is sewn, in the order of sewing; of a pieced one every band."""
    return tuple(
        (piece, Pose(turn_deg=turn))
        for place, turn in enumerate(sewing_turns_deg(plate))
        for piece in (finished_bands(plate) or (finished_blade(plate.blade_at(place)),))
    )


def finished_bands(plate: Plate) -> tuple[Path, ...]:
    """Return what is seen of each band of a blade, innermost first; none where it is of one piece."""
    slope = math.tan(plate.blade.half_angle_rad)
    pieces = []
    for band in plate.bands:
        low, high = band.low_mm, band.high_mm
        foot = [Vertex(-low * slope, low), Vertex(low * slope, low)] if low > 0 else [Vertex(0.0, 0.0)]
        top: tuple[Vertex, ...] = (Vertex(high * slope, high), Vertex(-high * slope, high))
        if band.name == plate.shapes[-1].name:
            top = plate.blade.tip.finish.finished_edge(plate.blade)
        pieces.append(Path((*foot, *top), closed=True))
    return tuple(pieces)


def seam_angles_deg(plate: Plate) -> tuple[float, ...]:
    """Return where the seams between blades lie, counter-clockwise from the x axis, 0 to 360.

    A ring has as many as blades, a fan one fewer: its two outer edges are no seams.
    """
    step = 2 * plate.blade.half_angle_deg
    first = 90.0 + plate.middle_deg + plate.sweep_deg / 2
    numbers = range(plate.sewn) if is_ring(plate) else range(1, plate.sewn)
    return tuple((first - number * step) % 360.0 for number in numbers)


def is_ring(plate: Plate) -> bool:
    """Return whether the blades close the circle."""
    return plate.sewn == plate.blade.blades


def around(plate: Plate, radius_mm: float) -> Contour:
    """Return the arc of a radius over all that is sewn: a circle for a ring."""
    if is_ring(plate):
        return Circle(0.0, 0.0, radius_mm)
    half = math.radians(plate.sweep_deg / 2)
    start: Point = (radius_mm * math.sin(half), radius_mm * math.cos(half))
    arc = Path((Vertex(*start, math.tan(half / 2)), Vertex(-start[0], start[1])), closed=False)
    return placed(arc, Pose(turn_deg=plate.middle_deg))


def finished_centre(plate: Plate) -> Contour:
    """Return what is seen of the centre: a circle, or the part of it that the fan's block holds.

    Raises:
        ValueError: the plate has no centre.
    """
    if plate.centre is None:
        raise ValueError("the plate has no centre")
    radius = plate.centre.finished_radius_mm
    if not plate.is_in_seam:
        return Circle(0.0, 0.0, radius)
    half = math.radians(plate.sweep_deg / 2)
    start: Point = (radius * math.sin(half), radius * math.cos(half))
    # Half a circle's two edges are one line: the middle is no corner of it.
    middle = () if plate.setting is Setting.EDGE else (Vertex(0.0, 0.0),)
    outline = Path((*middle, Vertex(*start, math.tan(half / 2)), Vertex(-start[0], start[1])), closed=True)
    return placed(outline, Pose(turn_deg=plate.middle_deg))
