"""Whether two files of one load hold the same lines, edge by edge, each within how exact its format is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from cutfiles.check.shapes.contours import as_area, as_line
from cutfiles.core.tolerance import FLAT_ARC_MM, SAME_POINT_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Capabilities, Drawing, Layer, Marks, Notch
from cutfiles.formats.model.strokes import Floats, Ints
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.outline import Circle, Vertex, arc_of

_MOST_TRIES = 4_000_000
_STEP_MM = 0.3  # along an arc, to see what its chords leave out
_MOST_STEPS = 400
_MOST_POINTS = 200_000  # of all arcs together
_CELLS = 20  # how much larger than the tolerance: few edges then lie near the border of a cell
_Flags = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def formats_differ(
    mine: Drawing, theirs: Drawing, other_name: str, layers: Sequence[Layer]
) -> Iterator[Fault]:
    """Yield a fault for each layer on which two files of one load differ.

    Args:
        mine: the file that is reported on.
        theirs: the file that it is compared with.
        other_name: how that one is called.
        layers: which layers to compare.
    """
    # Each of the two may be off by its own rounding.
    within_mm = mine.kind.within_mm + theirs.kind.within_mm
    for layer in layers:
        together = _together(mine.kind, theirs.kind, layer)
        ours, my_lead = _edges(mine, together)
        others, their_lead = _edges(theirs, together)
        extra, missing = _unmatched(ours, others, (my_lead, their_lead), within_mm)
        extra, missing = extra[~_of_copies(ours[extra], theirs)], missing[~_of_copies(others[missing], mine)]
        if not (mine.kind.has_arcs and theirs.kind.has_arcs):
            # What is an arc in one is chords in the other: it is enough that they lie on each other.
            extra = extra[~_lie_on(ours[extra], theirs, together, within_mm)]
            missing = missing[~_lie_on(others[missing], mine, together, within_mm)]
        lone = 0
        if layer is Layer.DRAW and together:
            # What is a line in one may be a notch in the other: a place at which the line ends.
            missing, lone_here = _without_notches(others, missing, mine.notches, within_mm)
            extra, lone_there = _without_notches(ours, extra, theirs.notches, within_mm)
            lone = lone_here + lone_there
        if len(extra) or len(missing) or lone:
            words = f"{len(extra)} lines that {other_name} lacks, and lacks {len(missing)} of its lines"
            notches = f"; {lone} notches of one are none in the other" if lone else ""
            yield Fault(Code.FORMATS_DIFFER, layer.value, f"has {words}{notches}")


def _together(mine: Capabilities, theirs: Capabilities, layer: Layer) -> tuple[Layer, ...]:
    """Which layers are to be compared in one with this one; none where they can't be."""
    marks = {mine.marks, theirs.marks}
    if layer is Layer.CUT or marks == {Marks.APART}:
        return (layer,)
    if Marks.NONE in marks:
        return (layer,) if layer is Layer.DRAW and Marks.DRAWN not in marks else ()
    # One pen draws marks and all else.
    return (Layer.DRAW, Layer.REGISTER) if layer is Layer.DRAW else ()


def _of_copies(edges: Floats, drawing: Drawing) -> _Flags:
    """Whether each edge may belong to a copy, which a drawing of distinct pieces leaves out.

    That is so for all edges outside of the pieces that it has.
    """
    pieces = drawing.on(Layer.CUT)
    if not len(edges) or all(item.quantity == 1 for item in pieces):
        return np.zeros(len(edges), dtype=bool)
    closed = [item.path for item in pieces if isinstance(item.path, Circle) or item.path.closed]
    # What lies on an outline may be a neighbour's.
    areas = [as_area(path, stray_mm=FLAT_ARC_MM / 10).buffer(-drawing.kind.pair_mm) for path in closed]
    inside = np.zeros(len(edges), dtype=bool)
    inside[shapely.STRtree(areas).query(shapely.points(edges[:, 2:4]), predicate="within")[0]] = True
    return ~inside


