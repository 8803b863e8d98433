"""One step of sewing as it is drawn: cloth, lines and measures about the plate centre. mm, y up."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from cutfiles.geometry.outline import Bounds, Contour, Path, Point, Vertex, line, ring
from cutfiles.geometry.pose import Pose, placed


class Surface(Enum):
    """What is seen of a patch."""

    RIGHT = "right side"
    WRONG = "wrong side"
    BENEATH = "cloth beneath"  # the background, right side up
    CARD = "card or metal"
    CUT_OFF = "cut off"


class LineKind(Enum):
    """What a line is."""

    STITCH = "sewn"
    FOLD = "fold"
    HIDDEN = "hidden"
    EDGE = "straight edge"
    CREASE = "gathered"


@dataclass(frozen=True, slots=True)
class Patch:
    """A flat thing; later ones of a stage lie on earlier ones."""

    outline: Contour
    side: Surface
    second: bool = False  # of the other cloth, where two are told apart


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A line that is drawn on top."""

    path: Contour
    stroke: LineKind


@dataclass(frozen=True, slots=True)
class Measure:
    """The distance between two points, written beside the line that joins them."""

    start: Point
    end: Point
    offset_mm: float = 0.0  # of that line, to the right of the way from start to end


@dataclass(frozen=True, slots=True)
class Note:
    """A word or number about a point."""

    text: str
    at: Point


@dataclass(frozen=True, slots=True)
class Stage:
    """A step: what is read below its picture, what is read out in its place, and what is seen.

    An arrow is an open path whose head is at its end. `shows` is the part to look at, everything if None.
    """

    caption: str
    seen: str
    patches: tuple[Patch, ...]
    marks: tuple[DrawnLine, ...] = ()
    arrows: tuple[Path, ...] = ()
    measures: tuple[Measure, ...] = ()
    notes: tuple[Note, ...] = ()
    shows: Bounds | None = None


def turned(stage: tuple[Patch, ...], pose: Pose) -> tuple[Patch, ...]:
    """Return the patches as they lie elsewhere."""
    return tuple(Patch(placed(patch.outline, pose), patch.side, patch.second) for patch in stage)


def stitched(*points: Point) -> DrawnLine:
    """Return a seam of straight stitches through the points."""
    return DrawnLine(line(*points), LineKind.STITCH)


def folded_at(*points: Point) -> DrawnLine:
    """Return a fold along straight lines."""
    return DrawnLine(line(*points), LineKind.FOLD)


def over(start: Point, end: Point, *, bulge: float) -> Path:
    """Return an arrow along an arc."""
    return Path((Vertex(*start, bulge), Vertex(*end)), closed=False)


def mirrored(path: Path) -> Path:
    """Return the path on the other side of the centre line."""
    return placed(path, Pose(mirrored=True))


def patch(*corners: Point, side: Surface) -> Patch:
    """Return a patch with straight edges."""
    return Patch(ring(*corners), side)
