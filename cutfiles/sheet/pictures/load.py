"""One load of the mat as a picture: fabrics and pieces as they lie, seen from above. mm of the mat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from cutfiles.formats.model.numbers import number
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Path, Point, Vertex, bounds, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import MatSpec, Register
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric
from cutfiles.nest.cutting_rules.reach import Rect, reach_of
from cutfiles.sheet.markup.colours import FAINT, INK
from cutfiles.sheet.markup.drawing import Box, canvas, drawn, frame, segment, text_width, words
from cutfiles.sheet.markup.markup import Element, svg
from cutfiles.sheet.pictures.cloth import Cloths, Fill, filled
from cutfiles.sheet.pictures.load_texts import Badge, LoadTexts, Placed
from cutfiles.sheet.pictures.motifs import MOTIF, motif_ring, motif_rings

# A page of A4 or US Letter has room for 186 × 255 mm. A small picture lies beside its steps, two loads to a
# page; where so small nobody would see much, one of a tall mat leaves room for the steps beside it, any other
# for the steps below it.
SMALL_WIDTH_MM, SMALL_HEIGHT_MM = 92.0, 76.0
SMALLEST_SCALE = 8.1  # mm of the mat in a mm of paper
TALL_WIDTH_MM, TALL_HEIGHT_MM = 100.0, 164.0
PAPER_WIDTH_MM, PAPER_HEIGHT_MM = 172.0, 110.0
_WIDE = 1.3  # as wide for its height a mat leaves no room beside it
EDGE_MM = 1.0  # of paper, left white all round
LEGEND_ROW_MM = 5.0
LEGEND_PAGE_MM = 186.0
LEGEND_TEXT_MM = 2.7
HATCH_MM = 1.6  # between strokes over what is to be avoided
LEGEND_WIDTH_MM = 84.0  # at least; the mat's own width where that is more


@dataclass(frozen=True, slots=True)
class LineStyle:
    """How a kind of line looks, in mm of paper."""

    colour: str
    width: float
    dashes: tuple[float, ...] = ()

    def attributes(self, scale: float) -> dict[str, str]:
        """Return its attributes; `scale` is how many mm of the mat one mm of paper shows."""
        attributes = {"stroke": self.colour, "stroke_width": number(self.width * scale)}
        if self.dashes:
            attributes["stroke_dasharray"] = " ".join(number(part * scale) for part in self.dashes)
        return attributes


# How the kinds of line look, in mm of paper: told apart without colour.
CUT = LineStyle(INK, 0.4)
DRAW = LineStyle(FAINT, 0.25, (1.4, 0.8))
MARK = LineStyle(INK, 0.25)
FABRIC = LineStyle(INK, 0.25, (0.3, 0.7))
AVOID = LineStyle(INK, 0.2)
REACH = LineStyle(FAINT, 0.2, (2.5, 1.2))
MAT = LineStyle(INK, 0.7)
# So pale that lines and labels stand out.
_PALE, _PICTURED = "0.35", "0.55"
AVOIDED = "to be avoided"  # what the legend calls it


@dataclass(frozen=True, slots=True)
class Bench:
    """What all loads of a job have in common, as far as their pictures go."""

    layout: Layout
    mat: MatSpec
    register: Register
    cloths: Cloths

    @property
    def scale(self) -> float:
        """How many mm of the mat one mm of paper shows."""
        mat = self.mat
        if self.is_beside:
            small = max(mat.width_mm / SMALL_WIDTH_MM, mat.height_mm / SMALL_HEIGHT_MM)
            if small <= SMALLEST_SCALE:
                return small
            return max(mat.width_mm / TALL_WIDTH_MM, mat.height_mm / TALL_HEIGHT_MM)
        return max(mat.width_mm / PAPER_WIDTH_MM, mat.height_mm / PAPER_HEIGHT_MM)

    @property
    def is_beside(self) -> bool:
        """Whether the steps have room beside the picture."""
        return self.mat.width_mm <= _WIDE * self.mat.height_mm


def load_drawing(load: Load, plan: LoadPlan, bench: Bench, *, legend: bool = True) -> Element:
    """Return the picture of a load: mat, reach, fabrics, pieces with labels, drawn lines, marks, legend.

    Args:
        load: what lies where.
        plan: its strokes.
        bench: what all loads share.
        legend: whether to explain the kinds of line below the mat.
    """
    mat, scale = bench.mat, bench.scale
    up = [*_mat(bench), *_fabrics(load, bench), *_pieces(load, bench), *_marks(plan, scale)]
    flip = f"translate(0 {number(mat.height_mm)}) scale(1 -1)"
    texts = LoadTexts.for_load(load, bench.layout, scale)
    written = [_written(text, mat.height_mm, scale) for text in texts.labels]
    for badge in texts.badges:
        written += _badge(badge, mat.height_mm, scale)
    edge = EDGE_MM * scale
    wide = max(mat.width_mm, LEGEND_WIDTH_MM * scale) if legend else mat.width_mm
    samples, rows = _legend(bench, (plan,), wide, mat.height_mm) if legend else ([], 0)
    low = mat.height_mm + ((2 + rows * LEGEND_ROW_MM) * scale if rows else edge)
    title = f"{load.name}: the mat seen from above"
    group = svg("g", *up, transform=flip, fill="none")
    return _on_paper(Box(-edge, -edge, wide + edge, low), title, scale, group, *written, *samples)


def legend_drawing(bench: Bench, plans: Sequence[LoadPlan], *, width_mm: float = LEGEND_PAGE_MM) -> Element:
    """Return what the kinds of line are in the pictures of all loads, as wide as a page or as is asked."""
    scale = bench.scale
    samples, rows = _legend(bench, plans, width_mm * scale, 0.0)
    box = Box(0.0, 0.0, width_mm * scale, (2 + rows * LEGEND_ROW_MM) * scale)
    return _on_paper(box, "What the lines in the pictures are", scale, *samples)


def _on_paper(box: Box, title: str, scale: float, *content: Element) -> Element:
    """A picture with its size on paper."""
    size = {
        "width": f"{number((box.right - box.left) / scale)}mm",
        "height": f"{number((box.bottom - box.top) / scale)}mm",
    }
    return canvas(box, title, *content, **size)


def _mat(bench: Bench) -> list[Element]:
    mat = Box(0.0, 0.0, bench.mat.width_mm, bench.mat.height_mm)
    parts = [frame(mat, fill="#ffffff", **MAT.attributes(bench.scale))]
    reach = reach_of(bench.mat, bench.register)
    if bench.mat.margin_mm > 0 or reach.marks:
        parts.append(drawn(_reach_outline(reach.free), **REACH.attributes(bench.scale)))
    return parts


def _reach_outline(free: tuple[Rect, ...]) -> Path:
    """The outline of all that may be used: a rectangle, with a corner cut out of it at each mark."""
    left, low = min(r.x_mm for r in free), min(r.y_mm for r in free)
    right, high = max(r.x_mm + r.width_mm for r in free), max(r.y_mm + r.height_mm for r in free)
    if len(free) == 1:
        points = [(left, low), (right, low), (right, high), (left, high)]
    else:
        inner_left, inner_right = free[0].x_mm, free[0].x_mm + free[0].width_mm
        inner_low, inner_high = free[1].y_mm, free[1].y_mm + free[1].height_mm
        points = [(inner_left, low), (inner_right, low), (inner_right, inner_low), (right, inner_low)]
        points += [(right, high), (inner_left, high), (inner_left, inner_high), (left, inner_high)]
        points += [(left, inner_low), (inner_left, inner_low)]
    return Path(tuple(Vertex(x, y) for x, y in points), closed=True)


def _fabrics(load: Load, bench: Bench) -> list[Element]:
    parts = []
    for laid in load.fabrics:
        attributes = {"data_fabric": laid.fabric, **FABRIC.attributes(bench.scale)}
        paint, on_mat = bench.cloths.paint(laid.fabric), bench.cloths.on_mat(laid)
        box = fabric_box(laid)
        if on_mat is not None:
            left, low, right, high = box.left, box.top, box.right, box.bottom
            edge = ring(*(laid.outline or ((left, low), (right, low), (right, high), (left, high))))
            pale = {"fill_opacity": _PICTURED, **attributes}
            parts.append(filled(edge, Pose(), Fill(paint, on_mat), **pale))
        elif laid.outline:
            parts.append(drawn(ring(*laid.outline), fill=paint, fill_opacity=_PALE, **attributes))
        else:
            parts.append(frame(box, fill=paint, fill_opacity=_PALE, **attributes))
        for points in laid.avoid:
            parts += _avoided(points, laid.fabric, bench.scale)
        parts += motif_rings(laid, bench.scale)
    return parts


def _avoided(points: tuple[Point, ...], fabric: str, scale: float) -> list[Element]:
    """A polygon that is to be avoided: dark, and hatched so that it shows on paper without grey."""
    outline = ring(*points)
    left, low, right, high = bounds(outline)
    area, step = shapely.Polygon(points), HATCH_MM * scale
    parts = [drawn(outline, data_avoid=fabric, fill=INK, fill_opacity="0.12", **AVOID.attributes(scale))]
    count = int((right - left + high - low) / step)
    for stroke_number in range(1, count + 1):
        # Rising strokes, from the left or lower side to the upper or right one.
        start = left - (high - low) + stroke_number * step
        stroke = area.intersection(shapely.LineString([(start, low), (start + high - low, high)]))
        for part in shapely.get_parts(stroke):
            if isinstance(part, shapely.LineString) and part.length > 0:
                (x, y), (to_x, to_y) = part.coords[0], part.coords[-1]
                parts.append(segment(x, y, to_x, to_y, **AVOID.attributes(scale)))
    return parts


def fabric_box(laid: PlacedFabric) -> Box:
    """Return the fabric's rectangle on the mat, y up."""
    return Box(laid.x_mm, laid.y_mm, laid.x_mm + laid.across_mm, laid.y_mm + laid.up_mm)


