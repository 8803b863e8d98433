"""The commonest entity of a DXF, a plain LINE to draw, taken by the hundred thousand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutfiles.formats.dxf.read_pairs import MOST_CODE, Stretch
from cutfiles.formats.model.strokes import Flags, Floats, Ints

_ENDS = (10, 20, 11, 21)
# Line types, thickness, what is invisible or of its own colour, paper space, tilted planes: not for here.
_ODD = (6, 39, 60, 62, 67, 210, 220, 230, 420)
# By code: looking up is quicker than comparing with each.
_IS_ODD = np.zeros(2 * MOST_CODE + 1, dtype=bool)
_IS_ODD[[code + MOST_CODE for code in _ODD]] = True
_HEIGHTS = (30, 31)
_NO_HEIGHT = (b"0.0", b"0")


@dataclass(frozen=True, slots=True)
class PlainLines:
    """Which entities of a stretch are plain lines to draw, and their ends."""

    starts: Ints  # where each entity begins
    names: Ints  # by entity: where its layer stands among the values
    _next_other: Ints  # by entity: the next that is no plain line
    _row: Ints  # by entity: its row among the ends
    _ends: Floats

    def run_from(self, index: int) -> int:
        """Return the first entity from here on that is no plain line."""
        return int(self._next_other[index])

    def ends_of(self, first: int, last: int) -> Floats:
        """Return x, y of both ends of plain lines in a row."""
        rows: Floats = self._ends[self._row[first] : self._row[first] + last - first]
        return rows


def lines_in(stretch: Stretch, to_draw: frozenset[bytes]) -> PlainLines:
    """Return the plain lines of a stretch.

    Args:
        stretch: whole entities.
        to_draw: names of layers, in capitals.
    """
    codes = stretch.codes
    begun = codes == 0
    starts = np.flatnonzero(begun)
    count = len(starts)
    entity = np.cumsum(begun) - 1
    plain = stretch.are(starts, b"LINE")
    where: dict[int, Ints] = {}
    for code in (8, *_ENDS):
        indices = np.flatnonzero(codes == code)
        plain &= np.bincount(entity[indices], minlength=count) == 1
        first = np.zeros(count, dtype=np.int64)
        first[entity[indices]] = indices
        where[code] = first
    plain[entity[_IS_ODD[codes + MOST_CODE]]] = False
    heights = np.flatnonzero((codes == _HEIGHTS[0]) | (codes == _HEIGHTS[1]))
    level = np.logical_or.reduce([stretch.are(heights, text) for text in _NO_HEIGHT])
    plain[entity[heights[~level]]] = False
    chosen = np.flatnonzero(plain)
    chosen = chosen[_on_layers(stretch, where[8][chosen], to_draw)]
    # What is no number is looked at more closely, and told, by the reader of single entities.
    columns = np.concatenate([where[code][chosen] for code in _ENDS])
    ends = stretch.numbers(columns).reshape(len(_ENDS), -1).T
    good = np.isfinite(ends).all(axis=1)
    ends = ends[good]
    is_plain = np.zeros(count, dtype=bool)
    is_plain[chosen[good]] = True
    return PlainLines(starts, where[8], _next_false(is_plain), np.cumsum(is_plain) - 1, ends)


def _on_layers(stretch: Stretch, names: Ints, layers: frozenset[bytes]) -> Flags:
    """Which of some values are the name of one of the layers, in capitals or not."""
    on: Flags = np.zeros(len(names), dtype=bool)
    for layer in layers:
        on |= stretch.are(names, layer)
    rest = np.flatnonzero(~on)
    on[rest] = [name.strip().upper() in layers for name in stretch.values(names[rest])]
    return on


def _next_false(flags: Flags) -> Ints:
    others = np.append(np.flatnonzero(~flags), len(flags))
    return others[np.searchsorted(others, np.arange(len(flags)))]
