"""Where texts stand in a load's picture: a label in each piece, a badge on each fabric, none on another.

mm of the mat, y up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import polylabel

from cutfiles.geometry.outline import chords
from cutfiles.geometry.pose import placed
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.sheet.markup.drawing import Box, text_width

# Sizes of letters in mm of paper, the best first; below 1.6 nobody reads them.
LABEL_SIZES = (2.9, 2.4, 2.0)
NUMBER_SIZES = (2.9, 2.4, 2.0, 1.6)
BADGE_SIZES = (3.4, 2.7)
SMALLEST_BADGE = 2.2  # of the letter alone
NOTHING_MM2 = 1e-6
HEIGHT_OF_SIZE = 1.0  # of a line of text
_COARSE_MM = 0.5  # how far the picture's chords may stray from an arc
_STEPS = 20  # places tried for a badge, each way


@dataclass(frozen=True, slots=True)
class Placed:
    """A text about its middle; turned, it reads upwards."""

    text: str
    x_mm: float
    y_mm: float
    size_mm: float
    turned: bool
    piece_id: str

    @property
    def box(self) -> Box:
        """What it covers, y up (top below bottom)."""
        half, rise = text_width(self.text, self.size_mm) / 2, HEIGHT_OF_SIZE * self.size_mm / 2
        if self.turned:
            half, rise = rise, half
        return Box(self.x_mm - half, self.y_mm - rise, self.x_mm + half, self.y_mm + rise)


@dataclass(frozen=True, slots=True)
class Badge:
    """A fabric's letter, its name where there is room, and its grain arrow."""

    text: str
    box: Box  # y up
    size_mm: float
    pad_mm: float
    arrow_mm: float
    turn_deg: float  # of the arrow, from pointing up
    is_clear: bool  # of every piece; else the piece must be seen through it


def letter(index: int) -> str:
    """Return the letter of a load's fabric, counted from 0: A to Z, then A2 to Z2.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'A2')
    """
    again, rest = divmod(index, 26)
    return chr(ord("A") + rest) + (str(again + 1) if again else "")


@dataclass(frozen=True, slots=True)
class LoadTexts:
    """All texts of a load."""

    labels: tuple[Placed, ...]
    badges: tuple[Badge, ...]

    @classmethod
    def for_load(cls, load: Load, layout: Layout, scale: float) -> LoadTexts:
        """Return the texts of a load; `scale` is how many mm of the mat one mm of paper shows."""
        pieces = [[_polygon(placement, layout) for placement in laid.placements] for laid in load.fabrics]
        labels = [
            _label(placement, polygon, scale)
            for laid, polygons in zip(load.fabrics, pieces, strict=True)
            for placement, polygon in zip(laid.placements, polygons, strict=True)
        ]
        taken = [label.box for label in labels]
        badges: list[Badge] = []
        for index, (laid, polygons) in enumerate(zip(load.fabrics, pieces, strict=True)):
            badges.append(_badge(letter(index), laid, [*polygons, *_off_limits(laid)], taken, scale))
            taken.append(badges[-1].box)
        return cls(tuple(labels), tuple(badges))


def _polygon(placement: Placement, layout: Layout) -> shapely.Polygon:
    outline = placed(layout.shape(placement.shape).cut, placement.pose)
    return shapely.Polygon(chords(outline, stray_mm=_COARSE_MM))


def _off_limits(laid: PlacedFabric) -> list[BaseGeometry]:
    """What of a fabric's rectangle is no fabric, or is hatched."""
    areas: list[BaseGeometry] = [shapely.Polygon(points) for points in laid.avoid]
    if laid.outline:
        box = shapely.box(laid.x_mm, laid.y_mm, laid.x_mm + laid.across_mm, laid.y_mm + laid.up_mm)
        areas.append(box.difference(shapely.Polygon(laid.outline)))
    return areas


def _label(placement: Placement, polygon: shapely.Polygon, scale: float) -> Placed:
    """The whole label if it fits the piece, else the number alone."""
    middle = polylabel(polygon, tolerance=1.0)
    shapely.prepare(polygon)
    choices = [(placement.label, size) for size in LABEL_SIZES]
    choices += [(placement.short_label, size) for size in NUMBER_SIZES]
    for text, paper in choices:
        for turned in (False, True):
            for centre in (middle, polygon.centroid):
                label = Placed(text, centre.x, centre.y, paper * scale, turned, placement.piece_id)
                if polygon.covers(_rectangle(label.box)):
                    return label
    text, paper = choices[-1]
    return Placed(text, middle.x, middle.y, paper * scale, False, placement.piece_id)


def _rectangle(box: Box) -> shapely.Polygon:
    return shapely.box(box.left, box.top, box.right, box.bottom)


def _badge(
    mark: str, laid: PlacedFabric, pieces: list[BaseGeometry], texts: list[Box], scale: float
) -> Badge:
    """Clear of the pieces if it can be, else over a piece, which shows through, but off its label."""
    covered: BaseGeometry = shapely.union_all(pieces) if pieces else shapely.Polygon()
    shapely.prepare(covered)
    choices = [(f"{mark}  {laid.fabric}", size) for size in BADGE_SIZES]
    choices += [(mark, size) for size in (*BADGE_SIZES, SMALLEST_BADGE)]
    for text, paper in choices:
        boxes = _badge_boxes(text, laid, paper * scale)
        # A badge larger than its fabric would lie on the next one.
        if boxes[0].right > laid.x_mm + laid.across_mm or boxes[0].bottom > laid.y_mm + laid.up_mm:
            continue
        free = np.flatnonzero(~shapely.intersects(covered, _rectangles(boxes)))
        if len(free):
            return _made(text, boxes[free[0]], paper * scale, laid, is_clear=True)
    text, paper = choices[-1]
    boxes = _badge_boxes(text, laid, paper * scale)
    clear = [box for box in boxes if not any(box.meets(other) for other in texts)]
    # What hides the least of the pieces.
    hidden = shapely.area(shapely.intersection(covered, _rectangles(clear or boxes)))
    best = int(np.argmin(np.round(hidden, 6)))
    return _made(text, (clear or boxes)[best], paper * scale, laid, is_clear=bool(hidden[best] < NOTHING_MM2))


def _rectangles(boxes: list[Box]) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    left, low, right, high = np.array([(box.left, box.top, box.right, box.bottom) for box in boxes]).T
    return np.asarray(shapely.box(left, low, right, high))


def _measures(text: str, size: float) -> tuple[float, float, float, float]:
    """Width, height, padding and length of the arrow of a badge."""
    pad, arrow = 0.25 * size, 1.3 * size
    return (text_width(text, size) + arrow + 3 * pad, arrow + pad, pad, arrow)


def _badge_boxes(text: str, laid: PlacedFabric, size: float) -> list[Box]:
    """Boxes of a badge's size all over the fabric, from its upper left corner on."""
    width, height, _, _ = _measures(text, size)
    left, low = laid.x_mm, laid.y_mm
    across, up = laid.across_mm - width, laid.up_mm - height
    columns = [across * step / _STEPS for step in range(_STEPS + 1)] if across > 0 else [0.0]
    rows = [up * step / _STEPS for step in range(_STEPS, -1, -1)] if up > 0 else [0.0]
    return [Box(left + x, low + y, left + x + width, low + y + height) for y in rows for x in columns]


def _made(text: str, box: Box, size: float, laid: PlacedFabric, *, is_clear: bool) -> Badge:
    _, _, pad, arrow = _measures(text, size)
    return Badge(text, box, size, pad, arrow, laid.turn_deg, is_clear)