def _pieces(load: Load, bench: Bench) -> list[Element]:
    parts = []
    for laid in load.fabrics:
        for placement in laid.placements:
            shape = bench.layout.shape(placement.shape)
            for mark in shape.marks:
                parts.append(drawn(placed(mark.path, placement.pose), **DRAW.attributes(bench.scale)))
            attributes = {"fill": "#ffffff", "fill_opacity": "0.45", **CUT.attributes(bench.scale)}
            outline = placed(shape.cut, placement.pose)
            parts.append(drawn(outline, data_piece=placement.piece_id, **attributes))
    return parts


def _marks(plan: LoadPlan, scale: float) -> list[Element]:
    return [drawn(stroke.path, **MARK.attributes(scale)) for stroke in plan.strokes_of(Tool.REGISTER)]


def _written(text: Placed, height_mm: float, scale: float) -> Element:
    x, y, size = text.x_mm, height_mm - text.y_mm, text.size_mm
    turn = {"transform": f"rotate(-90 {number(x)} {number(y)})"} if text.turned else {}
    # A white rim keeps letters legible where they cross a drawn line.
    rim = {"stroke": "#ffffff", "stroke_width": number(0.7 * scale), "paint_order": "stroke"}
    return words(text.text, x, y + 0.35 * size, size=size, anchor="middle", **turn, **rim)


