"""The block put together: the plate on its creased background, what is trimmed at last."""

from __future__ import annotations

from cutfiles.geometry.outline import Bounds, Path, line, ring
from cutfiles.geometry.pose import placed
from cutfiles.job.model.job import Setting
from cutfiles.pieces.plate_shapes import guides
from cutfiles.plate.finished import finished_blades, finished_centre, is_ring
from cutfiles.plate.plate import Background, Plate
from cutfiles.tips.stage import DrawnLine, LineKind, Patch, Stage, Surface


def placing_stages(plate: Plate, *, guided: bool) -> list[Stage]:
    """Return how the block is put together.

    Args:
        plate: with or without background.
        guided: whether lines to lay the plate by are drawn on the background.
    """
    stages = []
    if plate.background:
        if guided and guides(plate):
            stages.append(_guides(plate, plate.background))
        stages.append(_on_creases(plate, plate.background))
    if plate.background and plate.background.trim_mm:
        stages.append(_trimmed(plate, plate.background))
    return stages


def _rectangle(box: Bounds) -> Path:
    left, low, right, high = box
    return ring((left, low), (right, low), (right, high), (left, high))


def _blades(plate: Plate) -> tuple[Patch, ...]:
    pieces = max(1, len(plate.bands))
    return tuple(
        Patch(placed(*blade), Surface.RIGHT, second=(number // pieces + number % pieces) % 2 == 1)
        for number, blade in enumerate(finished_blades(plate))
    )


def _creases(plate: Plate, background: Background) -> tuple[DrawnLine, ...]:
    """A square's two middle lines; on an edge the one that the fan's middle lies on; in a corner none."""
    left, low, right, high = background.cut
    upright = DrawnLine(line((0.0, low), (0.0, high)), LineKind.FOLD)
    if plate.setting is Setting.CORNER:
        return ()
    if plate.setting is Setting.EDGE:
        return (upright,)
    return (upright, DrawnLine(line((left, 0.0), (right, 0.0)), LineKind.FOLD))


def _guides(plate: Plate, background: Background) -> Stage:
    creased = "" if plate.setting is Setting.CORNER else " and creases"
    return Stage(
        f"Guides{creased}",
        f"The background from the right side with its guides{creased}; all of them will lie under the "
        f"{'plate' if is_ring(plate) else 'fan'}.",
        (Patch(_rectangle(background.cut), Surface.BENEATH),),
        (*(DrawnLine(path, LineKind.HIDDEN) for path in guides(plate)), *_creases(plate, background)),
    )


def _on_creases(plate: Plate, background: Background) -> Stage:
    what = "plate" if is_ring(plate) else "fan"
    where = {
        Setting.CENTRE: "on the creases",
        Setting.EDGE: "on its edge",
        Setting.CORNER: "in its corner",
    }[plate.setting]
    return Stage(
        f"The {what} {where}",
        f"The {what} on the background's right side, {where}.",
        (Patch(_rectangle(background.cut), Surface.BENEATH), *_blades(plate)),
        _creases(plate, background),
    )


def _trimmed(plate: Plate, background: Background) -> Stage:
    """What is cut off once all is sewn: all round, of a fan only away from it."""
    left, low, right, high = background.cut
    trim = background.trim_mm
    inner = (left + trim / 2, low + trim / 2, right - trim / 2, high - trim / 2)
    if plate.setting is Setting.CORNER:
        inner = (left, low, right - trim, high - trim)
    if plate.setting is Setting.EDGE:
        inner = (left + trim / 2, low, right - trim / 2, high - trim)
    strips = (
        (left, low, inner[0], high),
        (inner[2], low, right, high),
        (inner[0], low, inner[2], inner[1]),
        (inner[0], inner[3], inner[2], high),
    )
    off = (Patch(_rectangle(box), Surface.CUT_OFF) for box in strips if box[2] > box[0] and box[3] > box[1])
    centre = (Patch(finished_centre(plate), Surface.BENEATH),) if plate.centre else ()
    return Stage(
        "Trim",
        "The finished block; what is trimmed off is dark.",
        (Patch(_rectangle(background.cut), Surface.BENEATH), *_blades(plate), *centre, *off),
    )
