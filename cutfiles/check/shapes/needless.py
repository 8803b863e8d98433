"""Curves broken into needless points: slow to cut, and rough at every corner."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from cutfiles.core.tolerance import FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Capabilities, Item
from cutfiles.formats.model.strokes import Floats
from cutfiles.geometry.outline import Contour, Path

_LEAST_RUN = 6  # corners in the middle of five on one circle: ten points in a row, at least
_MOST_TURN_DEG = 12.0  # at a corner; a polygon of 30 sides and less is meant as one
_CLOSE_MM = 0.15  # six units of a plotter: no machine needs points as near
_CLOSE_RUN = 24
_Flags = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def needless_points(outlines: Sequence[Item], kind: Capabilities) -> Iterator[tuple[Item, Fault]]:
    """Yield each outline that has points where an arc or a straight line would do, with the fault.

    Args:
        outlines: what is cut.
        kind: whether the format can write an arc; if not, only points without measure count.
    """
    if not kind.as_written:
        return
    has_arcs = kind.has_arcs
    for item in outlines:
        count = needless(item.path, has_arcs=has_arcs)
        if count:
            what = "on arcs or straight lines" if has_arcs else f"nearer than {_CLOSE_MM:g} mm to the next"
            yield item, Fault(Code.NEEDLESS_POINTS, item.place, f"{count} points lie {what}")


def needless(path: Contour, *, has_arcs: bool) -> int:
    """Return how many corners of a closed path are needless, 0 where there are but a few."""
    if not isinstance(path, Path) or len(path.vertices) <= _LEAST_RUN + 4:
        return 0
    points = np.array([vertex[:2] for vertex in path.vertices])
    straight = np.array([vertex.bulge == 0 for vertex in path.vertices])
    close = np.hypot(*(np.roll(points, -1, axis=0) - points).T) < _CLOSE_MM
    count = _long_runs(close & straight, _CLOSE_RUN)
    if has_arcs:
        flags = _on_one_circle(points) & straight & np.roll(straight, 1)
        flags &= np.roll(straight, 2) & np.roll(straight, -1)
        count = max(count, _long_runs(flags, _LEAST_RUN))
    return count


def _long_runs(flags: _Flags, least: int) -> int:
    """How many flags stand in runs of at least that many, around the ring."""
    if flags.all():
        return len(flags)
    first = int(np.flatnonzero(~flags)[0])
    turned = np.concatenate([[0], np.roll(flags, -first).astype(np.int8), [0]])
    steps = np.diff(turned)
    runs = np.flatnonzero(steps == -1) - np.flatnonzero(steps == 1)
    return int(runs[runs >= least].sum())


def _on_one_circle(points: Floats) -> _Flags:
    """For each corner, whether it and the two before and after lie on one circle or straight line."""
    a, b, c, d, e = (np.roll(points, shift, axis=0) for shift in (2, 1, 0, -1, -2))
    on_line = np.maximum.reduce([_off_chord(a, e, point) for point in (b, c, d)]) <= FILE_MM / 4
    ahead = np.all([_ahead(*three) for three in ((a, b, c), (b, c, d), (c, d, e))], axis=0)
    # The centre of the circle through a, c and e, as seen from c.
    p, q = a - c, e - c
    twice = 2 * (p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        pp, qq = (p * p).sum(axis=1), (q * q).sum(axis=1)
        x = (q[:, 1] * pp - p[:, 1] * qq) / twice
        y = (p[:, 0] * qq - q[:, 0] * pp) / twice
        radius = np.hypot(x, y)
        middle = c + np.column_stack([x, y])
        off = np.maximum.reduce([np.abs(np.hypot(*(point - middle).T) - radius) for point in (b, d)])
        on_circle = np.isfinite(off) & (off <= FILE_MM / 2)
    on_curve: _Flags = ahead & (on_line | on_circle)
    return on_curve


def _off_chord(start: Floats, end: Floats, point: Floats) -> Floats:
    along, to = end - start, point - start
    span = np.maximum(np.hypot(*along.T), 1e-12)
    off: Floats = np.abs(along[:, 0] * to[:, 1] - along[:, 1] * to[:, 0]) / span
    return off


def _ahead(before: Floats, corner: Floats, after: Floats) -> _Flags:
    """Whether a corner turns by so little that it may stand for a curve."""
    into, out = corner - before, after - corner
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    turn = np.degrees(np.arctan2(cross, (into * out).sum(axis=1)))
    slight: _Flags = np.abs(turn) <= _MOST_TURN_DEG
    return slight
