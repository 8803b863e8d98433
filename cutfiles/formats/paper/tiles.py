"""How a mat is parted among pages of paper: tiles that overlap, on the page that needs fewest. mm.

A page's usable width is its own less the printer's margin on both sides; its usable height is less by the
strip at its foot, too. Tiles begin at the mat's lower left corner, and each shares `overlap_mm` with the
next: so a way of W takes ceil((W − overlap) / (usable − overlap)) of them. Rows and
columns count from 1, from the top and from the left, as people read.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from cutfiles.core.tolerance import FLAT_ARC_MM, RULE_MM
from cutfiles.formats.paper.sizes import PaperSpec
from cutfiles.geometry.outline import Bounds, Contour, Path, Point, bounds
from cutfiles.geometry.points import points_on

STRIP_MM = 14.0  # at the foot of each page, for its name and the map
# ISO 32000-1, annex C: readers need not go beyond 14,400 units of 1/72 in on a side, which are 5080 mm.
LONGEST_PAGE_MM = 5000.0


@dataclass(frozen=True, slots=True)
class Tile:
    """What of the mat is on one page: where its lower left corner lies, and whether there is anything."""

    row: int
    column: int
    x_mm: float
    y_mm: float
    is_empty: bool = False


@dataclass(frozen=True, slots=True)
class Tiling:
    """All tiles of a mat, row by row from the top; each is as large as the usable part of the page."""

    page_width_mm: float
    page_height_mm: float
    tile_width_mm: float
    tile_height_mm: float
    overlap_mm: float
    rows: int
    columns: int
    tiles: tuple[Tile, ...]

    def at(self, row: int, column: int) -> Tile | None:
        """Return the tile there, None where there is none or it is empty."""
        if not (1 <= row <= self.rows and 1 <= column <= self.columns):
            return None
        tile = self.tiles[(row - 1) * self.columns + column - 1]
        return None if tile.is_empty else tile

    @property
    def printed(self) -> tuple[Tile, ...]:
        """The tiles that aren't empty."""
        return tuple(tile for tile in self.tiles if not tile.is_empty)

    def box(self, tile: Tile) -> Bounds:
        """Return what of the mat a tile shows."""
        return (tile.x_mm, tile.y_mm, tile.x_mm + self.tile_width_mm, tile.y_mm + self.tile_height_mm)


def tiling(width_mm: float, height_mm: float, paths: Sequence[Contour], paper: PaperSpec) -> Tiling:
    """Return the tiles of a mat on the page that needs fewest, upright or on its side.

    Args:
        width_mm: of the mat.
        height_mm: of the mat.
        paths: what is drawn on it; a tile that none of them touches is empty.
        paper: which paper, what of it can be printed, and the overlap.
    """
    pages = [_tiled(width_mm, height_mm, page, paper) for page in _pages(width_mm, height_mm, paper)]
    whole = [_without_empty(candidate, paths) for candidate in pages]
    return min(
        whole,
        key=lambda candidate: (len(candidate.printed), candidate.page_width_mm * candidate.page_height_mm),
    )


def _pages(width_mm: float, height_mm: float, paper: PaperSpec) -> tuple[tuple[float, float], ...]:
    """Width and height of the pages to choose from, the upright one first."""
    if paper.sheet_mm is not None:
        short, long = paper.sheet_mm
        return (short, long), (long, short)
    across = paper.roll_width_mm or 0.0
    # A page has more than its overlaps, and a short one still has room for the strip's words.
    wide = max(width_mm + 2 * paper.margin_mm, across)
    high = max(height_mm, 3 * paper.overlap_mm) + 2 * paper.margin_mm + STRIP_MM
    return (across, min(high, LONGEST_PAGE_MM)), (min(wide, LONGEST_PAGE_MM), across)


def _tiled(width_mm: float, height_mm: float, page: tuple[float, float], paper: PaperSpec) -> Tiling:
    wide = page[0] - 2 * paper.margin_mm
    high = page[1] - 2 * paper.margin_mm - STRIP_MM
    columns, rows = (_count(*lengths, paper.overlap_mm) for lengths in ((width_mm, wide), (height_mm, high)))
    tiles = tuple(
        Tile(
            row, column, (column - 1) * (wide - paper.overlap_mm), (rows - row) * (high - paper.overlap_mm)
        )
        for row in range(1, rows + 1)
        for column in range(1, columns + 1)
    )  # fmt: skip
    return Tiling(*page, wide, high, paper.overlap_mm, rows, columns, tiles)


def _count(length_mm: float, usable_mm: float, overlap_mm: float) -> int:
    return max(1, math.ceil((length_mm - overlap_mm - RULE_MM) / (usable_mm - overlap_mm)))


def _without_empty(whole: Tiling, paths: Iterable[Contour]) -> Tiling:
    seen: set[Tile] = set()
    for path in paths:
        seen.update(tiles_under(path, whole))
    tiles = tuple(
        Tile(tile.row, tile.column, tile.x_mm, tile.y_mm, is_empty=tile not in seen) for tile in whole.tiles
    )
    return Tiling(
        whole.page_width_mm, whole.page_height_mm, whole.tile_width_mm, whole.tile_height_mm,
        whole.overlap_mm, whole.rows, whole.columns, tiles,
    )  # fmt: skip


def tiles_under(path: Contour, whole: Tiling) -> list[Tile]:
    """Return the tiles that a path touches, in their order."""
    left, low, right, high = bounds(path)
    # Rows and columns one by one: a path is short, and there may be hundreds of tiles.
    first_row, first_column = whole.tiles[:: whole.columns], whole.tiles[: whole.columns]
    rows = [tile.row for tile in first_row if tile.y_mm <= high and low <= tile.y_mm + whole.tile_height_mm]
    columns = [
        tile.column for tile in first_column if tile.x_mm <= right and left <= tile.x_mm + whole.tile_width_mm
    ]
    near = [
        (tile, whole.box(tile))
        for row in rows
        for tile in (whole.tiles[(row - 1) * whole.columns + column - 1] for column in columns)
    ]
    if len(near) == 1:
        return [near[0][0]]
    points = points_on(path, stray_mm=FLAT_ARC_MM)
    if not isinstance(path, Path) or path.closed:
        points.append(points[0])
    return [tile for tile, box in near if any(_crosses(a, b, box) for a, b in pairwise(points))]


def _crosses(start: Point, end: Point, box: Bounds) -> bool:
    """Whether a straight line and a rectangle have a point in common.

    Source: Liang and Barsky, 1984: the share of the line that is on the inner side of all four edges.
    """
    first, last = 0.0, 1.0
    for axis in (0, 1):
        way = end[axis] - start[axis]
        for towards, room in ((-way, start[axis] - box[axis]), (way, box[axis + 2] - start[axis])):
            if towards == 0:
                if room < 0:
                    return False
            elif towards < 0:
                first = max(first, room / towards)
            else:
                last = min(last, room / towards)
    return first <= last
