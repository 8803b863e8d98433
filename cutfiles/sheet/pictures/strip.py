"""A strip of cloth as it lies across before you, with the marks along both its edges and the cuts between."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from cutfiles.core.units import MM_PER_INCH, Unit, fraction_in, shown
from cutfiles.formats.model.numbers import number
from cutfiles.nest.base.layout import Lie, Strip
from cutfiles.sheet.markup.colours import FAINT, INK
from cutfiles.sheet.markup.drawing import Box, canvas, frame, segment, text_width, words
from cutfiles.sheet.markup.markup import Element, svg

_MOST_WIDE_MM, _MOST_TALL_MM = 176.0, 34.0  # of paper
_FONT_MM = 2.7
_TICK_MM = 1.6
_LEAST_APART_MM = 3.4  # labels nearer than that stand upright


def strip_drawing(strip: Strip, unit: Unit, *, paint: str) -> Element:
    """Return the picture of a strip: pieces in colour, waste pale, each mark with its measure."""
    long = strip.length_mm if strip.is_lengthwise else strip.width_mm
    high = strip.height_mm
    scale = min(_MOST_WIDE_MM / long, _MOST_TALL_MM / high)
    wide, tall = long * scale, high * scale
    line = {"stroke": INK, "stroke_width": "0.3"}
    cuts = list(zip(strip.top_mm, strip.bottom_mm, strict=True))
    pieces = list(pairwise(cuts))
    if strip.lie is Lie.ONE_WAY:
        pieces = pieces[::2]
    drawn = [frame(Box(0.0, 0.0, wide, tall), fill="#ffffff", stroke=FAINT, stroke_width="0.25")]
    for first, second in pieces:
        corners = [(first[0], 0.0), (second[0], 0.0), (second[1], high), (first[1], high)]
        points = " ".join(f"{number(x * scale)},{number(y * scale)}" for x, y in corners)
        drawn.append(svg("polygon", points=points, fill=paint, stroke=INK, stroke_width="0.2"))
    drawn += [segment(top * scale, 0.0, bottom * scale, tall, **line) for top, bottom in cuts]
    marks = [
        (_once(strip.top_mm), 0.0, -1.0),
        (_once(strip.bottom_mm), tall, 1.0),
    ]
    edge = 0.0
    for places, y, way in marks:
        labels, far = _labels([(at * scale, _measure(at, unit)) for at in places], y, way)
        drawn += [segment(at * scale, y, at * scale, y + way * _TICK_MM, **line) for at in places]
        drawn += labels
        edge = max(edge, far)
    view = Box(-6.0, -edge, wide + 6.0, tall + edge)
    size = {"width": f"{number(view.right - view.left)}mm", "height": f"{number(view.bottom - view.top)}mm"}
    title = f"A strip with {strip.count} of {strip.shape}, {strip.lie.value}, and its marks"
    return canvas(view, title, *drawn, **size)


def _once(marks: Sequence[float]) -> list[float]:
    """Marks, each place once."""
    return sorted({round(mark, 6) for mark in marks})


def _measure(mm: float, unit: Unit) -> str:
    """A mark as a ruler has it, without its unit: to 1/16 in, or half a mm."""
    if unit is Unit.IN:
        return fraction_in(mm)
    return shown(round(mm * 2) / 2, unit).removesuffix(f" {unit.value}")


def rule_error(unit: Unit) -> str:
    """Return how far a mark in the picture may be off where it is rounded, for a person."""
    return f"1/32 in ({MM_PER_INCH / 32:.1f} mm)" if unit is Unit.IN else "1/4 mm"


def _labels(places: Sequence[tuple[float, str]], y: float, way: float) -> tuple[list[Element], float]:
    """The measures beside an edge, upright where they stand too near, and how far out they reach."""
    apart = min((second[0] - first[0] for first, second in pairwise(places)), default=99.0)
    widest = max(text_width(text, _FONT_MM) for _, text in places)
    if apart > widest + 1.0:
        out = y + way * (_TICK_MM + 0.8) + (0.72 * _FONT_MM if way > 0 else 0.0)
        found = [words(text, x, out, size=_FONT_MM, anchor="middle") for x, text in places]
        return found, _TICK_MM + _FONT_MM + 1.6
    size = min(_FONT_MM, 0.8 * max(apart, _LEAST_APART_MM / 2))
    labels = []
    for x, text in places:
        foot = y + way * (_TICK_MM + 0.6)
        anchor = "start" if way < 0 else "end"
        turn = f"rotate(-90 {number(x + 0.36 * size)} {number(foot)})"
        labels.append(words(text, x + 0.36 * size, foot, size=size, anchor=anchor, transform=turn))
    return labels, _TICK_MM + 1.0 + widest
