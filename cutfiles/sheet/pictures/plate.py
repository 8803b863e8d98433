"""The finished plate as a picture with its sizes. For people: no machine file, so text is fine."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from lxml import etree

from cutfiles.core.units import Unit, shown
from cutfiles.formats.model.numbers import number
from cutfiles.geometry.outline import Circle, Path, Point, Vertex, bounds, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import CentreKind, Setting
from cutfiles.plate.finished import (
    around,
    blade_turns_deg,
    finished_blades,
    finished_centre,
    is_ring,
    seam_angles_deg,
)
from cutfiles.plate.plate import Plate
from cutfiles.plate.words import cut_size
from cutfiles.sheet.markup.colours import CENTRE, FAINT, GROUND, INK, blade_colours
from cutfiles.sheet.markup.drawing import Box, canvas, drawn, frame, segment, text_width, words
from cutfiles.sheet.markup.leaders import Column, Label, leaders, set_out
from cutfiles.sheet.markup.markup import Element, svg
from cutfiles.sheet.markup.words import ruled
from cutfiles.sheet.pictures.cloth import Fill, filled

ACROSS = 280.0  # the plate's longer side, in the picture's own units
FONT_SIZE = 13.0
EDGE = 14.0  # left white all round
_FOLDS = 16  # drawn of a yo-yo
ROW = 32.0  # a dimension line below the picture, with its words


class Sizes(Enum):
    """Which sizes stand in a picture of a plate."""

    ALL = "all"
    ACROSS = "across"  # those below it alone
    NONE = "none"


@dataclass(frozen=True, slots=True)
class PlateFills:
    """What a plate's fabrics look like; empty where nobody knows."""

    blades: tuple[Fill, ...] = ()  # in the order of sewing
    centre: Fill | None = None
    background: Fill | None = None


def plate_picture(plate: Plate, unit: Unit) -> str:
    """Return the plate as a standalone SVG: blades, centre, background, and what they measure.

    Args:
        plate: a ring or a fan, of 3 blades or more.
        unit: what the sizes are written in.
    """
    return etree.tostring(plate_drawing(plate, unit), encoding="unicode") + "\n"


def plate_drawing(
    plate: Plate, unit: Unit, fills: PlateFills | None = None, *, sizes: Sizes = Sizes.ALL
) -> Element:
    """Return the same picture as an element, to be set into a page.

    Without the fabrics' looks, blades are coloured only to tell neighbours apart.
    """
    view = _View.around(plate)
    dimensions = [] if sizes is Sizes.NONE else _dimensions(plate, unit, view)
    foot = view.down(view.low) + EDGE + ROW * len(dimensions)
    column = Column(view.right + 22.0, EDGE, view.down(view.low), FONT_SIZE)
    labels = set_out(_labels(plate, unit, view), column) if sizes is Sizes.ALL else ()
    columns = [column.left + text_width(label.text, FONT_SIZE) for label, _ in labels]
    spans = [
        (view.across((low + high) / 2), text_width(text, FONT_SIZE) / 2) for text, (low, high) in dimensions
    ]
    left = min(0.0, *(middle - half - EDGE for middle, half in spans)) if spans else 0.0
    right = max([view.right, *columns, *(middle + half for middle, half in spans)]) + EDGE
    box = Box(left, 0.0, right, foot)
    cloth = _cloth(plate, view, fills or PlateFills())
    if sizes is Sizes.ALL:
        cloth.append(drawn(_angle_arc(plate), stroke=INK, stroke_width=view.line_width(1.6)))
    parts = [frame(box, fill="#ffffff"), view.group(*cloth)]
    for index, (text, span) in enumerate(dimensions):
        parts += _dimension(text, span, view, view.down(view.low) + EDGE + ROW * index)
    title = f"The finished {'plate' if is_ring(plate) else 'fan'} of {plate.sewn} blades with its sizes"
    size = {"width": number(box.right - box.left), "height": number(box.bottom - box.top)}
    return canvas(box, title, *parts, *leaders(labels, column), **size)


