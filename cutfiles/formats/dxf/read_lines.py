"""The commonest entity of a DXF, a plain LINE to draw, taken by the hundred thousand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cutfiles.formats.dxf.read_pairs import Stretch
from cutfiles.formats.model.strokes import Floats, Ints

_ENDS = (10, 20, 11, 21)
# Line types, thickness, what is invisible or of its own colour, paper space, tilted planes: not for here.
_ODD = (6, 39, 60, 62, 67, 210, 220, 230, 420)
# By code: looking up is quicker than comparing with each.
_MOST_CODE = 9999
_IS_ODD = np.zeros(2 * _MOST_CODE + 1, dtype=bool)
_IS_ODD[[code + _MOST_CODE for code in _ODD]] = True
_HEIGHTS = (30, 31)
_NO_HEIGHT = {b"0", b"0.0"}


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


def lines_in(stretch: Stretch, codes: Ints, to_draw: frozenset[bytes]) -> PlainLines:
    """Return the plain lines of a stretch.

    Args:
        stretch: whole entities.
        codes: its group codes.
        to_draw: names of layers, in capitals.
    """
    starts = np.flatnonzero(codes == 0)
    count = len(starts)
    values = stretch.values
    entity = np.cumsum(codes == 0) - 1
    plain = np.array([values[start] == b"LINE" for start in starts.tolist()], dtype=bool)
    where: dict[int, Ints] = {}
    for code in (8, *_ENDS):
        indices = np.flatnonzero(codes == code)
        plain &= np.bincount(entity[indices], minlength=count) == 1
        first = np.zeros(count, dtype=np.int64)
        first[entity[indices]] = indices
        where[code] = first
    plain[entity[_IS_ODD[codes + _MOST_CODE]]] = False
    heights = np.flatnonzero((codes == _HEIGHTS[0]) | (codes == _HEIGHTS[1])).tolist()
    if not set(map(values.__getitem__, heights)) <= _NO_HEIGHT:
        plain[entity[[index for index in heights if values[index] not in _NO_HEIGHT]]] = False
    chosen = np.flatnonzero(plain)
    on_draw = [values[index].strip().upper() in to_draw for index in where[8][chosen].tolist()]
    chosen = chosen[np.array(on_draw, dtype=bool)]
    columns = []
    good = np.ones(len(chosen), dtype=bool)
    for code in _ENDS:
        numbers = _numbers([values[index] for index in where[code][chosen].tolist()])
        good &= np.isfinite(numbers)
        columns.append(numbers)
    ends = np.column_stack(columns)[good]
    is_plain = np.zeros(count, dtype=bool)
    is_plain[chosen[good]] = True
    return PlainLines(starts, where[8], _next_false(is_plain), np.cumsum(is_plain) - 1, ends)


def _numbers(texts: list[bytes]) -> Floats:
    try:
        return np.array(list(map(float, texts)), dtype=np.float64)
    except ValueError:
        return np.array([_number(text) for text in texts], dtype=np.float64)


def _number(text: bytes) -> float:
    try:
        return float(text)
    except ValueError:
        return float("nan")  # looked at more closely, and told, by the reader of single entities


def _next_false(flags: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> Ints:
    others = np.append(np.flatnonzero(~flags), len(flags))
    return others[np.searchsorted(others, np.arange(len(flags)))]
