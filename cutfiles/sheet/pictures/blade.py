"""A blade as it is cut, with its measures; and beside the finished plate, as `size --picture` writes it."""

from __future__ import annotations

from lxml import etree

from cutfiles.core.tolerance import SAME_POINT_MM
from cutfiles.core.units import Unit, shown
from cutfiles.formats.model.numbers import number
from cutfiles.geometry.outline import Path, Point, bounds, line
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.colours import FABRICS, FAINT, INK
from cutfiles.sheet.markup.drawing import Box, canvas, drawn, frame, segment, text_width
from cutfiles.sheet.markup.leaders import Column, Label, leaders, set_out
from cutfiles.sheet.markup.markup import Element, svg
from cutfiles.sheet.pictures.plate import EDGE, FONT_SIZE, plate_drawing

TALL = 250.0  # the blade, in the picture's own units
_BAR = 26.0  # left of the blade, for the line that measures its length


def blade_drawing(blade: Blade, unit: Unit) -> Element:
    """Return the blade as it is cut, its seams and folds dashed, with what it measures."""
    shape = blade_shape(blade)
    _, low, right_mm, high = bounds(shape.cut)
    beside_tip = () if right_mm >= blade.wide_width_mm / 2 - SAME_POINT_MM else _beside_tip(blade)
    right_mm = max(right_mm, blade.wide_width_mm / 2)
    left_mm = -right_mm
    scale = TALL / max(right_mm - left_mm, high - low)

    def at(x_mm: float, y_mm: float) -> Point:
        return (EDGE + _BAR + (x_mm - left_mm) * scale, EDGE + (high - y_mm) * scale)

    pen = {"stroke": INK, "stroke_width": number(1.2 / scale), "stroke_linejoin": "round"}
    dash = f"{number(4 / scale)} {number(3 / scale)}"
    fine = {"stroke": FAINT, "stroke_width": number(0.9 / scale), "stroke_dasharray": dash}
    x, y = at(0.0, 0.0)
    group = svg(
        "g",
        drawn(shape.cut, fill=FABRICS[0], **pen),
        *(drawn(path, **fine) for path in (*(mark.path for mark in shape.marks), *beside_tip)),
        transform=f"translate({number(x)} {number(y)}) scale({number(scale)} -{number(scale)})",
        fill="none",
    )
    bar = EDGE + 8.0
    ends = [at(0.0, blade.outer_radius_mm)[1], at(0.0, blade.inner_radius_mm)[1]]
    ink = {"stroke": INK, "stroke_width": "0.9"}
    measure = [segment(bar, ends[0], bar, ends[1], **ink)]
    measure += [segment(bar - 6.0, end, bar + 6.0, end, **ink) for end in ends]
    bottom, right = at(0.0, low)[1], at(right_mm, 0.0)[0]
    column = Column(right + 22.0, EDGE, bottom, FONT_SIZE)
    labels = set_out(_labels(blade, unit, at, (bar, sum(ends) / 2)), column)
    edge = max(column.left + text_width(label.text, FONT_SIZE) for label, _ in labels) + EDGE
    lowest = max(bottom, *(place[1] for _, place in labels)) + EDGE
    box = Box(0.0, 0.0, edge, lowest)
    size = {"width": number(edge), "height": number(lowest)}
    ground = frame(box, fill="#ffffff")
    title = "A blade as it is cut, with its sizes"
    return canvas(box, title, ground, group, *measure, *leaders(labels, column), **size)


def _beside_tip(blade: Blade) -> tuple[Path, ...]:
    """Where the long edges would run on to the wide end's width, from where the tip begins."""
    low, high = blade.tip_base_mm, blade.outer_radius_mm
    return tuple(
        line((side * blade.cut_half_width_mm(low), low), (side * blade.cut_half_width_mm(high), high))
        for side in (-1.0, 1.0)
    )


def _labels(blade: Blade, unit: Unit, at: object, bar: Point) -> tuple[Label, ...]:
    assert callable(at)
    seam = (blade.inner_radius_mm + blade.tip_base_mm) / 2
    labels = [
        Label(f"Length, cut: {shown(blade.length_mm, unit)}", bar),
        Label(
            f"{blade.tip.finish.words.wide_end}: {shown(blade.wide_width_mm, unit)}".capitalize(),
            at(blade.wide_width_mm / 2, blade.outer_radius_mm),
        ),
        Label(f"Narrow end: {shown(blade.narrow_width_mm, unit)}", at(0.0, blade.inner_radius_mm)),
        Label(
            f"Seam: {shown(blade.seam_mm, unit)}",
            at(blade.cut_half_width_mm(seam) - blade.seam_mm / 2, seam),
        ),
    ]
    return tuple(labels)


def sizes_picture(plate: Plate, unit: Unit) -> str:
    """Return the finished plate and the cut blade beside it, with their sizes, as a standalone SVG."""
    left, right = plate_drawing(plate, unit), blade_drawing(plate.blade, unit)
    width = float(left.get("width", "0"))
    right.set("x", number(width))
    box = Box(
        0.0,
        0.0,
        width + float(right.get("width", "0")),
        max(float(left.get("height", "0")), float(right.get("height", "0"))),
    )
    size = {"width": number(box.right), "height": number(box.bottom)}
    whole = canvas(
        box, "A plate and its blade with their sizes", frame(box, fill="#ffffff"), left, right, **size
    )
    return etree.tostring(whole, encoding="unicode") + "\n"
