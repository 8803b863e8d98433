"""Labels in a column beside a picture, each joined to its place by a line; no two of them meet."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.geometry.outline import Point
from cutfiles.geometry.points import side
from cutfiles.sheet.markup.colours import INK
from cutfiles.sheet.markup.drawing import segment, words
from cutfiles.sheet.markup.markup import Element, svg

LINE_HEIGHT = 1.75  # of the font size, between the labels' base lines
HALO = "#ffffff"


@dataclass(frozen=True, slots=True)
class Label:
    """A text and the place in the picture that it speaks of (y down)."""

    text: str
    at: Point


@dataclass(frozen=True, slots=True)
class Column:
    """Where the labels stand: their left edge, and the height they should keep to."""

    left: float
    top: float
    bottom: float
    size: float  # of the font


def set_out(labels: tuple[Label, ...], column: Column) -> tuple[tuple[Label, Point], ...]:
    """Return each label with the start of its base line, evenly apart and without crossing lines."""
    step = LINE_HEIGHT * column.size
    order = sorted(labels, key=lambda label: (label.at[1], label.text))
    # Near the places they speak of, but pushed apart, and then back up if they pass the bottom.
    heights: list[float] = []
    for label in order:
        floor = heights[-1] + step if heights else column.top + column.size
        heights.append(max(label.at[1], floor))
    excess = heights[-1] - column.bottom if heights else 0.0
    if excess > 0:
        below = column.bottom
        for index in reversed(range(len(heights))):
            heights[index] = min(heights[index], below)
            below = heights[index] - step
    order = _uncrossed(order, [(column.left, height) for height in heights])
    return tuple((label, (column.left, height)) for label, height in zip(order, heights, strict=True))


def _uncrossed(order: list[Label], ends: list[Point]) -> list[Label]:
    """Swap labels whose lines cross. Each swap makes the lines shorter in all, so that it ends."""
    order = list(order)
    for _ in range(len(order) ** 3):
        crossing = next(
            (
                (i, j)
                for i in range(len(order))
                for j in range(i)
                if crosses(order[i].at, ends[i], order[j].at, ends[j])
            ),
            None,
        )
        if crossing is None:
            break
        i, j = crossing
        order[i], order[j] = order[j], order[i]
    return order


def crosses(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Return whether the straight lines from a to b and from c to d cross."""
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def leaders(placed: tuple[tuple[Label, Point], ...], column: Column) -> list[Element]:
    """Return the lines, the dots where they end, and the texts."""
    size = column.size
    lines, dots, texts = [], [], []
    for label, (x, y) in placed:
        end = (x - 0.4 * size, y - 0.3 * size)
        lines.append(segment(*label.at, *end, stroke=HALO, stroke_width="3", stroke_opacity="0.85"))
        lines.append(segment(*label.at, *end, stroke=INK, stroke_width="0.9"))
        dot = {"cx": f"{label.at[0]:.2f}", "cy": f"{label.at[1]:.2f}", "r": "2.6"}
        dots.append(svg("circle", **dot, fill=INK, stroke=HALO, stroke_width="1"))
        texts.append(words(label.text, x, y, size=size))
    return [*lines, *dots, *texts]
