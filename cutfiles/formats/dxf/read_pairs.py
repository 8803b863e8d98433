"""DXF text taken apart: group codes and values, entity by entity, a few megabytes at a time. Own code.

Source: Autodesk, DXF reference: a file is pairs of lines, a group code and its value; code 0 begins an
entity, a section, or the end.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from cutfiles.core.errors import UnreadableError
from cutfiles.findings.limits import CHUNK_BYTES
from cutfiles.formats.model.decimals import Signs, decimals
from cutfiles.formats.model.strokes import Flags, Floats, Ints

MOST_CODE = 9999  # either way; the reference ends at 1071
_MET = MOST_CODE + 1
_SIGNS = 3  # of nearly all codes, as they are written
_NEW_LINE = 10
_IS_BLANK = np.zeros(256, dtype=bool)
_IS_BLANK[list(b" \t\n\r\x0b\f")] = True
_FEW_BLANKS = 8


@dataclass(slots=True)
class Entity:
    """One entity: its kind, its pairs, and for an old polyline its vertices."""

    kind: str
    line: int
    codes: list[int]
    values: list[bytes]
    vertices: list[Entity] = field(default_factory=list)

    def text(self, code: int, default: str = "") -> str:
        """Return the first value of a group code."""
        try:
            return shown(self.values[self.codes.index(code)])
        except ValueError:
            return default

    def number(self, code: int, default: float = 0.0) -> float:
        """Return the first value of a group code as a number; ValueError if it is none."""
        try:
            value = self.values[self.codes.index(code)]
        except ValueError:
            return default
        return number_of(value)

    def flags(self) -> int:
        """Return group 70, the flags; ValueError if it is no whole number."""
        return whole_of(self.text(70, "0"))


def shown(value: bytes) -> str:
    """Return a value as text."""
    return value.decode("utf-8", errors="replace").strip()


def number_of(value: bytes | str) -> float:
    """Return a value as a number; ValueError if it is none."""
    try:
        number = float(value)
    except ValueError:
        raise ValueError(f"{_short(value)!r} is no number") from None
    if not math.isfinite(number):
        raise ValueError(f"{_short(value)!r} is no finite number")
    return number


def whole_of(text: str | bytes) -> int:
    """Return a value as a whole number; ValueError if it is none."""
    if len(text) > 11:
        raise ValueError(f"{_short(text)!r} is no whole number")
    try:
        return int(text)
    except ValueError:
        raise ValueError(f"{_short(text)!r} is no whole number") from None


def _short(value: bytes | str) -> str:
    return (shown(value) if isinstance(value, bytes) else value)[:40]


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Whole entities in a row: group codes, and where each value stands. Values are cut out when asked for.

    Args:
        content: the file.
        signs: the same, as numbers.
        codes: the group codes; the first is 0.
        begins: where each value begins in the file.
        ends: where it ends, blanks behind it left out.
        line: that of the first code.
    """

    content: bytes
    signs: Signs
    codes: Ints
    begins: Ints
    ends: Ints
    line: int

    def value(self, index: int) -> bytes:
        """Return one value."""
        return self.content[self.begins[index] : self.ends[index]]

    def values(self, indices: Ints | slice) -> Iterator[bytes]:
        """Yield some of the values."""
        begins, ends = self.begins[indices].tolist(), self.ends[indices].tolist()
        return map(self.content.__getitem__, map(slice, begins, ends))

    def numbers(self, indices: Ints) -> Floats:
        """Return some of the values as numbers, NaN where there is none."""
        return decimals(self.content, self.signs, self.begins[indices], self.ends[indices])

    def are(self, indices: Ints, text: bytes) -> Flags:
        """Return which of some values are a text."""
        begins = self.begins[indices]
        same: Flags = self.ends[indices] - begins == len(text)
        for place, sign in enumerate(text):
            same &= self.signs.take(begins + place, mode="clip") == sign
        return same

    def entity(self, first: int, after: int) -> Entity:
        """Return the entity whose pairs are these."""
        rest = slice(first + 1, after)
        codes, values = self.codes[rest].tolist(), list(self.values(rest))
        return Entity(shown(self.value(first)), self.line_of(first), codes, values)

    def line_of(self, index: int) -> int:
        """Return the line on which a pair's value stands."""
        return self.line + 2 * index + 1