def _badge(badge: Badge, height_mm: float, scale: float) -> list[Element]:
    """The fabric's letter and name, and an arrow along its lengthwise grain."""
    box = badge.box
    flipped = Box(box.left, height_mm - box.bottom, box.right, height_mm - box.top)
    ground = {"fill": "#ffffff", "fill_opacity": "0.9", "stroke": FAINT, "stroke_width": number(0.15 * scale)}
    middle = (flipped.top + flipped.bottom) / 2
    parts = [frame(flipped, **ground)] if badge.is_clear else []
    rim = {"stroke": "#ffffff", "stroke_width": number(0.5 * scale), "paint_order": "stroke"}
    left, base = box.left + badge.pad_mm, middle + 0.35 * badge.size_mm
    parts.append(words(badge.text, left, base, size=badge.size_mm, font_weight="bold", **rim))
    half, x = 0.5 * badge.arrow_mm, box.right - badge.pad_mm - 0.5 * badge.arrow_mm
    turn = f"rotate({number(-badge.turn_deg)} {number(x)} {number(middle)})"
    top, head = middle - half, 0.3 * badge.arrow_mm
    shaft = segment(x, middle + half, x, top + head, stroke=INK, stroke_width=number(0.35 * scale))
    point = f"M{number(x)} {number(top)}l{number(0.7 * head)} {number(head)}h{number(-1.4 * head)}z"
    parts.append(svg("g", shaft, svg("path", d=point, fill=INK), transform=turn))
    return parts


