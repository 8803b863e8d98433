"""Shapes of a layout: outlines and holes, each a circle or a chain of vertices with bulges."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.check.layout.keys import Key, WrongError
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import chain, circle
from cutfiles.geometry.outline import Contour, Path, area


@dataclass(frozen=True, slots=True)
class Holes:
    """A shape's holes, and what is cut for each, in the shape's own frame."""

    inner: tuple[Contour, ...]
    lines: tuple[Contour, ...]


@dataclass(frozen=True, slots=True)
class Shapes:
    """By name: each shape's outline, what is cut for it, and the holes of those that have any."""

    shapes: dict[str, Contour]
    lines: dict[str, Contour]
    holes: dict[str, Holes]


def shapes_of(whole: Key) -> Shapes:
    """Return the shapes of a layout.

    Raises:
        WrongError: one of them is none.
    """
    entries = [(entry.find("name").text(), entry) for entry in whole.find("shapes", []).each()]
    return Shapes(
        {name: contour_of(entry.find("cut")) for name, entry in entries},
        {name: contour_of(entry.find("line", entry.find("cut").value)) for name, entry in entries},
        {name: _holes(entry) for name, entry in entries if entry.find("inner", []).value},
    )


def _holes(shape: Key) -> Holes:
    inner = tuple(contour_of(entry) for entry in shape.find("inner").each())
    entries = shape.find("inner_lines", None)
    lines = inner if entries.value is None else tuple(contour_of(entry) for entry in entries.each())
    if len(lines) != len(inner):
        raise WrongError(Code.BAD_LAYOUT, entries.path, f"{len(lines)} lines for {len(inner)} holes")
    return Holes(inner, lines)


def contour_of(key: Key) -> Contour:
    """Return a closed outline, counter-clockwise.

    Raises:
        WrongError: it is none.
    """
    if key.find("circle", None).value is not None:
        values = [entry.number() for entry in key.find("circle").each()]
        if len(values) != 3:
            raise WrongError(Code.BAD_LAYOUT, key.path, "a circle is x, y and radius")
        return _sound(circle(*values), key.path)
    return chain_of(key.find("vertices"), key.path)


def chain_of(key: Key, where: str) -> Contour:
    """Return a closed chain of vertices, counter-clockwise; `where` is said in an error.

    Raises:
        WrongError: it is none.
    """
    return _sound(chain([_corner(entry) for entry in key.each()], closed=True), where)


def _sound(contour: Contour | Fault, where: str) -> Contour:
    if isinstance(contour, Fault):
        raise WrongError(contour.code, where, contour.says)
    return contour if not isinstance(contour, Path) or area(contour) > 0 else contour.backwards()


def _corner(key: Key) -> tuple[float, float, float]:
    numbers = [entry.number() for entry in key.each()]
    if len(numbers) not in (2, 3):
        raise WrongError(Code.BAD_LAYOUT, key.path, "a vertex is x, y and bulge")
    return numbers[0], numbers[1], numbers[2] if len(numbers) == 3 else 0.0
