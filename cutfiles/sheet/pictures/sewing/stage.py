"""A stage of sewing as a small picture: right sides dark, wrong sides white, seams and folds dashed."""

from __future__ import annotations

import math

from cutfiles.core.units import Unit, shown
from cutfiles.formats.model.numbers import number
from cutfiles.geometry.outline import Bounds, Path, Point, arc_of, bounds
from cutfiles.sheet.markup.colours import FABRICS, FAINT, GROUND, INK
from cutfiles.sheet.markup.drawing import Box, canvas, drawn, segment, text_width, words
from cutfiles.sheet.markup.markup import Element, svg
from cutfiles.tips.stage import DrawnLine, LineKind, Measure, Patch, Stage, Surface

TALL_MM, WIDE_MM = 34.0, 34.0  # of paper, what a stage may take
EDGE_MM = 1.2
TEXT_MM = 2.7
_BACK = "#ffffff"  # of cloth; bare paper, so that it shows in black and white
_FILLS = {
    Surface.WRONG: _BACK,
    Surface.BENEATH: GROUND,
    Surface.CARD: "#cfcfcf",
    Surface.CUT_OFF: "#4a4a4a",
}
_SECOND = FABRICS[1]
# Widths and dashes in mm of paper.
_STROKES = {
    LineKind.STITCH: (INK, 0.55, (1.1, 0.7)),
    LineKind.FOLD: (INK, 0.25, (2.4, 0.6, 0.4, 0.6)),
    LineKind.HIDDEN: (FAINT, 0.25, (0.35, 0.6)),
    LineKind.EDGE: (INK, 0.8, ()),
    LineKind.CREASE: (INK, 0.2, ()),
}


def stage_drawing(stage: Stage, unit: Unit) -> Element:
    """Return the picture of a stage, in mm of paper.

    Args:
        stage: what is seen, mm about the plate centre.
        unit: what its measures are written in.
    """
    view = _StageView(stage, unit)
    parts = [_patch(patch, view) for patch in stage.patches]
    parts += [_mark(mark, view) for mark in stage.marks]
    flip = f"translate({number(view.at((0, 0))[0])} {number(view.at((0, 0))[1])})"
    group = svg(
        "g", *parts, transform=f"{flip} scale({number(view.scale)} -{number(view.scale)})", fill="none"
    )
    on_top = [element for arrow in stage.arrows for element in _arrow(arrow, view)]
    on_top += [element for measure in stage.measures for element in _measure(measure, view, unit)]
    on_top += [_text(note.text, view.at(note.at), view, lower=0.35) for note in stage.notes]
    box = Box(0.0, 0.0, view.width, view.height)
    size = {"width": f"{number(view.width)}mm", "height": f"{number(view.height)}mm"}
    return canvas(box, stage.seen, group, *on_top, **size)


class _StageView:
    """How mm about the plate centre, y up, become mm of paper, y down; room for the measures' words."""

    __slots__ = ("height", "high", "left", "margin", "scale", "top", "width")

    def __init__(self, stage: Stage, unit: Unit) -> None:
        left, low, right, high = stage.shows or _extent(stage)
        wide, tall = WIDE_MM - 2 * EDGE_MM, TALL_MM - 2 * EDGE_MM
        texts = [shown(math.dist(measure.start, measure.end), unit) for measure in stage.measures]
        least = max((text_width(text, TEXT_MM) for text in texts), default=0.0)
        self.scale = min(wide / (right - left), tall / (high - low))
        self.left, self.high = left, high
        drawn_wide = (right - left) * self.scale
        self.width = max(drawn_wide, least) + 2 * EDGE_MM
        self.height = (high - low) * self.scale + 2 * EDGE_MM
        self.margin = (self.width - drawn_wide) / 2
        self.top = EDGE_MM

    def at(self, point: Point) -> Point:
        x, y = point
        return (self.margin + (x - self.left) * self.scale, self.top + (self.high - y) * self.scale)

    def mm(self, paper_mm: float) -> float:
        """Return a length of paper in mm of the plate."""
        return paper_mm / self.scale


def _extent(stage: Stage) -> Bounds:
    """The box of all that is drawn; a measure's words stand beside its line."""
    boxes = [bounds(patch.outline) for patch in stage.patches]
    boxes += [bounds(mark.path) for mark in stage.marks]
    boxes += [bounds(arrow) for arrow in stage.arrows]
    for measure in stage.measures:
        boxes += [(*end, *end) for end in _ends(measure)]
    left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, high = max(box[2] for box in boxes), max(box[3] for box in boxes)
    # Words below the lowest line of a measure would be cut off without a row of their own.
    row = 0.12 * max(right - left, high - low) if stage.measures else 0.0
    return (left, low - row, right, high)


