"""Where a piece's label and grain arrow go: inside the piece, clear of every other line.

A label that doesn't fit is first written smaller, then shortened, then left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import FLAT_ARC_MM
from cutfiles.geometry.outline import Contour, Path, Side, chords, line
from cutfiles.geometry.pose import Pose, Posed, all_placed, placed
from cutfiles.pieces.lettering.letters import written

CAPITALS_MM = (4.0, 3.2, 2.5)  # a fine pen still writes 2.5 mm capitals; common practice
FROM_EDGE_MM = 1.5  # between lettering and the cut line
FROM_LINE_MM = 0.8  # between lettering and a drawn line
ARROW_MM = (20.0, 14.0, 9.0)
ARROW_HEAD_MM = 2.0
_MOST_SPOTS = 48  # tried along each axis


@dataclass(frozen=True, slots=True)
class LabelArea:
    """The outline to stay in and the lines to keep off, in the frame of the piece as it is cut."""

    cut: Contour
    lines: tuple[Contour, ...]


@dataclass(frozen=True, slots=True)
class Written:
    """A piece's own lines: the grain arrow, the label, and which of the wanted texts it is."""

    arrow: tuple[Path, ...]
    glyphs: tuple[Posed, ...]
    text: str  # empty if none fitted, or none was wanted

    @property
    def label(self) -> tuple[Path, ...]:
        """The label's strokes as they lie on the piece."""
        return all_placed(self.glyphs)


def write_on(area: LabelArea, *, texts: tuple[str, ...], grain_deg: float | None) -> Written:
    """Return the arrow and the label for a piece.

    Args:
        area: the piece, mirrored already if its fabric is.
        texts: what the label may say, the best first; none for no label.
        grain_deg: direction of the lengthwise grain in the piece's frame, None for no arrow.
    """
    arrow, _ = _cleared(area, grain_deg)
    for text in texts:
        for capitals in CAPITALS_MM:
            lettering = written(text, capitals_mm=capitals)
            pose = _spot(area, grain_deg, lettering.width_mm, lettering.height_mm)
            if pose is not None:
                return Written(arrow, tuple(glyph.under(pose) for glyph in lettering.glyphs), text)
    return Written(arrow, (), "")


# Pieces of one shape differ by their number alone, and few texts are of different sizes: what they have
# in common is worked out once.
@lru_cache(maxsize=256)
def _cleared(area: LabelArea, grain_deg: float | None) -> tuple[tuple[Path, ...], BaseGeometry]:
    """The grain arrow, and what is then left free for lettering."""
    free = _free_area(area)
    arrow: tuple[Path, ...] = ()
    if grain_deg is not None:
        arrow = _arrow(free, grain_deg)
        if arrow:
            free = free.difference(around(arrow, FROM_LINE_MM))
    return arrow, free


def _free_area(area: LabelArea) -> BaseGeometry:
    # Chords that stay inside: lettering then can't cross an arc, however coarse they are.
    inside = shapely.Polygon(chords(area.cut, stray_mm=FLAT_ARC_MM, side=Side.INSIDE))
    free = inside.buffer(-FROM_EDGE_MM, join_style="mitre")
    return free.difference(around(area.lines, FROM_LINE_MM)) if area.lines else free


def around(lines: tuple[Contour, ...], clear_mm: float) -> BaseGeometry:
    """Return all that is nearer than `clear_mm` to any of the lines."""
    drawn = []
    for path in lines:
        points = chords(path, stray_mm=FLAT_ARC_MM)
        closed = not isinstance(path, Path) or path.closed
        drawn.append(shapely.LineString([*points, points[0]] if closed else points))
    return shapely.union_all(drawn).buffer(clear_mm, quad_segs=4)


def _arrow(free: BaseGeometry, grain_deg: float) -> tuple[Path, ...]:
    """A double-headed arrow along the grain, as long as there is room for."""
    for length in ARROW_MM:
        half, head = length / 2, ARROW_HEAD_MM
        strokes = (
            line((-half, 0.0), (half, 0.0)),
            line((-half + head, head / 2), (-half, 0.0), (-half + head, -head / 2)),
            line((half - head, head / 2), (half, 0.0), (half - head, -head / 2)),
        )
        turned = tuple(placed(stroke, Pose(turn_deg=grain_deg)) for stroke in strokes)
        xs = [vertex.x for stroke in turned for vertex in stroke.vertices]
        ys = [vertex.y for stroke in turned for vertex in stroke.vertices]
        place = roomiest(free, width_mm=max(xs) - min(xs), height_mm=max(ys) - min(ys))
        if place is not None:
            move = Pose(place[0] - min(xs), place[1] - min(ys))
            return tuple(placed(stroke, move) for stroke in turned)
    return ()


@lru_cache(maxsize=1024)
def _spot(area: LabelArea, grain_deg: float | None, width_mm: float, height_mm: float) -> Pose | None:
    """Where a text of that size has most room: read along the y axis if that fits, else along the x axis."""
    _, free = _cleared(area, grain_deg)
    along_y = roomiest(free, width_mm=height_mm, height_mm=width_mm)
    if along_y is not None:
        return Pose(along_y[0] + height_mm, along_y[1], 90.0)
    along_x = roomiest(free, width_mm=width_mm, height_mm=height_mm)
    return None if along_x is None else Pose(along_x[0], along_x[1])


def roomiest(free: BaseGeometry, *, width_mm: float, height_mm: float) -> tuple[float, float] | None:
    """Return the lower left corner at which a box has the most room around it, or None."""
    if free.is_empty:
        return None
    left, low, right, high = free.bounds
    across, up = right - left - width_mm, high - low - height_mm
    if across < 0 or up < 0:
        return None
    columns, rows = _steps(across), _steps(up)
    x, y = left + np.tile(columns, len(rows)), low + np.repeat(rows, len(columns))
    shapely.prepare(free)
    # Most boxes have a corner outside, which takes far less time to see than that all of a box is inside.
    for aside, above in ((0.0, 0.0), (width_mm, height_mm), (width_mm, 0.0), (0.0, height_mm)):
        inside = shapely.intersects_xy(free, x + aside, y + above)
        x, y = x[inside], y[inside]
    boxes = shapely.box(x, y, x + width_mm, y + height_mm)
    fits = shapely.covers(free, boxes)
    if not fits.any():
        return None
    x, y, boxes = x[fits], y[fits], boxes[fits]
    # Rounded, so that the last bit of a distance never decides between two equal places.
    room = np.round(shapely.distance(boxes, free.boundary), 3)
    best = np.lexsort((x, -y, -room))[0]
    return float(x[best]), float(y[best])


def _steps(span_mm: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    count = min(_MOST_SPOTS, max(2, math.ceil(span_mm / 0.75) + 1))
    return np.linspace(0.0, span_mm, count)
