"""Cuts in words, followed with a ruler: they part the cloth as it is meant."""

from __future__ import annotations

import re

import pytest

from cutfiles.core.units import Unit
from cutfiles.nest.cutting_rules.guillotine import through_cuts
from cutfiles.sheet.markup.cut_words import cut_words

IN = 25.4
Box = tuple[float, float, float, float]

_LINE = re.compile(
    r"(?P<first>\d+)(?: (?:and|to) (?P<last>\d+))?: (?P<way>across|along the grain), (?P<off>\d+) in "
    r"(?P<from>from the (?:lower|left) edge(?: of each)?|further(?: each time)?)"
)


def _followed(lines: list[str], whole: Box) -> list[Box]:
    """What lies there after all cuts: each goes through one part, "further" through what is left of it."""
    parts, last = [whole], whole
    for line in lines:
        match = _LINE.fullmatch(line)
        assert match, line
        off, across = float(match["off"]), match["way"] == "across"
        for _ in range(int(match["last"] or match["first"]) - int(match["first"]) + 1):
            if match["from"].startswith("from"):
                size = [part[3] - part[1] if across else part[2] - part[0] for part in parts]
                last = next(part for part, room in zip(parts, size, strict=True) if room > off + 1e-6)
            left, low, right, high = last
            cut_off = (left, low, right, low + off) if across else (left, low, left + off, high)
            rest = (left, low + off, right, high) if across else (left + off, low, right, high)
            parts.remove(last)
            parts += [cut_off, rest]
            parts.sort(key=lambda part: (part[1], part[0]))
            last = rest
    return parts


@pytest.mark.parametrize(("columns", "rows"), [(3, 2), (1, 4), (2, 3)])
def test_rows_of_alike_squares_come_out(columns: int, rows: int) -> None:
    """The next row begins at its own left edge: it is no "further" of the row before."""
    squares = [
        (13.0 * column, 13.0 * row, 13.0 * (column + 1), 13.0 * (row + 1))
        for column in range(columns)
        for row in range(rows)
    ]
    whole = (0.0, 0.0, 13.0 * columns + 3, 13.0 * rows + 1)
    in_mm = [tuple(side * IN for side in square) for square in (whole, *squares)]
    cuts = through_cuts(in_mm[0], in_mm[1:])  # type: ignore[arg-type]
    assert cuts is not None
    lying = {tuple(round(side) for side in part) for part in _followed(cut_words(cuts, Unit.IN), whole)}
    assert {tuple(round(side) for side in square) for square in squares} <= lying