class _View:
    """How mm about the plate centre, y up, become the picture's units, y down."""

    __slots__ = ("high", "left", "low", "right", "scale")

    def __init__(self, left: float, low: float, width: float, height: float) -> None:
        self.scale = ACROSS / max(width, height)
        self.left, self.low, self.high = left, low, low + height
        self.right = self.across(left + width)

    @classmethod
    def around(cls, plate: Plate) -> _View:
        """Return the view that holds everything of a plate."""
        boxes = [bounds(placed(*blade)) for blade in finished_blades(plate)]
        boxes.append((0.0, 0.0, 0.0, 0.0))
        if is_ring(plate):
            reach = max(plate.blade.tip_radius_mm, plate.blade.valley_radius_mm)
            boxes.append((-reach, -reach, reach, reach))
        if plate.centre:
            boxes.append(bounds(finished_centre(plate)))
        if plate.background:
            boxes.append(plate.background.cut)
        left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
        right, high = max(box[2] for box in boxes), max(box[3] for box in boxes)
        return cls(left, low, right - left, high - low)

    def across(self, x_mm: float) -> float:
        return EDGE + (x_mm - self.left) * self.scale

    def down(self, y_mm: float) -> float:
        return EDGE + (self.high - y_mm) * self.scale

    def polar(self, radius_mm: float, angle_deg: float) -> Point:
        angle = math.radians(angle_deg)
        return (self.across(radius_mm * math.cos(angle)), self.down(radius_mm * math.sin(angle)))

    def line_width(self, width: float) -> str:
        """Return a line's width in mm."""
        return number(width / self.scale)

    def group(self, *content: Element) -> Element:
        scale = number(self.scale)
        x, y = number(self.across(0.0)), number(self.down(0.0))
        return svg("g", *content, transform=f"translate({x} {y}) scale({scale} -{scale})", fill="none")


def _cloth(plate: Plate, view: _View, fills: PlateFills) -> list[Element]:
    """Everything sewn, from the bottom up, and the hidden circles."""
    blade, parts = plate.blade, []
    if plate.background:
        left, low, right, high = plate.background.cut
        whole = ring((left, low), (right, low), (right, high), (left, high))
        ground, opacity = _ground(fills)
        parts.append(
            filled(whole, Pose(), ground, stroke=FAINT, **opacity, stroke_width=view.line_width(1.0))
        )
        left, low, right, high = plate.background.finished
        seams = ring((left, low), (right, low), (right, high), (left, high))
        parts.append(drawn(seams, stroke=FAINT, stroke_width=view.line_width(0.8), **_dashes(view, 5, 4)))
    told_apart = blade_colours(plate.sewn, closed=is_ring(plate))
    # Of a pieced blade each band takes its neighbour's colour.
    pieces = max(1, len(plate.bands))
    apart = [told_apart[(place + band) % plate.sewn] for place in range(plate.sewn) for band in range(pieces)]
    of_blades = fills.blades or tuple(Fill(colour) for colour in apart)
    line = {"stroke": INK, "stroke_width": view.line_width(1.1), "stroke_linejoin": "round"}
    for (outline, pose), fill in zip(finished_blades(plate), of_blades, strict=True):
        parts.append(filled(outline, pose, fill, **{"class": "blade"}, **line))
    hidden = {"stroke": INK, "stroke_width": view.line_width(0.8), **_dashes(view, 4, 3)}
    if plate.sewn > 1:
        parts.append(drawn(around(plate, plate.shortest.valley_radius_mm), **hidden))
    if plate.centre:
        rim = {"stroke": INK, "stroke_width": view.line_width(1.4)}
        parts.append(filled(finished_centre(plate), Pose(), fills.centre or Fill(CENTRE), **rim))
        if plate.centre.kind is CentreKind.YO_YO:
            parts += _gathers(plate.centre.finished_radius_mm, view)
    else:
        arm = 5 / view.scale
        cross = {"stroke": INK, "stroke_width": view.line_width(1.0)}
        parts += [segment(-arm, 0.0, arm, 0.0, **cross), segment(0.0, -arm, 0.0, arm, **cross)]
    if blade.opening_radius_mm > 0:
        parts.append(drawn(around(plate, blade.opening_radius_mm), **hidden))
    return parts


def _gathers(radius: float, view: _View) -> list[Element]:
    """What is seen of a yo-yo: the small hole where it is drawn up, and its folds."""
    hole, line = 0.14 * radius, {"stroke": INK, "stroke_width": view.line_width(0.8)}
    parts: list[Element] = [drawn(Circle(0.0, 0.0, hole), fill=INK, **line)]
    for fold in range(_FOLDS):
        angle = 2 * math.pi * fold / _FOLDS
        far = radius * (0.62 if fold % 2 else 0.8)
        x, y = math.cos(angle), math.sin(angle)
        parts.append(segment(hole * x, hole * y, far * x, far * y, **line))
    return parts


def _ground(fills: PlateFills) -> tuple[Fill, dict[str, str]]:
    """The background's fill: its fabric as pale as on the mat, so that the plate stands out."""
    if fills.background is None:
        return Fill(GROUND), {}
    return fills.background, {"fill_opacity": "0.35" if fills.background.lies is None else "0.55"}