def _patch(patch: Patch, view: _StageView) -> Element:
    fill = _FILLS.get(patch.side, FABRICS[0])
    if patch.second and patch.side is Surface.RIGHT:
        fill = _SECOND
    line = {"stroke": INK, "stroke_width": number(view.mm(0.3)), "stroke_linejoin": "round"}
    return drawn(patch.outline, fill=fill, data_side=patch.side.value, **line)


def _mark(mark: DrawnLine, view: _StageView) -> Element:
    colour, width, dashes = _STROKES[mark.stroke]
    style = {"stroke": colour, "stroke_width": number(view.mm(width)), "data_stroke": mark.stroke.value}
    if dashes:
        style["stroke_dasharray"] = " ".join(number(view.mm(dash)) for dash in dashes)
    return drawn(mark.path, **style)


def _arrow(path: Path, view: _StageView) -> list[Element]:
    """A line with a head at its end, in mm of paper."""
    start, end = path.vertices[-2], path.vertices[-1]
    if start.bulge:
        arc = arc_of(start, (end.x, end.y))
        heading = math.radians(arc.start_deg + arc.sweep_deg + math.copysign(90.0, arc.sweep_deg))
    else:
        heading = math.atan2(end.y - start.y, end.x - start.x)
    x, y = view.at((end.x, end.y))
    head, half = 2.2, 0.8
    cos, sin = math.cos(heading), -math.sin(heading)
    back = (x - head * cos, y - head * sin)
    corners = [
        (x, y),
        (back[0] - half * sin, back[1] + half * cos),
        (back[0] + half * sin, back[1] - half * cos),
    ]
    point = "M" + "L".join(f"{number(px)} {number(py)}" for px, py in corners) + "Z"
    x0, y0 = view.at((0.0, 0.0))
    scale = number(view.scale)
    line = {"stroke": INK, "stroke_width": number(view.mm(0.4)), "fill": "none"}
    shaft = drawn(path, transform=f"translate({number(x0)} {number(y0)}) scale({scale} -{scale})", **line)
    return [shaft, svg("path", d=point, fill=INK)]


def _ends(measure: Measure) -> tuple[Point, Point]:
    """The ends of its line, beside what it measures."""
    (x1, y1), (x2, y2) = measure.start, measure.end
    length = math.dist(measure.start, measure.end)
    right = ((y2 - y1) / length, -(x2 - x1) / length)
    off = measure.offset_mm
    return (x1 + off * right[0], y1 + off * right[1]), (x2 + off * right[0], y2 + off * right[1])


def _measure(measure: Measure, view: _StageView, unit: Unit) -> list[Element]:
    """A line between two points with a tick at each end, and its length."""
    ends = [view.at(end) for end in _ends(measure)]
    (x1, y1), (x2, y2) = ends
    length = max(math.dist(*ends), 1e-6)
    across = ((y2 - y1) / length * 0.9, -(x2 - x1) / length * 0.9)
    ink = {"stroke": INK, "stroke_width": "0.3"}
    parts = [segment(x1, y1, x2, y2, **ink)]
    parts += [segment(x - across[0], y - across[1], x + across[0], y + across[1], **ink) for x, y in ends]
    text = shown(math.dist(measure.start, measure.end), unit)
    is_level = abs(x2 - x1) >= abs(y2 - y1)
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    if is_level:
        return [*parts, _text(text, middle, view, lower=1.25)]
    half = text_width(text, TEXT_MM) / 2 + 1.0
    # To the right of it, unless the picture ends there.
    beside = middle[0] + half if middle[0] + 2 * half <= view.width + 1.0 else middle[0] - half
    return [*parts, _text(text, (beside, middle[1]), view, lower=0.35)]


def _text(text: str, at: Point, view: _StageView, *, lower: float) -> Element:
    """Words about a point, kept inside the picture; a white rim keeps them legible on cloth."""
    half = text_width(text, TEXT_MM) / 2
    x = min(max(at[0], half + 0.3), view.width - half - 0.3)
    y = min(at[1] + lower * TEXT_MM, view.height - 0.25 * TEXT_MM)
    rim = {"stroke": "#ffffff", "stroke_width": "0.8", "paint_order": "stroke"}
    return words(text, x, y, size=TEXT_MM, anchor="middle", **rim)