def _without_notches(
    edges: Floats, lacked: Ints, notches: Sequence[Notch], within_mm: float
) -> tuple[Ints, int]:
    """One file's edges that are no notches of the other; and how many notches have no edge that ends there.

    Args:
        edges: of the one file.
        lacked: which of them the other has no line for.
        notches: of the other; each stands for one edge.
        within_mm: how far the end may lie from it.
    """
    if not notches:
        return lacked, 0
    ends = np.concatenate([edges[:, :2], edges[:, 4:]])
    tree = shapely.STRtree(np.asarray(shapely.points(ends), dtype=object))
    places = shapely.points([(notch.x, notch.y) for notch in notches])
    numbers, found = tree.query(places, predicate="dwithin", distance=within_mm)
    free, spent = set(lacked.tolist()), set()
    for number, index in zip(numbers.tolist(), (found % len(edges)).tolist(), strict=True):
        if index in free and number not in spent:
            free.remove(index)
            spent.add(number)
    return np.array(sorted(free), dtype=np.int64), len(notches) - len(set(numbers.tolist()))


def _edges(drawing: Drawing, layers: tuple[Layer, ...]) -> tuple[Floats, int]:
    """Start, middle and end of each edge: x, y, x, y, x, y. Those of packed strokes come last.

    The number is that of the edges before them.
    """
    rows = [
        (*edge.start, *edge.at(0.5), *edge.end)
        for layer in layers
        for item in drawing.on(layer)
        for edge in edges_of(item.path)
        if edge.length() > SAME_POINT_MM
    ]
    lead = len(rows)
    if Layer.DRAW not in layers or not len(drawing.drawn):
        return np.array(rows, dtype=np.float64).reshape(-1, 6), lead
    first, last = drawing.drawn.edges()
    gap = np.abs(last - first)
    long = np.maximum(gap[:, 0], gap[:, 1]) > SAME_POINT_MM
    if not long.all():
        first, last = first[long], last[long]
    edges: Floats = np.empty((lead + len(first), 6))
    if lead:
        edges[:lead] = rows
    edges[lead:, :2] = first
    edges[lead:, 2:4] = (first + last) / 2
    edges[lead:, 4:] = last
    return edges, lead


def _unmatched(mine: Floats, theirs: Floats, leads: tuple[int, int], within_mm: float) -> tuple[Ints, Ints]:
    """Which edges of each have no partner in the other."""
    free_mine, free_theirs = np.ones(len(mine), dtype=bool), np.ones(len(theirs), dtype=bool)
    # Files of one plan have their strokes in one order: nearly all edges are matched by that alone.
    first, other = leads
    count = min(len(mine) - first, len(theirs) - other)
    in_step = _same(mine[first : first + count], theirs[other : other + count], within_mm)
    free_mine[first : first + count] = free_theirs[other : other + count] = ~in_step
    left, right = np.flatnonzero(free_mine), np.flatnonzero(free_theirs)
    if len(left) and len(right):
        index_mine, index_theirs = _in_one_cell(mine[left], theirs[right], within_mm)
        index_mine, index_theirs = left[index_mine], right[index_theirs]
        same = _same(mine[index_mine], theirs[index_theirs], within_mm)
        free_mine[index_mine[same]] = False
        free_theirs[index_theirs[same]] = False
        _match_rest(mine, theirs, (free_mine, free_theirs), within_mm)
    return np.flatnonzero(free_mine), np.flatnonzero(free_theirs)


def _in_one_cell(mine: Floats, theirs: Floats, within_mm: float) -> tuple[Ints, Ints]:
    """Pairs of edges whose middles are alone in their cell of a grid, in either file: nearly all."""
    size = _CELLS * within_mm
    whole = np.round(np.concatenate([mine[:, 2:4], theirs[:, 2:4]]) / size).astype(np.int64)
    # 100 m of cells of a twentieth of a mm fit into 22 bits.
    keys = whole[:, 0] * (1 << 31) + whole[:, 1]
    ours, others = keys[: len(mine)], keys[len(mine) :]
    one_keys, one_at, one_count = np.unique(ours, return_index=True, return_counts=True)
    two_keys, two_at, two_count = np.unique(others, return_index=True, return_counts=True)
    _, in_one, in_two = np.intersect1d(
        one_keys[one_count == 1], two_keys[two_count == 1], assume_unique=True, return_indices=True
    )
    return one_at[one_count == 1][in_one], two_at[two_count == 1][in_two]