def _dashes(view: _View, on: float, off: float) -> dict[str, str]:
    return {"stroke_dasharray": f"{view.line_width(on)} {view.line_width(off)}"}


def _angle_radius(plate: Plate) -> float:
    """Where the blade's angle is marked: halfway up what is seen of it."""
    hidden = plate.centre.finished_radius_mm if plate.centre else 0.0
    foot = max(hidden, plate.blade.opening_radius_mm)
    base = plate.shortest.tip_base_mm
    return (min(foot, base) + base) / 2


def _angle_blade(plate: Plate) -> float:
    """The direction of the blade on which the angle is marked."""
    return _nearest([90.0 + turn for turn in blade_turns_deg(plate)], 38.0)


def _angle_arc(plate: Plate) -> Path:
    half, radius = plate.blade.half_angle_rad, _angle_radius(plate)
    x, y = radius * math.sin(half), radius * math.cos(half)
    arc = Path((Vertex(x, y, math.tan(half / 2)), Vertex(-x, y)), closed=False)
    return placed(arc, Pose(turn_deg=_angle_blade(plate) - 90.0))


def _nearest(angles: list[float], wanted: float) -> float:
    return min(angles, key=lambda angle: (round(abs((angle - wanted + 180.0) % 360.0 - 180.0), 6), angle))


def _labels(plate: Plate, unit: Unit, view: _View) -> tuple[Label, ...]:
    blade = plate.blade
    seams, turns = list(seam_angles_deg(plate)), [90.0 + turn for turn in blade_turns_deg(plate)]
    angle = f"{2 * blade.half_angle_deg:.2f}".rstrip("0").rstrip(".")
    labels = [Label(f"Blade: {angle}°", view.polar(_angle_radius(plate), _angle_blade(plate)))]
    if not is_ring(plate):
        tips = ruled(blade.finished_diameter_mm, unit)
        labels.append(
            Label(f"Tips: circle of {tips}", view.polar(blade.tip_radius_mm, _nearest(turns, 62.0)))
        )
    if seams:
        valley = plate.shortest.valley_radius_mm
        spot = view.polar(valley, _nearest(seams, 62.0))
        where = blade.tip.finish.words.between_label
        labels.append(Label(f"{where}: circle of {ruled(2 * valley, unit)}", spot))
    if plate.centre:
        circle = plate.centre.finished_radius_mm
        part = {Setting.CENTRE: "Centre", Setting.CORNER: "Quarter centre", Setting.EDGE: "Half centre"}
        size = (
            f"{ruled(circle, unit)} from its middle"
            if plate.is_in_seam
            else f"{ruled(2 * circle, unit)} across"
        )
        words_of_it = f"{part[plate.setting]}: {size}"
        labels.append(Label(words_of_it, view.polar(circle, 8.0)))
    opening = blade.opening_radius_mm
    if opening > 0:
        # A fan's own corners, so that the dot lies on the fan.
        middle, half = 90.0 + plate.middle_deg, plate.sweep_deg / 2
        corners = seams if is_ring(plate) else [middle + half, middle - half]
        spot = view.polar(opening, _nearest(corners, -20.0))
        labels.append(Label(f"Opening: {ruled(2 * opening, unit)} at its widest", spot))
    return tuple(labels)


def _dimensions(plate: Plate, unit: Unit, view: _View) -> list[tuple[str, tuple[float, float]]]:
    """Words, and from where to where (mm), of the dimension lines below the plate, the shorter first."""
    lines: list[tuple[str, tuple[float, float]]] = []
    if is_ring(plate):
        text = "tip to tip" if plate.blade.blades % 2 == 0 else "twice the tip radius"
        size = shown(plate.blade.finished_diameter_mm, unit)
        tip = plate.blade.tip_radius_mm
        lines.append((f"Finished, {text}: {size}", (-tip, tip)))
    if plate.background:
        size = cut_size(plate.background, unit)
        lines.append((f"Background, cut: {size}", (plate.background.cut[0], plate.background.cut[2])))
    return lines


def _dimension(text: str, span: tuple[float, float], view: _View, top: float) -> list[Element]:
    left, right = view.across(span[0]), view.across(span[1])
    middle = (left + right) / 2
    y, ink = top + 8.0, {"stroke": INK, "stroke_width": "0.9"}
    heads = "".join(
        f"M{number(x)} {number(y)}l{number(back)} -3v6z" for x, back in ((left, 8.0), (right, -8.0))
    )
    return [
        segment(left, y, right, y, **ink),
        *(segment(x, y - 6.0, x, y + 6.0, **ink) for x in (left, right)),
        svg("path", d=heads, fill=INK),
        words(text, middle, y + 17.0, size=FONT_SIZE, anchor="middle"),
    ]
