"""The first page of a PDF: squares to measure, what each line is, how the pages are joined, their map."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.core.units import MM_PER_INCH, Unit, in_both
from cutfiles.formats.model.tool import Drawn
from cutfiles.formats.paper.tiles import Tiling
from cutfiles.formats.pdf.write_document import Page
from cutfiles.formats.pdf.write_ink import (
    BOLD_MORE,
    StrokeStyle,
    box,
    lines,
    on_layer,
    words,
    words_width,
    wrapped,
)
from cutfiles.formats.pdf.write_lines import NAMES, REGISTER_NAME
from cutfiles.formats.pdf.write_map import large_map, scale_of
from cutfiles.formats.pdf.write_tile import ALIGN, MAT_EDGE, SEAM, TiledLoad, align_mark
from cutfiles.geometry.outline import Contour, Point

SQUARES = ((50.0, "50 mm"), (MM_PER_INCH, "1 in"))
PAGE_LAYER = "page"
_ROLL_HEIGHT_MM = 280.0
_RULE = StrokeStyle(0.2, "#000000")
_TITLE_MM, _TEXT_MM, _LINE_MM = 6.0, 3.2, 4.6
_APART_MM = 8.0
_SAMPLE_MM = 14.0


def cover(load: TiledLoad, samples: Sequence[tuple[str, StrokeStyle]], outlines: Sequence[Contour]) -> Page:
    """Return the first page, upright.

    Args:
        load: what all pages have in common.
        samples: names and pens of the lines on them.
        outlines: what is cut, for the map.
    """
    paper, whole, mat = load.paper, load.whole, load.mat
    width, height = paper.sheet_mm or (paper.roll_width_mm or 0.0, _ROLL_HEIGHT_MM)
    left, right, top = paper.margin_mm, width - paper.margin_mm, height - paper.margin_mm
    parts = [words(left, top - _TITLE_MM, _title(load.name, right - left), size_mm=_TITLE_MM, bold=True)]
    foot = top - _TITLE_MM - 3.0
    foot, text = _block(left, foot, right - left, (_measure(),))
    parts.append(text)
    foot -= 3.0 + SQUARES[0][0]
    x = left
    for side, says in SQUARES:
        parts.append(f"{_RULE.operators()}{box(x, foot, side, side)}S\n")
        middle = x + (side - words_width(says, size_mm=_TEXT_MM)) / 2
        parts.append(words(middle, foot + side / 2, says, size_mm=_TEXT_MM))
        x += side + _APART_MM
    parts.append(_legend(x, foot + SQUARES[0][0], samples, is_joined=len(whole.printed) > 1))
    foot, text = _block(left, foot - 4.0, right - left, _steps(whole, mat, paper.unit))
    parts.append(text)
    room = (right - left, foot - 4.0 - paper.margin_mm)
    scale = scale_of(mat, room)
    at = (left, foot - 4.0 - mat[1] * scale)
    parts.append(large_map(at, scale, whole, mat, outlines))
    return Page(width, height, on_layer(PAGE_LAYER, "".join(parts)))


def _title(name: str, width_mm: float) -> str:
    whole = f"{name}: print at 100 %"
    return whole if words_width(whole, size_mm=_TITLE_MM) * BOLD_MORE <= width_mm else name


def _measure() -> str:
    return (
        "Print this page first and measure both squares along all sides: 50 mm and 1 in. If they are "
        'off, the print was scaled: print again at 100\xa0% or "actual size", with "fit to page" and '
        '"shrink" off. Don\'t cut by a print whose squares are off.'
    )


def _steps(whole: Tiling, mat: tuple[float, float], unit: Unit) -> tuple[str, ...]:
    steps = []
    pages = len(whole.printed)
    empty = [f"{tile.row}-{tile.column}" for tile in whole.tiles if tile.is_empty]
    if pages == 0:
        return ("There is nothing on this load to print.",)
    if pages > 1:
        steps += [
            f"{pages} pages follow, named by row and column as in the map. Trim a page along the dotted "
            "lines at its right and its upper edge, through the diamonds, where it has such lines.",
            "Begin at the bottom left. Lay each page over its neighbours to the right and above, so that the "
            "diamonds meet, and tape it. Lines that run on must meet as well.",
        ]
    else:
        steps.append("One page follows.")
    if empty:
        left_out = "Left out, for nothing is on it" if len(empty) == 1 else "Left out, for nothing is on them"
        steps.append(f"{left_out}: {_listed(empty)}. A page without dotted lines lies by itself.")
    steps.append(
        f"The edges in long grey dashes are {in_both(mat[0], unit)} by {in_both(mat[1], unit)} apart: "
        "measure a long line before you cut. Paper stretches a little when it is damp."
    )
    return tuple(steps)


def _listed(names: Sequence[str], most: int = 12) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"


def _block(x: float, top: float, width_mm: float, paragraphs: Sequence[str]) -> tuple[float, str]:
    """Paragraphs as lines of words; where they end."""
    parts = []
    for paragraph in paragraphs:
        for text in wrapped(paragraph, size_mm=_TEXT_MM, width_mm=width_mm):
            top -= _LINE_MM
            parts.append(words(x, top, text, size_mm=_TEXT_MM))
        top -= 1.0
    return top, "".join(parts)


def _legend(x: float, top: float, samples: Sequence[tuple[str, StrokeStyle]], *, is_joined: bool) -> str:
    """A piece of each kind of line, with what it is."""
    rows = [*samples, ("edge of mat or stock", MAT_EDGE)]
    parts = []
    for name, pen in [*rows, *([("trim and join here", SEAM)] if is_joined else [])]:
        top -= _LINE_MM
        parts.append(pen.operators() + lines(*_sample(name, x, top + 1.1)))
        if pen is SEAM:
            parts.append(f"{ALIGN.operators()}{align_mark(x + _SAMPLE_MM / 2, top + 1.1, reach_mm=2.0)}")
        parts.append(words(x + _SAMPLE_MM + 2.0, top, name, size_mm=_TEXT_MM))
    return "".join(parts)


def _sample(name: str, x: float, y: float) -> tuple[tuple[Point, ...], ...]:
    """A line as it looks: marks and arrows are known by their shape."""
    middle, end = x + _SAMPLE_MM / 2, x + _SAMPLE_MM
    if name == REGISTER_NAME:
        return ((middle - 2, y), (middle + 2, y)), ((middle, y - 2), (middle, y + 2))
    if name == NAMES[Drawn.NOTCH]:
        return (((middle - 2, y), (middle + 2, y)),)
    shaft = ((x, y), (end, y))
    if name == NAMES[Drawn.GRAIN]:
        return shaft, ((x + 2, y - 1), (x, y), (x + 2, y + 1)), ((end - 2, y - 1), (end, y), (end - 2, y + 1))
    return (shaft,)
