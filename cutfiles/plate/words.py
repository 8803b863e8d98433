"""Sizes and parts of a plate in words, as terminal, sheet and pictures say them."""

from __future__ import annotations

from cutfiles.core.units import Unit, shown, sides_shown
from cutfiles.core.words import counted
from cutfiles.job.model.job import Setting
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Background, Plate
from cutfiles.plate.quilt import Quilt


def cut_size(background: Background, unit: Unit) -> str:
    """Return its size as it is cut, such as "13 in square" or "13 × 6 3/4 in"."""
    return _size(background.cut_width_mm, background.cut_height_mm, unit)


def trimmed_size(background: Background, unit: Unit) -> str:
    """Return its size once it is squared up."""
    return _size(*background.trimmed_mm, unit)


def part_of_centre(plate: Plate, unit: Unit) -> str:
    """Return the least rectangle that a quarter or half centre is cut from; a seam lies along its edges.

    Raises:
        ValueError: the plate has no centre.
    """
    if plate.centre is None:
        raise ValueError("the plate has no centre")
    radius, seam = plate.centre.cut_radius_mm, plate.blade.seam_mm
    across = radius + seam if plate.setting is Setting.CORNER else 2 * radius
    return _size(across, radius + seam, unit)


def joined_part(plate: Plate, blades: int) -> str:
    """Return what so many blades, sewn together, are called: a fan, half a ring or a part of it."""
    if not is_ring(plate):
        return "fan"
    return "half" if 2 * blades == plate.sewn else "part"


def quilt_lines(quilt: Quilt, unit: Unit) -> list[str]:
    """Return what a quilt measures, its binding and its backing, a line each."""
    spec = quilt.spec
    lines = [
        f"{_size(quilt.width_mm, quilt.height_mm, unit)}, finished: "
        f"{counted(spec.columns, 'block')} across and {spec.rows} down"
    ]
    if quilt.binding_strips:
        many = counted(quilt.binding_strips, "strip")
        wide, cloth = shown(spec.binding_mm, unit), shown(spec.strip_mm, unit)
        lines.append(f"binding: {many} {wide} wide, across cloth of {cloth}")
    if quilt.backing:
        panels = quilt.backing
        line = f"backing: {_size(*quilt.backing_mm, unit)}, {shown(spec.backing_mm, unit)} more all round"
        if panels.count > 1:
            panel = sides_shown(panels.width_mm, panels.length_mm, unit)
            line += f"; joined of {panels.count} panels of {panel}, across the cloth × along it"
        lines.append(line)
    return lines


def _size(width_mm: float, height_mm: float, unit: Unit) -> str:
    if shown(width_mm, unit) == shown(height_mm, unit):
        return f"{shown(width_mm, unit)} square"
    return sides_shown(width_mm, height_mm, unit)
