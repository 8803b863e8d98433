"""What is drawn: inside a piece; and what is marked for register: off the fabric."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from cutfiles.check.context.context import Context, Role
from cutfiles.check.layout.layout import KnownLoad
from cutfiles.check.shapes.contours import as_area, as_line
from cutfiles.core.tolerance import CHORD_MM, FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import TooMuchError
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, Layer, Marks
from cutfiles.formats.model.strokes import Strokes
from cutfiles.geometry.outline import Contour, Path

# Six hundred thousand drawn lines, each in one piece of several near it, make some million.
_MOST_PAIRS = 3_000_000
_CHUNK = 4096

_Geometries = np.ndarray[tuple[int], np.dtype[np.object_]]


def stray_marks(context: Context) -> Iterator[Fault]:
    """Yield a fault for each drawn line that is not inside one piece."""
    outlines = context.pieces
    if context.role is Role.PEN:
        # The pieces are cut by another file; the layout says where they are.
        if context.known is None or not context.known.layout.shapes:
            return
        outlines = _pieces_of(context.known.load)
    drawing = context.drawing
    yield from marks_outside(drawing.on(Layer.DRAW), drawing.drawn, outlines, slack_mm=context.kind.pair_mm)


def stray_notches(context: Context) -> Iterator[Fault]:
    """Yield a fault for each notch that is not on the edge of a piece."""
    notches = context.drawing.notches
    if not notches:
        return
    edges = shapely.STRtree([as_line(item.path, stray_mm=CHORD_MM) for item in context.pieces])
    on = edges.query(
        shapely.points([(notch.x, notch.y) for notch in notches]),
        predicate="dwithin",
        distance=context.kind.pair_mm,
    )[0]
    for index in sorted(set(range(len(notches))) - set(on.tolist())):
        yield Fault(Code.STRAY_MARK, notches[index].place, "has a notch that is not on its edge")


def marks_outside(
    drawn: Sequence[Item], strokes: Strokes, outlines: Sequence[Item], *, slack_mm: float = FILE_MM
) -> Iterator[Fault]:
    """Yield a fault for each drawn line that is not inside one piece.

    It may pass the cut line by the files' rounding; where that is FILE_MM, 0.01 mm beyond is always found.
    Of a chain of straight lines each may lie in a piece of its own: where pieces touch, a line of one can end
    where that of the next begins, and some formats don't say that they are two.

    Args:
        drawn: curves and other lines of the pen.
        strokes: straight ones, packed.
        outlines: the pieces.
        slack_mm: by how much a line may pass its outline.
    """
    pieces = _PieceIndex(_grown_areas([item.path for item in outlines], slack_mm))
    says = "is drawn outside every piece, or across two"
    try:
        for start in range(0, len(drawn), _CHUNK):
            some = drawn[start : start + _CHUNK]
            inside = pieces.hold(np.array([as_line(item.path, stray_mm=CHORD_MM) for item in some]))
            for index in np.flatnonzero(~inside).tolist():
                yield Fault(Code.STRAY_MARK, some[index].place, says)
        for start in range(0, len(strokes), _CHUNK):
            last = min(start + _CHUNK, len(strokes))
            for index in np.flatnonzero(~pieces.hold(strokes.lines(start, last))).tolist():
                if not pieces.hold(_edges(strokes.path(start + index))).all():
                    yield Fault(Code.STRAY_MARK, strokes.place(start + index), says)
    except TooMuchError as error:
        yield Fault(Code.TOO_MUCH, "", str(error))


class _PieceIndex:
    """The outlines of the pieces in an index, and how many pairs of line and outline were measured."""

    def __init__(self, pieces: _Geometries) -> None:
        self._tree = shapely.STRtree(pieces)
        self._pairs = 0

    def hold(self, lines: _Geometries) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Return which of the lines lie inside one piece.

        Raises:
            TooMuchError: too many pieces lie over each other.
        """
        near, pieces = self._tree.query(lines)
        self._pairs += len(near)
        if self._pairs > _MOST_PAIRS:
            raise TooMuchError(
                "too many drawn lines and outlines lie over each other: the rest wasn't measured"
            )
        inside = np.zeros(len(lines), dtype=bool)
        # By piece, so that each is prepared once for all the lines near it.
        held = shapely.covers(self._tree.geometries[pieces], lines[near])
        inside[near[held]] = True
        return inside


def _edges(path: Path) -> _Geometries:
    """The edges of a chain of straight lines, each by itself."""
    ends = [(start[:2], end[:2]) for start, end in path.edges()]
    return np.asarray(shapely.linestrings(ends), dtype=object)


def _grown_areas(paths: Sequence[Contour], slack_mm: float) -> _Geometries:
    pieces = np.array([as_area(path, stray_mm=CHORD_MM) for path in paths], dtype=object)
    # An outline that crosses itself is a fault of its own: its marks are then taken to be somewhere in it.
    unsound = ~shapely.is_valid(pieces)
    pieces[unsound] = shapely.convex_hull(pieces[unsound])
    grown: _Geometries = shapely.buffer(pieces, slack_mm + 2 * CHORD_MM, quad_segs=4)
    shapely.prepare(grown)
    return grown


def marks_on_fabric(context: Context) -> Iterator[Fault]:
    """Yield a fault for each register mark that touches a fabric of the load."""
    if context.known is None:
        return
    marks, load = context.drawing.on(Layer.REGISTER), context.known.load
    lines = [as_line(item.path, stray_mm=CHORD_MM) for item in marks]
    tree = shapely.STRtree(lines)
    for fabric in load.fabrics:
        left, low, right, high = fabric.box
        # A mark may touch the edge by the files' rounding.
        (left, right), (low, high) = _shrunk(left, right), _shrunk(low, high)
        cloth = shapely.box(left, low, right, high)
        for index in sorted(tree.query(cloth, predicate="intersects").tolist()):
            yield Fault(Code.MARK_ON_FABRIC, marks[index].place, f"lies on {fabric.fabric} ({fabric.key})")


def _shrunk(least: float, most: float) -> tuple[float, float]:
    slack = min(FILE_MM, (most - least) / 4)
    return least + slack, most - slack


def missing_register(context: Context) -> Iterator[Fault]:
    """Yield a fault where the layout promises register marks and there are none."""
    register = None if context.known is None else context.known.layout.register
    if register not in ("cross", "ring") or context.drawing.on(Layer.REGISTER):
        return
    if context.kind.marks is not Marks.NONE:
        yield Fault(Code.MISSING_REGISTER, "", f"no register mark, layout.json has {register}")


def _pieces_of(load: KnownLoad) -> tuple[Item, ...]:
    return tuple(
        Item(Layer.CUT, Layer.CUT.value, piece.cut, piece.piece_id, piece.piece_id)
        for fabric in load.fabrics
        for piece in fabric.pieces
        if piece.cut is not None
    )