def _match_rest(mine: Floats, theirs: Floats, free: tuple[_Flags, _Flags], within_mm: float) -> None:
    left, right = np.flatnonzero(free[0]), np.flatnonzero(free[1])
    if not len(left) or not len(right):
        return
    tree = shapely.STRtree(np.asarray(shapely.points(theirs[right, 2:4]), dtype=object))
    tries = 0
    for start in range(0, len(left), 1024):
        some = left[start : start + 1024]
        # A square: its corners are looked at more closely below.
        windows = shapely.box(*(mine[some, 2:4] - within_mm).T, *(mine[some, 2:4] + within_mm).T)
        index_mine, index_theirs = tree.query(windows)
        tries += len(index_mine)
        if tries > _MOST_TRIES:
            return
        index_mine, index_theirs = some[index_mine], right[index_theirs]
        same = _same(mine[index_mine], theirs[index_theirs], within_mm)
        for edge_mine, edge_theirs in zip(
            index_mine[same].tolist(), index_theirs[same].tolist(), strict=True
        ):
            if free[0][edge_mine] and free[1][edge_theirs]:
                free[0][edge_mine] = free[1][edge_theirs] = False


def _same(first: Floats, second: Floats, within_mm: float) -> _Flags:
    """Row by row, whether two edges are one, whichever way they run."""

    def distances(mine: slice, theirs: slice) -> Floats:
        gap = first[:, mine] - second[:, theirs]
        distance: Floats = np.hypot(gap[:, 0], gap[:, 1])
        return distance

    start, middle, end = slice(0, 2), slice(2, 4), slice(4, 6)
    along = np.maximum(distances(start, start), distances(end, end))
    against = np.maximum(distances(start, end), distances(end, start))
    return (np.minimum(along, against) <= within_mm) & (distances(middle, middle) <= within_mm)


def _lie_on(edges: Floats, drawing: Drawing, layers: tuple[Layer, ...], within_mm: float) -> _Flags:
    """Whether each edge lies on lines of a drawing: its start, middle and end, of an arc what is between."""
    points, owners = _along(edges)
    on = np.zeros(len(points), dtype=bool)
    paths = [item.path for layer in layers for item in drawing.on(layer)]
    circles = [path for path in paths if isinstance(path, Circle)]
    if len(circles) * len(points) > _MOST_TRIES:
        circles = []
    for circle in circles:
        off = np.hypot(points[:, 0] - circle.x, points[:, 1] - circle.y) - circle.radius
        on |= np.abs(off) <= within_mm
    others = [path for path in paths if not (circles and isinstance(path, Circle))]
    lines = [as_line(path, stray_mm=FLAT_ARC_MM / 10) for path in others]
    rest = np.flatnonzero(~on)
    if len(rest) and Layer.DRAW in layers:
        low, high = points[rest].min(axis=0) - within_mm, points[rest].max(axis=0) + within_mm
        first, last = drawing.drawn.about((*low, *high)).edges()
        # Edge by edge: a distance from a whole line is measured to all of its edges.
        lines += np.asarray(shapely.linestrings(np.stack([first, last], axis=1)), dtype=object).tolist()
    if len(rest) and lines:
        found = shapely.STRtree(lines).query(
            shapely.points(points[rest]), predicate="dwithin", distance=within_mm
        )
        on[rest[found[0]]] = True
    whole = np.ones(len(edges), dtype=bool)
    whole[owners[~on]] = False
    return whole


def _along(edges: Floats) -> tuple[Floats, Ints]:
    """Points along each edge, and the edge of each point."""
    owners = np.repeat(np.arange(len(edges)), 3)
    chord, rise = edges[:, 4:] - edges[:, :2], edges[:, 2:4] - (edges[:, :2] + edges[:, 4:]) / 2
    # A bulge above 0 rises to the right of its chord.
    height = chord[:, 1] * rise[:, 0] - chord[:, 0] * rise[:, 1]
    square = (chord**2).sum(axis=1)
    points, more = [edges.reshape(-1, 2)], [owners]
    is_arc = (np.hypot(rise[:, 0], rise[:, 1]) > FLAT_ARC_MM) & (square > SAME_POINT_MM**2)
    most = min(_MOST_STEPS, 1 + _MOST_POINTS // max(1, int(is_arc.sum())))
    for index in np.flatnonzero(is_arc).tolist():
        x, y, _, _, *end = edges[index].tolist()
        arc = arc_of(Vertex(x, y, 2 * float(height[index] / square[index])), (end[0], end[1]))
        sweep = math.radians(arc.sweep_deg)
        count = min(most, math.ceil(arc.radius * abs(sweep) / _STEP_MM))
        angles = math.radians(arc.start_deg) + sweep * (np.arange(count) + 0.5) / count
        points.append(np.array(arc.centre) + arc.radius * np.column_stack([np.cos(angles), np.sin(angles)]))
        more.append(np.full(count, index))
    return np.concatenate(points), np.concatenate(more)
