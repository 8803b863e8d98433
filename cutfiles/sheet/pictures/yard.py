"""A piece of cloth with the lines along which it is cut by hand, numbered in the order of cutting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutfiles.formats.model.numbers import number
from cutfiles.geometry.outline import Bounds
from cutfiles.nest.cutting_rules.guillotine import ThroughCut
from cutfiles.sheet.markup.colours import FAINT, INK
from cutfiles.sheet.markup.drawing import Box, canvas, frame, segment, text_width, words
from cutfiles.sheet.markup.markup import Element, svg

_MOST_WIDE_MM, _MOST_TALL_MM = 110.0, 76.0  # of paper
_EMPTY_WIDE_MM, _EMPTY_TALL_MM, _EACH_MM = 45.0, 28.0, 8.0  # few parts need no large picture: more for each
_MOST_SCALE = 0.28  # a small square needn't fill the page
_LETTER_MM, _NUMBER_MM = 4.2, 2.7
_DISC_MM = 2.3  # radius of the disc that a cut's number stands on


@dataclass(frozen=True, slots=True)
class Part:
    """A rectangle of a piece, and the letter that says in the list what it is."""

    bounds: Bounds
    letter: str


def yard_drawing(
    width_mm: float, length_mm: float, parts: Sequence[Part], cuts: Sequence[ThroughCut], *, paint: str
) -> Element:
    """Return the picture of a piece, its lower edge nearest to the reader.

    Args:
        width_mm: of the piece, crosswise.
        length_mm: lengthwise.
        parts: what is cut from it.
        cuts: in their order; each gets its number at its left or its lower end.
        paint: what the cloth is filled with.
    """
    wide_mm = min(_MOST_WIDE_MM, _EMPTY_WIDE_MM + _EACH_MM * len(parts))
    tall_mm = min(_MOST_TALL_MM, _EMPTY_TALL_MM + _EACH_MM * len(parts))
    scale = min(_MOST_SCALE, wide_mm / width_mm, tall_mm / length_mm)

    def box_of(bounds: Bounds) -> Box:
        left, low, right, high = (side * scale for side in bounds)
        return Box(left, length_mm * scale - high, right, length_mm * scale - low)

    line = {"stroke": INK, "stroke_width": "0.35"}
    cloth = box_of((0.0, 0.0, width_mm, length_mm))
    # What is left over is pale: parts are in the fabric's own colour.
    drawn = [frame(cloth, fill="#ffffff", stroke=FAINT, stroke_width="0.25", stroke_dasharray="1.2 0.8")]
    drawn += [frame(box_of(part.bounds), fill=paint, stroke=INK, stroke_width="0.2") for part in parts]
    drawn += [_lettered(part.letter, box_of(part.bounds)) for part in parts]
    discs: list[Element] = []
    taken: list[Box] = []
    for place, cut in enumerate(cuts, start=1):
        if cut.is_across:
            y = (length_mm - cut.at_mm) * scale
            ends = (cut.begin_mm * scale, y, cut.end_mm * scale, y)
            spot = (ends[0] - _DISC_MM - 0.6 if cut.begin_mm <= 0 else ends[0], y)
        else:
            x = cut.at_mm * scale
            ends = (x, (length_mm - cut.begin_mm) * scale, x, (length_mm - cut.end_mm) * scale)
            spot = (x, ends[1] + _DISC_MM + 0.6 if cut.begin_mm <= 0 else ends[1] - _DISC_MM - 0.4)
        drawn.append(segment(ends[0], ends[1], ends[2], ends[3], **line))
        disc = _clear(spot, taken, down=cut.is_across)
        taken.append(disc)
        discs += _numbered(str(place), disc)
    low = min([cloth.left - 0.4, *(disc.left - 0.2 for disc in taken)])
    bottom = max([cloth.bottom + 0.4, *(disc.bottom + 0.2 for disc in taken)])
    top = min([cloth.top - 0.4, *(disc.top - 0.2 for disc in taken)])
    right = max([cloth.right + 0.4, *(disc.right + 0.2 for disc in taken)])
    view = Box(low, top, right, bottom)
    size = {"width": f"{number(view.right - view.left)}mm", "height": f"{number(view.bottom - view.top)}mm"}
    title = "A piece of cloth with its cuts, numbered in their order"
    return canvas(view, title, *drawn, *discs, **size)


def _lettered(letter: str, box: Box) -> Element:
    size = min(_LETTER_MM, 0.8 * (box.bottom - box.top), 0.8 * (box.right - box.left))
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2 + 0.36 * size
    return words(letter, x, y, size=size, anchor="middle")


def _clear(spot: tuple[float, float], taken: Sequence[Box], *, down: bool) -> Box:
    """A disc's square at a spot, moved along until it meets no other."""
    x, y = spot
    while True:
        box = Box(x - _DISC_MM, y - _DISC_MM, x + _DISC_MM, y + _DISC_MM)
        if not any(box.meets(other) for other in taken):
            return box
        # Away from the cloth: along it, it would leave its own line.
        x, y = (x - 0.5, y) if down else (x, y + 0.5)


def _numbered(text: str, box: Box) -> list[Element]:
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    size = min(_NUMBER_MM, 1.7 * _DISC_MM * _NUMBER_MM / text_width(text, _NUMBER_MM))
    disc = {"cx": number(x), "cy": number(y), "r": number(_DISC_MM)}
    circle = svg("circle", **disc, fill="#ffffff", stroke=INK, stroke_width="0.25")
    return [circle, words(text, x, y + 0.36 * size, size=size, anchor="middle")]