def stretches(content: bytes) -> Iterator[Stretch]:
    """Yield the file in stretches, each beginning with the code 0 of an entity.

    What stands before the first code 0 (comments) is left out.

    Raises:
        UnreadableError: something else stands where a group code should.
    """
    signs: Signs = np.frombuffer(content, dtype=np.uint8)
    line, at, size = 1, 0, CHUNK_BYTES
    while at < len(content):
        after = content.find(b"\n", min(at + size, len(content)))
        after = len(content) if after < 0 else after
        begins, ends = _lines(content, signs, at, after)
        # A last line that nothing ends is no whole pair's; nor is a code without its value.
        whole = len(begins) // 2 * 2
        codes = _codes(content, signs, begins[:whole:2], ends[:whole:2], line)
        zeros = np.flatnonzero(codes == 0)
        is_last = after == len(content)
        # The last entity goes on in what comes next: it is read with that.
        stop = len(codes) if is_last or not len(zeros) else int(zeros[-1])
        if len(zeros) and zeros[0] < stop:
            first = int(zeros[0])
            span = slice(2 * first + 1, 2 * stop, 2)
            yield Stretch(content, signs, codes[first:stop], begins[span], ends[span], line + 2 * first)
        elif not is_last and stop == 0:
            size *= 2  # one entity is longer than all that was read
            continue
        if is_last:
            return
        line, size = line + 2 * stop, CHUNK_BYTES
        at = int(begins[2 * stop]) if 2 * stop < len(begins) else after + 1


def _lines(content: bytes, signs: Signs, first: int, after: int) -> tuple[Ints, Ints]:
    """Where each line of a part of the file begins, and where it ends without the blanks behind it."""
    breaks = np.flatnonzero(signs[first:after] == _NEW_LINE) + first
    begins, ends = np.concatenate([[first], breaks + 1]), np.concatenate([breaks, [after]])
    blank = np.arange(len(ends))
    for _ in range(_FEW_BLANKS):
        blank = blank[ends[blank] > begins[blank]]
        blank = blank[_IS_BLANK[signs[ends[blank] - 1]]]
        if not len(blank):
            return begins, ends
        ends[blank] -= 1
    for index in blank.tolist():
        ends[index] = begins[index] + len(content[begins[index] : ends[index]].rstrip())
    return begins, ends


def _codes(content: bytes, signs: Signs, begins: Ints, ends: Ints, line: int) -> Ints:
    """The group codes in some lines of the file, the first of them the line with that number."""
    table = _table()
    sizes = ends - begins
    keys = np.zeros(len(begins), dtype=np.int64)
    for place in range(_SIGNS):
        sign = signs.take(begins + place, mode="clip").astype(np.int64) << 8 * place
        keys += np.where(sizes > place, sign, 0)
    codes = table[keys].astype(np.int64) - _MET
    wrong: list[int] = []
    new = np.flatnonzero((codes == -_MET) & (sizes <= _SIGNS))
    for index in new[np.unique(keys[new], return_index=True)[1]].tolist():
        code = _code(content[begins[index] : ends[index]])
        if code is None:
            wrong.append(index)
        else:
            table[keys[index]] = code + _MET
    codes[new] = table[keys[new]].astype(np.int64) - _MET
    for index in np.flatnonzero(sizes > _SIGNS).tolist():
        code = _code(content[begins[index] : ends[index]])
        if code is None:
            wrong.append(index)
            break
        codes[index] = code
    if wrong:
        first = min(wrong)
        text = shown(content[begins[first] : ends[first]])[:20]
        raise UnreadableError(f"line {line + 2 * first}: {text!r} stands where a DXF has a group code")
    return codes


@lru_cache(maxsize=1)
def _table() -> np.ndarray[tuple[int], np.dtype[np.int16]]:
    """Group codes, above zero by `_MET`, by the signs that they are written with; 0 for what wasn't met yet.

    A file has a few dozen ways to write one, each many thousand times. Of the 32 MB only the pages that are
    touched take memory.
    """
    return np.zeros(1 << 8 * _SIGNS, dtype=np.int16)


@lru_cache(maxsize=10_000)
def _code(text: bytes) -> int | None:
    try:
        code = whole_of(text.strip())
    except ValueError:
        return None
    return code if abs(code) <= MOST_CODE else None
