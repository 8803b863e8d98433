"""Strips that are cut by hand: whether their marks make the pieces that they should, and no two overlap."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from cutfiles.check.layout.layout import ONE_WAY, SIDE_BY_SIDE, KnownLayout, KnownStrip
from cutfiles.core.tolerance import GAP_CHECK_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.geometry.outline import Contour, Path, bounds
from cutfiles.geometry.rectangles import beyond_mm, depth_mm

# Marks have six decimals in the layout; a mark is where four of them meet.
_MARK_MM = 4 * GAP_CHECK_MM
_MOST_FAULTS = 20

_SideMarks = tuple[tuple[float, float], tuple[float, float]]  # above and below, of a piece's two sides
_EndWidths = tuple[float, float]  # how wide a piece is above and below


def strip_faults(layout: KnownLayout) -> Iterator[Fault]:
    """Yield what is wrong with a layout's strips."""
    counts: Counter[tuple[str, str]] = Counter()
    for strip in layout.strips:
        counts[strip.fabric, strip.shape] += strip.count
        yield from (Fault(Code.WRONG_STRIP, strip.key, says) for says in _mark_faults(strip, layout))
    if layout.strips:
        for key in sorted({*counts, *layout.by_hand}):
            if counts[key] != layout.by_hand.get(key, 0):
                said = layout.by_hand.get(key, 0)
                says = f"{said} {key[1]} counted, {counts[key]} on the strips"
                yield Fault(Code.WRONG_STRIP, key[0], says)
    yield from _overlapping(layout)


def _mark_faults(strip: KnownStrip, layout: KnownLayout) -> Iterator[str]:
    cut = layout.shapes[strip.shape]
    pairs = list(pairwise(strip.marks))
    pieces = pairs[::2] if strip.lie == ONE_WAY else pairs
    if len(pieces) != strip.count:
        yield f"is marked for {len(pieces)} pieces, {strip.count} are said"
    width, length = (strip.box[axis + 2] - strip.box[axis] for axis in (0, 1))
    long = length if strip.is_lengthwise else width
    places = [place for mark in strip.marks for place in mark]
    over = beyond_mm((min(places), 0.0, max(places), 0.0), (0.0, 0.0, long, 0.0)) if places else 0.0
    if over > _MARK_MM:
        yield f"has a mark {over:.4g} mm beyond its end"
    ends = None if strip.lie == SIDE_BY_SIDE else _ends(cut)
    if ends is None:
        left, low, right, high = bounds(cut)
        ends = (right - left, right - left)
        if strip.height_mm < high - low - _MARK_MM:
            yield f"is {strip.height_mm:.4f} mm high, and its pieces {high - low:.4f}"
        wrong = [piece for piece in pieces if min(_widths(piece)) < ends[0] - _MARK_MM]
    else:
        _, low, _, high = bounds(cut)
        if abs(strip.height_mm - (high - low)) > _MARK_MM:
            yield f"is {strip.height_mm:.4f} mm high, and its pieces {high - low:.4f}"
        turned = ends if strip.lie == ONE_WAY else ends[::-1]
        wrong = [
            piece
            for number, piece in enumerate(pieces)
            if not _is_wedge(piece, turned if number % 2 else ends)
        ]
    for piece in wrong[:_MOST_FAULTS]:
        above, below = _widths(piece)
        words = f"{above:.4f} mm wide above and {below:.4f} below"
        yield f"a piece is {words} between its marks, and {strip.shape} is {ends[0]:.4f} and {ends[1]:.4f}"


def _widths(piece: _SideMarks) -> _EndWidths:
    (above, below), (next_above, next_below) = piece
    return (next_above - above, next_below - below)


def _is_wedge(piece: _SideMarks, ends: _EndWidths) -> bool:
    """Whether marks make a wedge of these ends, equally slanted on both sides."""
    same = all(abs(width - end) <= _MARK_MM for width, end in zip(_widths(piece), ends, strict=True))
    (above, below), (next_above, next_below) = piece
    return same and abs((above + next_above) - (below + next_below)) <= 2 * _MARK_MM


def _ends(cut: Contour) -> _EndWidths | None:
    """How wide a wedge is at its upper and lower end; None of what has no two long straight sides.

    The sides are those two edges that reach up furthest. Carried on, they end where the shape does: of a
    round tip they meet the height of its top beyond the arc.
    """
    if not isinstance(cut, Path):
        return None
    _, low, _, high = bounds(cut)
    sides = sorted(
        (
            (start, end)
            for start, end in cut.edges()
            if not start.bulge and abs(end[1] - start.y) > (high - low) / 2
        ),
        key=lambda side: side[0].x + side[1][0],
    )
    if len(sides) != 2:
        return None

    def at(side: int, y: float) -> float:
        start, (x, end_y) = sides[side]
        return start.x + (x - start.x) * (y - start.y) / (end_y - start.y)

    return (at(1, high) - at(0, high), at(1, low) - at(0, low))


def _overlapping(layout: KnownLayout) -> Iterator[Fault]:
    """Strips of one piece, as far as their pieces take them, swept from the lower edge up."""
    by_piece: dict[tuple[str, int], list[tuple[KnownStrip, tuple[float, float, float, float]]]] = {}
    for strip in layout.strips:
        row = max((place for mark in strip.marks for place in mark), default=0.0)
        left, low, right, high = strip.box
        taken = (left, low, right, low + row) if strip.is_lengthwise else (left, low, left + row, high)
        by_piece.setdefault((strip.fabric, strip.piece), []).append((strip, taken))
    for placed in by_piece.values():
        active: list[tuple[KnownStrip, tuple[float, float, float, float]]] = []
        for strip, box in sorted(placed, key=lambda entry: entry[1][1]):
            active = [(other, earlier) for other, earlier in active if earlier[3] > box[1]]
            for other, earlier in active:
                depth = depth_mm(box, earlier)
                if depth > _MARK_MM:
                    yield Fault(Code.WRONG_STRIP, strip.key, f"lies {depth:.4g} mm over {other.key}")
            active.append((strip, box))
