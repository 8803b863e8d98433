"""DXF text taken apart: group codes and values, entity by entity, a few megabytes at a time. Own code.

Source: Autodesk, DXF reference: a file is pairs of lines, a group code and its value; code 0 begins an
entity, a section, or the end.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from cutfiles.core.errors import UnreadableError
from cutfiles.findings.limits import CHUNK_BYTES

_MOST_CODE = 9999  # the reference ends at 1071


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


@dataclass(frozen=True, slots=True)
class Stretch:
    """Whole entities in a row: the pairs of all of them, and the line of the first code."""

    codes: list[int]
    values: list[bytes]
    line: int

    def entity(self, first: int, after: int) -> Entity:
        """Return the entity whose pairs are these."""
        codes, values = self.codes[first + 1 : after], self.values[first + 1 : after]
        return Entity(shown(self.values[first]), self.line_of(first), codes, values)

    def line_of(self, index: int) -> int:
        """Return the line on which a pair's value stands."""
        return self.line + 2 * index + 1


class _Codes(dict[bytes, int]):
    """Group codes by how they are written: a file has a few dozen, each many thousand times."""

    def __missing__(self, text: bytes) -> int:
        code = whole_of(text.strip())
        if abs(code) > _MOST_CODE:
            raise ValueError
        if len(self) < 10_000:
            self[text] = code
        return code


def stretches(content: bytes) -> Iterator[Stretch]:
    """Yield the file in stretches, each beginning with the code 0 of an entity.

    What stands before the first code 0 (comments) is left out.

    Raises:
        UnreadableError: something else stands where a group code should.
    """
    known = _Codes()
    # Looking for them first is quicker than stripping millions of values.
    padded = any(end in content for end in (b"\r", b" \n", b"\t\n"))
    codes: list[int] = []
    values: list[bytes] = []
    line, at = 1, 0
    rest: list[bytes] = []
    while at < len(content):
        end = content.find(b"\n", min(at + CHUNK_BYTES, len(content)))
        end = len(content) if end < 0 else end
        lines = rest + content[at:end].split(b"\n")
        at = end + 1
        # A last line that nothing ends is no whole pair's; nor is a code without its value.
        rest = lines[len(lines) // 2 * 2 :]
        new = lines[0 : len(lines) - len(rest) : 2]
        try:
            codes += map(known.__getitem__, new)
        except ValueError:
            raise _no_code(new, line + 2 * len(values)) from None
        new_values = lines[1 : len(lines) - len(rest) : 2]
        values += [value.rstrip() for value in new_values] if padded else new_values
        last = _last_zero(codes)
        if at < len(content) and last > 0:
            yield from _from_first_zero(codes[:last], values[:last], line)
            line += 2 * last
            codes, values = codes[last:], values[last:]
    yield from _from_first_zero(codes, values, line)


def _last_zero(codes: list[int]) -> int:
    return next((index for index in range(len(codes) - 1, -1, -1) if codes[index] == 0), 0)


def _from_first_zero(codes: list[int], values: list[bytes], line: int) -> Iterator[Stretch]:
    if 0 in codes:
        first = codes.index(0)
        yield Stretch(codes[first:], values[first:], line + 2 * first)


def _no_code(texts: list[bytes], line: int) -> UnreadableError:
    known = _Codes()
    for index, text in enumerate(texts):
        try:
            _ = known[text]
        except ValueError:
            words = f"{shown(text)[:20]!r} stands where a DXF has a group code"
            return UnreadableError(f"line {line + 2 * index}: {words}")
    return UnreadableError("is no DXF")
