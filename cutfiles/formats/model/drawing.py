"""One model for every machine file: lines on layers, mm, y up, origin at the mat's lower left."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum

from cutfiles.core.tolerance import FILE_MM, MOST_MM, SAME_POINT_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.strokes import Strokes, no_strokes
from cutfiles.geometry.outline import Arc, Circle, Contour, Path, Vertex, arc_of, bounds

# An arc that strays less from its chord is straight: its centre would be lost in rounding.
STRAIGHT_MM = 1e-6
_MOST_BULGE = 1e4  # more than 359.97 degrees: an arc that all but closes


class Layer(Enum):
    """What a line is for, in the order in which the machine runs."""

    PLACE = "place"
    DRAW = "draw"
    REGISTER = "register"
    CUT = "cut"


Names = Mapping[str, Layer]


@dataclass(frozen=True, slots=True)
class Item:
    """One line of a file."""

    layer: Layer | None  # None: a layer whose name we don't know
    layer_name: str
    path: Contour
    piece_id: str | None  # only SVG and blocks of DXF have names
    place: str  # for a person to find it by
    order: int = 0  # its place among all lines of the file
    is_shared: bool = False  # an outline that a neighbour's cut, or the fabric's edge, makes whole
    drawn: tuple[Contour, ...] = ()  # the lines of its own that a shared outline has
    quantity: int = 1  # how many pieces it stands for; the others of them are not in the file


@dataclass(frozen=True, slots=True)
class Notch:
    """A notch that a format holds as its place on a piece's edge, not as a line to draw."""

    x: float
    y: float
    place: str  # for a person to find it by: its piece


class Marks(Enum):
    """How a format holds the marks for register."""

    APART = "apart"  # on a layer of their own
    DRAWN = "drawn"  # by the pen that draws the rest
    NONE = "none"  # or perhaps: nobody misses them


@dataclass(frozen=True, slots=True)
class Capabilities:
    """What a format can say, and how exactly."""

    within_mm: float = FILE_MM  # how far a point may lie from where it was meant
    pair_mm: float = FILE_MM  # by how much the distance of two lines may be off
    has_ids: bool = False  # its outlines carry the ids of their pieces
    has_size: bool = True  # it says how large the mat is
    marks: Marks = Marks.APART
    has_order: bool = True  # its lines stand in the order to run them
    as_written: bool = True  # its corners are the file's own
    has_arcs: bool = True  # a curve needn't be broken into chords
    for_machine: bool = True  # scales and skew of the machine are worked in


@dataclass(frozen=True, slots=True)
class Ink:
    """Lines of one layer in one colour.

    Args:
        layer: what they are for.
        colour: as the format has it, in one spelling; empty if none is given.
        count: how many.
        place: where the first is.
    """

    layer: Layer
    colour: str
    count: int
    place: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """A machine file as read. `width_mm` and `height_mm` are None where the file doesn't say.

    `drawn` are straight strokes of the pen, packed: there may be hundreds of thousands. All else, curves of
    the pen among it, is in `items`.
    """

    width_mm: float | None
    height_mm: float | None
    items: tuple[Item, ...]
    kind: Capabilities
    drawn: Strokes = field(default_factory=no_strokes)
    inks: tuple[Ink, ...] = ()  # in which colours its lines are
    notches: tuple[Notch, ...] = ()

    def on(self, layer: Layer) -> tuple[Item, ...]:
        """Return the lines of one layer in the file's order, without the packed strokes."""
        return tuple(item for item in self.items if item.layer is layer)


@dataclass(frozen=True, slots=True)
class Reading:
    """What came out of a file: the drawing, the faults met on the way, and what could not be known."""

    drawing: Drawing
    faults: tuple[Fault, ...]
    notes: tuple[str, ...]


def layer_of(name: str, names: Names | None = None) -> Layer | None:
    """Return the layer of that name, in capitals or not.

    Args:
        name: as the file has it.
        names: in capitals, where a job chose others than ours.
    """
    if names:
        return names.get(name.upper())
    try:
        return Layer(name.lower())
    except ValueError:
        return None


def chain(vertices: Iterable[tuple[float, float, float]], *, closed: bool) -> Contour | Fault:
    """Return a chain of lines and arcs, in its simplest form, or the fault in it (without a place).

    Args:
        vertices: x, y and the bulge of the edge that leaves there, mm.
        closed: whether the last vertex has an edge back to the first.

    A repeated first point at the end is dropped, a chain whose ends meet is closed, and a full circle
    of arcs becomes a circle.
    """
    corners = [Vertex(*vertex) for vertex in vertices]
    if not all(math.isfinite(number) for corner in corners for number in corner):
        return Fault(Code.NOT_A_NUMBER, "", "a coordinate is not a finite number")
    # The last bulge of an open chain means nothing.
    if corners and not closed:
        corners[-1] = corners[-1]._replace(bulge=0.0)
    if len(corners) > 2 and _gap(corners[0], corners[-1]) <= (SAME_POINT_MM if closed else FILE_MM):
        # It came back to its start by itself, if only as exactly as files are written.
        corners.pop()
        closed = True
    if len(corners) < 2 or all(_gap(corner, corners[0]) <= SAME_POINT_MM for corner in corners):
        return Fault(Code.ZERO_LENGTH, "", "has no length")
    return _checked(Path(tuple(corners), closed))


