"""A page of a PDF with a part of the mat: its lines, the marks to join it by, its name and the map."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.formats.model.numbers import number
from cutfiles.formats.paper.sizes import PaperSpec
from cutfiles.formats.paper.tiles import STRIP_MM, Tile, Tiling
from cutfiles.formats.pdf.write_document import Page
from cutfiles.formats.pdf.write_ink import BOLD_MORE, StrokeStyle, box, lines, on_layer, words, words_width
from cutfiles.formats.pdf.write_map import cell, here_on_map, scale_of, small_map
from cutfiles.geometry.outline import Point

SEAM = StrokeStyle(0.15, "#777777", (0.3, 1.2))
ALIGN = StrokeStyle(0.15, "#555555")
MAT_EDGE = StrokeStyle(0.15, "#777777", (4.0, 1.0))
MAP = "Map"  # what pages call the form that is the map
_MARK_MM = 3.0  # from the middle of a diamond to its points; an overlap has room for two such
_MARKS_APART_MM = 120.0
_NAME_MM, _TEXT_MM = 3.6, 2.6
_MAP_MM = (60.0, STRIP_MM - 3.0)


@dataclass(frozen=True, slots=True)
class TiledLoad:
    """What all pages of a load have in common."""

    name: str
    mat: tuple[float, float]
    whole: Tiling
    paper: PaperSpec

    @property
    def pages(self) -> int:
        """How many pages there are, the first among them."""
        return 1 + len(self.whole.printed)


def tile_page(load: TiledLoad, tile: Tile, content: str, *, page: int, layer: str) -> Page:
    """Return one page.

    Args:
        load: what it is a page of.
        tile: which part of the mat it shows.
        content: the lines of that part, on layers, in mm from the mat's lower left corner.
        page: its number, the first page being 1.
        layer: for what isn't the load's own.
    """
    whole, margin = load.whole, load.paper.margin_mm
    low = margin + STRIP_MM
    view = (margin, low, whole.tile_width_mm, whole.tile_height_mm)
    origin = (margin - tile.x_mm, low - tile.y_mm)
    shown = f"{box(*view)}W n\n"
    moved = f"1 0 0 1 {number(origin[0], 9)} {number(origin[1], 9)} cm\n"
    marks = on_layer(layer, _mat_edge(load) + _seams(load, tile))
    strip = on_layer(layer, _strip(load, tile, page))
    content = f"q\n{shown}{moved}1 j\n{marks}{content}Q\n{strip}"
    return Page(whole.page_width_mm, whole.page_height_mm, content, view, origin)


def _mat_edge(load: TiledLoad) -> str:
    return f"{MAT_EDGE.operators()}{box(0.0, 0.0, *load.mat)}S\n"


def _seams(load: TiledLoad, tile: Tile) -> str:
    """Where this page is to be joined to others: in the middle of each overlap, the same on both pages."""
    parts = []
    for row, column in ((0, 1), (0, -1), (-1, 0), (1, 0)):
        if load.whole.at(tile.row + row, tile.column + column) is None:
            continue
        left, low, right, high = cell(tile, load.whole, load.mat)
        if column:
            x = right if column > 0 else left
            parts.append(_seam((x, low), (x, high), load.whole.overlap_mm))
        else:
            y = high if row < 0 else low
            parts.append(_seam((left, y), (right, y), load.whole.overlap_mm))
    return "".join(parts)


def _seam(start: Point, end: Point, overlap_mm: float) -> str:
    count = max(2, math.ceil(math.dist(start, end) / _MARKS_APART_MM))
    shares = [(2 * number + 1) / (2 * count) for number in range(count)]
    marks = [
        align_mark(
            start[0] + share * (end[0] - start[0]),
            start[1] + share * (end[1] - start[1]),
            reach_mm=min(_MARK_MM, overlap_mm / 2 - ALIGN.width_mm),
        )
        for share in shares
    ]
    return f"{SEAM.operators()}{lines((start, end))}{ALIGN.operators()}{''.join(marks)}"


def align_mark(x: float, y: float, *, reach_mm: float) -> str:
    """Return a diamond with a cross in it."""
    left, right, low, high = (x - reach_mm, y), (x + reach_mm, y), (x, y - reach_mm), (x, y + reach_mm)
    return lines((left, low, right, high, left), (left, right), (low, high))


def _strip(load: TiledLoad, tile: Tile, page: int) -> str:
    """At the foot of the page: what it is, what to do with it, where it belongs."""
    x = y = load.paper.margin_mm
    corner, scale = _map_place(load)
    room = corner[0] - x - 4.0
    place = f"row {tile.row}, column {tile.column}"
    texts = (
        (7.0, f"{load.name}   {place}", _NAME_MM, True),
        (3.4, f"Page {page} of {load.pages}. {_joins(load, tile)}", _TEXT_MM, False),
        (0.6, 'Print at 100 % ("actual size"); the squares of page 1 tell.', _TEXT_MM, False),
    )
    parts = []
    for up, text, size, bold in texts:
        over = words_width(text, size_mm=size) * (BOLD_MORE if bold else 1.0) / room
        parts.append(words(x, y + up, text, size_mm=size / max(over, 1.0), bold=bold))
    parts.append(here_on_map(corner, scale, load.whole, load.mat, tile))
    return "".join([*parts, f"/{MAP} Do\n"])


def map_form(load: TiledLoad) -> str:
    """Return the map that all tiles of a load show at the same place, for `MAP`."""
    return small_map(*_map_place(load), load.whole, load.mat)


def _map_place(load: TiledLoad) -> tuple[Point, float]:
    """Where the map's lower left corner is on a page, and its scale."""
    margin, wide = load.paper.margin_mm, load.whole.tile_width_mm
    scale = scale_of(load.mat, (min(_MAP_MM[0], 0.35 * wide), _MAP_MM[1]))
    return (
        margin + wide - load.mat[0] * scale - ALIGN.width_mm,
        margin + (_MAP_MM[1] - load.mat[1] * scale) / 2 + 0.5,
    ), scale


def _joins(load: TiledLoad, tile: Tile) -> str:
    right, above = load.whole.at(tile.row, tile.column + 1), load.whole.at(tile.row - 1, tile.column)
    trims = [
        f"{edge} edge over {next_.row}-{next_.column}"
        for edge, next_ in (("right", right), ("upper", above))
        if next_ is not None
    ]
    return f"Trim, and lay {' and '.join(trims)}." if trims else ""