def _legend(
    bench: Bench, plans: Sequence[LoadPlan], wide_mm: float, top_mm: float
) -> tuple[list[Element], int]:
    """Samples of each kind of line from a height on down, in as many rows as they need; mm of the mat."""
    scale = bench.scale
    entries: list[tuple[str, LineStyle | None]] = [("edge of the mat", MAT)]
    if bench.mat.margin_mm > 0 or bench.register is not Register.NONE:
        entries.append(("where fabric may lie", REACH))
    entries += [("edge of a fabric", FABRIC), ("cut", CUT)]
    if any(plan.strokes_of(Tool.DRAW) for plan in plans):
        entries.append(("drawn by the pen", DRAW))
    if any(plan.strokes_of(Tool.REGISTER) for plan in plans):
        entries.append(("register mark", MARK))
    if any(laid.avoid for load in bench.layout.loads for laid in load.fabrics):
        entries.append((AVOIDED, AVOID))
    if any(motif_rings(laid, scale) for load in bench.layout.loads for laid in load.fabrics):
        entries.append((MOTIF, None))
    entries.append(("lengthwise grain", None))
    size, sample = LEGEND_TEXT_MM * scale, 5.5 * scale
    parts: list[Element] = []
    x, row = 0.0, 0
    for text, style in entries:
        width = sample + 1.5 * scale + text_width(text, size) * 0.75 + 2.5 * scale
        if x and x + width > wide_mm + 4 * scale:
            x, row = 0.0, row + 1
        y = top_mm + (4.5 + row * LEGEND_ROW_MM) * scale
        middle = y - 0.33 * size
        if text == MOTIF:
            parts.append(motif_ring(x + sample / 2, middle, scale))
        elif style is None:
            parts += _arrow_sample(x, middle, sample, scale)
        elif style is AVOID:
            left, right, low, high = x, x + 0.8 * sample, middle - 0.9 * scale, middle + 0.9 * scale
            parts += _avoided(((left, low), (right, low), (right, high), (left, high)), "sample", scale)
        elif style is MARK:
            parts += _mark_sample(bench.register, x + sample / 2, middle, scale)
        else:
            parts.append(segment(x, middle, x + sample, middle, **style.attributes(scale)))
        parts.append(words(text, x + sample + 1.5 * scale, y, size=size))
        x += width
    return parts, row + 1


def _arrow_sample(x: float, y: float, width: float, scale: float) -> list[Element]:
    head = 2.0 * scale
    tip = f"M{number(x + width)} {number(y)}l{number(-head)} {number(-0.6 * head)}v{number(1.2 * head)}z"
    shaft = segment(x, y, x + width - head, y, stroke=INK, stroke_width=number(0.35 * scale))
    return [shaft, svg("path", d=tip, fill=INK)]


def _mark_sample(register: Register, x: float, y: float, scale: float) -> list[Element]:
    arm, attributes = 1.5 * scale, MARK.attributes(scale)
    if register is Register.RING:
        circles = [{"cx": number(x), "cy": number(y), "r": number(r)} for r in (arm, arm / 6)]
        return [svg("circle", **circle, fill="none", **attributes) for circle in circles]
    return [segment(x - arm, y, x + arm, y, **attributes), segment(x, y - arm, x, y + arm, **attributes)]
