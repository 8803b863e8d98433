"""Blades joined: the first pair, what it measures, groups, parts laid down, the last seams."""

from __future__ import annotations

import math

from cutfiles.geometry.outline import Point, line, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.pieces.plate_shapes import side_seams
from cutfiles.plate.blade import Blade
from cutfiles.plate.finished import is_ring, joined_blade
from cutfiles.plate.joining import Group, joining
from cutfiles.plate.plate import Plate
from cutfiles.plate.words import joined_part
from cutfiles.sheet.markup.words import measured_degrees
from cutfiles.tips.finish import from_the_back
from cutfiles.tips.stage import DrawnLine, LineKind, Measure, Note, Patch, Stage, Surface, stitched, turned

_STRAIGHT_DEG = 180.0
_APART = 0.16  # of the tip radius, between groups and parts


def join_stages(plate: Plate) -> list[Stage]:
    """Return how blades become a ring or a fan; none where there is one blade."""
    if plate.sewn < 2:
        return []
    stages = [*_raw_side(plate), _pair(plate), _measured(plate)]
    plan = joining(plate)
    if len(plan.parts[0].of) > 1 and plan.parts[0].blades > 2:
        stages.append(_groups(plate, plan.parts[0]))
    sizes = dict.fromkeys(part.blades for part in plan.parts if part.blades > 1 and plate.sewn > 2)
    stages += [_laid_down(plate, size) for size in list(sizes)[:1]]
    if is_ring(plate):
        stages.append(_last_seams(plate))
    return stages


def blades_joined(plate: Plate, count: int, *, first: int = 0, start_deg: float) -> tuple[Patch, ...]:
    """Return neighbouring blades as they lie joined, their two outer edges raw, from the right side.

    Args:
        plate: whose blades they are.
        count: how many.
        first: the place of the first of them, the one at the right, counted from 0.
        start_deg: where the sew line of its outer edge points, counter-clockwise from the x axis.
    """
    step = 2 * plate.blade.half_angle_deg
    patches = []
    for number in range(count):
        blade = plate.blade_at(first + number)
        outline = joined_blade(blade, raw_right=number == 0, raw_left=number == count - 1)
        pose = Pose(turn_deg=start_deg - 90.0 + (number + 0.5) * step)
        patches.append(Patch(placed(outline, pose), Surface.RIGHT, second=(first + number) % 2 == 1))
    return tuple(patches)


def _on_sew_line(blade: Blade, radius: float, *, side: int = 1) -> Point:
    a = blade.half_angle_rad
    return (side * radius * math.sin(a), radius * math.cos(a))


def _raw_side(plate: Plate) -> list[Stage]:
    """Of two lengths: what of a longer blade's side stays in view is turned before it is joined."""
    if plate.second is None:
        return []
    blade = plate.blade
    low, high = plate.second.valley_radius_mm, blade.valley_radius_mm
    x, y = _on_sew_line(blade, low)
    shift = (blade.seam_mm * math.cos(blade.half_angle_rad), -blade.seam_mm * math.sin(blade.half_angle_rad))
    top = blade.tip.finish.raw_top(blade)
    valley = _on_sew_line(blade, high)
    flap = ((x, y), (x + shift[0], y + shift[1]), top, valley)
    patches = [*from_the_back(blade.tip.finish, blade)]
    for side in (1, -1):
        patches.append(Patch(ring(*((side * px, py) for px, py in flap)), Surface.CUT_OFF))
    return [
        Stage(
            "Turn under the dark sides",
            "A longer blade from the back; its two sides are dark between the valley of a shorter one and "
            "its own.",
            tuple(patches),
        )
    ]


def _pair(plate: Plate) -> Stage:
    """Two blades right sides together; the one beneath shows at the edge by a hair."""
    blade, beneath = plate.blade, plate.blade_at(1)
    right = joined_blade(beneath, raw_right=True, raw_left=True)
    hair = 0.35 * blade.seam_mm
    under = Patch(placed(right, Pose(x_mm=-hair, y_mm=-hair)), Surface.RIGHT, second=True)
    _, seam = side_seams(plate.shortest)
    (low, high) = seam.vertices
    a, off = blade.half_angle_rad, 2.4 * blade.seam_mm
    from_, to = (
        (
            low.x + share * (high.x - low.x) + off * math.cos(a),
            low.y + share * (high.y - low.y) - off * math.sin(a),
        )
        for share in (0.9, 0.35)
    )
    return Stage(
        "Join two",
        "Two blades one on the other, right sides together; the seam along their right edges runs from where "
        "their finished edges meet to the narrow end.",
        (under, *from_the_back(blade.tip.finish, blade)),
        (stitched((high.x, high.y), (low.x, low.y)),),
        (line(from_, to),),
    )