def circle(x: float, y: float, radius: float) -> Circle | Fault:
    """Return a circle, mm, or the fault in it (without a place)."""
    if not all(math.isfinite(number) for number in (x, y, radius)):
        return Fault(Code.NOT_A_NUMBER, "", "a coordinate is not a finite number")
    if radius <= SAME_POINT_MM:
        return Fault(Code.ZERO_LENGTH, "", f"a circle of radius {radius:g} mm")
    whole = Circle(x, y, radius)
    return _too_far(whole) or whole


def _checked(path: Path) -> Contour | Fault:
    if any(abs(vertex.x) > MOST_MM or abs(vertex.y) > MOST_MM for vertex in path.vertices):
        return Fault(Code.HUGE_NUMBER, "", f"a coordinate is beyond {MOST_MM:g} mm")
    if any(abs(vertex.bulge) > _MOST_BULGE for vertex in path.vertices):
        return Fault(Code.HUGE_NUMBER, "", f"a bulge is beyond {_MOST_BULGE:g}")
    if not any(vertex.bulge for vertex in path.vertices):
        return path
    path = Path(tuple(_straightened(start, end) for start, end in _all_edges(path)), path.closed)
    fault = _too_far(path)
    if fault is not None:
        return fault
    return _as_circle(path) or path


def _all_edges(path: Path) -> Iterable[tuple[Vertex, Vertex]]:
    ends = path.vertices[1:] + path.vertices[:1]
    return zip(path.vertices, ends, strict=True)


def _straightened(start: Vertex, end: Vertex) -> Vertex:
    chord = _gap(start, end)
    # The height of an arc over its chord is bulge · chord / 2.
    flat = chord <= 2 * SAME_POINT_MM or abs(start.bulge) * chord / 2 < STRAIGHT_MM
    return start._replace(bulge=0.0) if flat else start


def _too_far(path: Contour) -> Fault | None:
    if max(abs(side) for side in bounds(path)) > MOST_MM:
        return Fault(Code.HUGE_NUMBER, "", f"reaches beyond {MOST_MM:g} mm")
    return None


def _as_circle(path: Path) -> Circle | None:
    """A closed chain of arcs about one centre, once around, is a circle."""
    if not path.closed or not all(vertex.bulge for vertex in path.vertices):
        return None
    arcs: list[Arc] = [arc_of(start, end) for start, end in path.edges()]
    if abs(abs(sum(arc.sweep_deg for arc in arcs)) - 360.0) > 1e-3:
        return None
    first = arcs[0]
    for arc in arcs:
        if math.dist(arc.centre, first.centre) > FILE_MM or abs(arc.radius - first.radius) > FILE_MM:
            return None
    return Circle(*first.centre, first.radius)


def _gap(first: Vertex, second: Vertex) -> float:
    return math.hypot(first.x - second.x, first.y - second.y)


def without_repeats(item: Item) -> tuple[Item, bool]:
    """Return the line without points that repeat the one before, and whether there were any."""
    if isinstance(item.path, Circle):
        return item, False
    kept: list[Vertex] = []
    for start, end in _all_edges(item.path):
        last_of_open = not item.path.closed and start is item.path.vertices[-1]
        if _gap(start, end) > SAME_POINT_MM or last_of_open:
            kept.append(start)
    if len(kept) == len(item.path.vertices) or len(kept) < 2:
        return item, False
    return replace(item, path=Path(tuple(kept), item.path.closed)), True


@dataclass(slots=True)
class Inks:
    """Counts lines while a file is read."""

    _counts: dict[tuple[Layer, str], list[int]] = field(default_factory=dict)
    _places: dict[tuple[Layer, str], str] = field(default_factory=dict)

    def add(self, layer: Layer | None, colour: str, place: str, count: int = 1) -> None:
        """Count lines of a layer; of one that isn't ours nobody knows what colour it should have."""
        if layer is None:
            return
        key = (layer, colour)
        if key in self._counts:
            self._counts[key][0] += count
        else:
            self._counts[key] = [count]
            self._places[key] = place

    def all(self) -> tuple[Ink, ...]:
        """Return all that was counted, in the file's order."""
        return tuple(Ink(*key, counts[0], self._places[key]) for key, counts in self._counts.items())
