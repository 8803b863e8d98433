"""A plate in its own fabrics: each blade in its fabric's colour, with its fabric's letter and its place."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutfiles.formats.model.numbers import number
from cutfiles.geometry.outline import bounds
from cutfiles.geometry.pose import placed
from cutfiles.plate.finished import finished_blades, finished_centre, sewing_turns_deg
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.colours import INK
from cutfiles.sheet.markup.drawing import Box, canvas, drawn, text_width, words
from cutfiles.sheet.markup.markup import Element, svg
from cutfiles.sheet.pictures.cloth import Fill, filled

ACROSS = 240.0  # between the tips of a whole plate, in the picture's own units
_LARGEST, _SMALLEST = 12.0, 4.0  # of letters


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """How a fabric is told from others: by its letter where there is no colour."""

    letter: str
    paint: str


def key_letter(index: int) -> str:
    """Return the letter of a fabric in the key, counted from 0: small, as capitals are those of a mat load.

    >>> key_letter(0), key_letter(25), key_letter(26)
    ('a', 'z', 'a2')
    """
    again, rest = divmod(index, 26)
    return chr(ord("a") + rest) + (str(again + 1) if again else "")


def order_drawing(
    plate: Plate, order: Sequence[str], fills: Sequence[Fill], shown: Mapping[str, KeyEntry], title: str
) -> Element:
    """Return the picture of one plate, seen from its right side.

    Args:
        plate: what is sewn.
        order: the fabric of each of its blades, or of each band of each, in the order of sewing.
        fills: what each of them is filled with, in its own frame.
        shown: how each fabric is told from others.
        title: is read out instead of the picture.
    """
    blade, scale = plate.blade, ACROSS / (2 * plate.blade.tip_radius_mm)
    turns = sewing_turns_deg(plate)
    line = {"stroke": INK, "stroke_width": number(0.9 / scale), "stroke_linejoin": "round"}
    blades = finished_blades(plate)
    parts = [
        filled(outline, pose, fill, data_fabric=fabric, **line)
        for (outline, pose), fill, fabric in zip(blades, fills, order, strict=True)
    ]
    hole = plate.centre.finished_radius_mm if plate.centre else blade.opening_radius_mm
    if plate.centre:
        parts.append(drawn(finished_centre(plate), fill="#ffffff", **line))
    inside = (max(hole, blade.inner_radius_mm) + plate.shortest.tip_base_mm) / 2 * scale
    beyond = blade.tip_radius_mm * scale
    widest = max(text_width(shown[fabric].letter, 1.0) for fabric in order)
    room = 1.6 * inside * math.tan(blade.half_angle_rad)
    size = min(_LARGEST, max(_SMALLEST, room / widest))
    texts = []
    pieces = max(1, len(plate.bands))
    levels = [(max(hole, band.low_mm) + band.high_mm) / 2 * scale for band in plate.bands] or [inside]
    for place, turn in enumerate(turns, start=1):
        for fabric, level in zip(order[(place - 1) * pieces : place * pieces], levels, strict=True):
            # A white rim keeps a letter legible on a dark fabric.
            rim = {"stroke": "#ffffff", "stroke_width": number(0.22 * size), "paint_order": "stroke"}
            x, y = _spot(level, turn)
            texts.append(words(shown[fabric].letter, x, y + 0.35 * size, size=size, anchor="middle", **rim))
        x, y = _spot(beyond + 0.9 * size, turn)
        texts.append(words(f"{place}", x, y + 0.3 * size, size=0.8 * size, anchor="middle"))
    boxes = [bounds(placed(*blade)) for blade in blades]
    edge = 2.0 * size
    box = Box(
        min(0.0, *(box[0] for box in boxes)) * scale - edge,
        -max(box[3] for box in boxes) * scale - edge,
        max(box[2] for box in boxes) * scale + edge,
        -min(0.0, *(box[1] for box in boxes)) * scale + edge,
    )
    flip = f"scale({number(scale)} -{number(scale)})"
    return canvas(box, title, svg("g", *parts, transform=flip, fill="none"), *texts)


def _spot(radius: float, turn_deg: float) -> tuple[float, float]:
    """Where a blade's centre line meets a circle, y down."""
    turn = math.radians(turn_deg)
    return (-radius * math.sin(turn), -radius * math.cos(turn))