def _measured(plate: Plate) -> Stage:
    """A pressed pair, measured where its outer corners are at the narrow end."""
    blade, other = plate.blade_at(0), plate.blade_at(1)
    step = 2 * blade.half_angle_deg
    patches = blades_joined(plate, 2, start_deg=90.0 - step)
    low = blade.inner_radius_mm
    right = Pose(turn_deg=-step / 2).point((blade.cut_half_width_mm(low), low))
    left = Pose(turn_deg=step / 2).point((-other.cut_half_width_mm(low), low))
    return Stage(
        "Press and measure",
        "A pair of blades from the right side, pressed, with what it measures from outer corner to outer "
        "corner of the narrow end.",
        patches,
        measures=(Measure(left, right, 0.7 * blade.seam_mm),),
    )


def _groups(plate: Plate, group: Group) -> Stage:
    """The groups of one part, drawn apart, each with its number of blades."""
    step = 2 * plate.blade.half_angle_deg
    start = 90.0 - group.blades * step / 2
    apart = _APART * plate.blade.tip_radius_mm
    patches: list[Patch] = []
    notes = []
    first = 0
    for size in group.of:
        middle = math.radians(start + (first + size / 2) * step)
        pose = Pose(apart * math.cos(middle), apart * math.sin(middle))
        blades = blades_joined(plate, size, first=first, start_deg=start + first * step)
        patches += turned(blades, pose)
        radius = (plate.blade.inner_radius_mm + plate.blade.tip_radius_mm) / 2 + apart
        notes.append(Note(str(size), (radius * math.cos(middle), radius * math.sin(middle))))
        first += size
    of = " + ".join(str(size) for size in group.of)
    what = "Groups" if max(group.of) > 2 else "Pairs"
    return Stage(
        f"{what}: {of}",
        f"A {joined_part(plate, group.blades)} of {group.blades} blades in its groups, a little apart: {of}.",
        tuple(patches),
        notes=tuple(notes),
    )


def _laid_down(plate: Plate, size: int) -> Stage:
    """A part with its outer edges along straight edges: one where it is a half, else two at its angle."""
    blade = plate.blade
    angle = 2 * size * blade.half_angle_deg
    patches = blades_joined(plate, size, start_deg=0.0)
    low, seam = blade.inner_radius_mm, blade.seam_mm
    reach = blade.tip_radius_mm
    edges = [
        line((low, -seam), (reach, -seam)),
        placed(line((-low, -seam), (-reach, -seam)), Pose(turn_deg=angle - 180.0)),
    ]
    name = joined_part(plate, size)
    is_straight = abs(angle - _STRAIGHT_DEG) < 1e-9
    if is_straight:
        edges = [line((-reach, -seam), (reach, -seam))]
    return Stage(
        f"Lay the {name} down",
        f"A {name} of {size} blades, its outer edges along "
        f"{'one straight line' if is_straight else f'two lines at {measured_degrees(angle)}'}.",
        patches,
        tuple(DrawnLine(edge, LineKind.EDGE) for edge in edges),
        notes=() if is_straight else (Note(measured_degrees(angle), _in_the_angle(plate, angle)),),
    )


def _in_the_angle(plate: Plate, angle_deg: float) -> Point:
    middle = math.radians(angle_deg / 2)
    radius = 0.35 * plate.blade.inner_radius_mm
    return (radius * math.cos(middle), radius * math.sin(middle))


def _last_seams(plate: Plate) -> Stage:
    """The two parts of a ring, a little apart, with the seams between them."""
    step = 2 * plate.blade.half_angle_deg
    apart = _APART * plate.blade.tip_radius_mm
    patches: list[Patch] = []
    marks: list[DrawnLine] = []
    first = 0
    for number, part in enumerate(joining(plate).parts):
        start = 90.0 - joining(plate).parts[0].blades * step / 2 + first * step
        middle = math.radians(start + part.blades * step / 2)
        pose = Pose(apart / 2 * math.cos(middle), apart / 2 * math.sin(middle))
        patches += turned(blades_joined(plate, part.blades, first=first, start_deg=start), pose)
        if number == 0:
            blade = plate.shortest
            ends = (blade.opening_radius_mm, blade.valley_radius_mm)
            for at in (start, start + part.blades * step):
                sewn = line(*(Pose(turn_deg=at).point((radius, 0.0)) for radius in ends))
                marks.append(DrawnLine(placed(sewn, pose), LineKind.STITCH))
        first += part.blades
    return Stage(
        "Last two seams",
        "Two parts of a ring, a little apart, with the two seams that join them.",
        tuple(patches),
        tuple(marks),
    )
