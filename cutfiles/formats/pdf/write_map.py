"""The map of a load's pages: a small picture of the mat, parted where its pages are to be joined."""

from __future__ import annotations

from collections.abc import Iterable

from cutfiles.formats.paper.tiles import Tile, Tiling
from cutfiles.formats.pdf.write_ink import StrokeStyle, box, colour_of, lines, words, words_width
from cutfiles.geometry.outline import Bounds, Contour, Path
from cutfiles.geometry.points import points_on

_FRAME = StrokeStyle(0.15, "#000000")
_FINE = StrokeStyle(0.06, "#000000")
_PALE = StrokeStyle(0.1, "#999999")
_HERE = "#444444"
_STRAY_MM = 0.05  # on paper; nobody sees finer in a map
_MOST_LETTERS_MM = 3.5
_LEAST_LETTERS_MM = 1.2


def cell(tile: Tile, whole: Tiling, mat: tuple[float, float]) -> Bounds:
    """Return what of the mat is left of a tile once pages are joined: up to the middle of each overlap."""
    left, low, right, high = whole.box(tile)
    half = whole.overlap_mm / 2
    return (
        0.0 if tile.column == 1 else left + half,
        0.0 if tile.row == whole.rows else low + half,
        mat[0] if tile.column == whole.columns else right - half,
        mat[1] if tile.row == 1 else high - half,
    )


def scale_of(mat: tuple[float, float], room: tuple[float, float]) -> float:
    """Return by how much the mat must be smaller to fit."""
    return min(room[0] / mat[0], room[1] / mat[1])


def small_map(at: tuple[float, float], scale: float, whole: Tiling, mat: tuple[float, float]) -> str:
    """Return the tiles, empty ones crossed out."""
    parts = [_FRAME.operators()]
    for tile in whole.tiles:
        left, low, right, high = _on_paper(cell(tile, whole, mat), at, scale)
        parts.append(f"{box(left, low, right - left, high - low)}S\n")
        if tile.is_empty:
            crossed = lines(((left, low), (right, high)), ((left, high), (right, low)))
            parts.append(f"{_FINE.operators()}{crossed}{_FRAME.operators()}")
    return "".join(parts)


def here_on_map(
    at: tuple[float, float], scale: float, whole: Tiling, mat: tuple[float, float], tile: Tile
) -> str:
    """Return one tile of a small map, filled."""
    left, low, right, high = _on_paper(cell(tile, whole, mat), at, scale)
    return f"{colour_of(_HERE)} rg {box(left, low, right - left, high - low)}f\n"


def large_map(
    at: tuple[float, float],
    scale: float,
    whole: Tiling,
    mat: tuple[float, float],
    outlines: Iterable[Contour],
) -> str:
    """Return the tiles with their names, row before column, over pale outlines of what is cut."""
    parts = [_PALE.operators()]
    for path in outlines:
        points = points_on(path, stray_mm=_STRAY_MM / scale)
        if not isinstance(path, Path) or path.closed:
            points.append(points[0])
        parts.append(lines(tuple((at[0] + x * scale, at[1] + y * scale) for x, y in points)))
    parts.append(_FRAME.operators())
    for tile in whole.tiles:
        left, low, right, high = _on_paper(cell(tile, whole, mat), at, scale)
        parts.append(f"{box(left, low, right - left, high - low)}S\n")
        if tile.is_empty:
            parts.append(lines(((left, low), (right, high)), ((left, high), (right, low))))
        else:
            parts.append(_name(f"{tile.row}-{tile.column}", (left, low, right, high)))
    return "".join(parts)


def _name(name: str, room: Bounds) -> str:
    """A tile's name in its middle, on white; nothing where it has no room."""
    left, low, right, high = room
    size = min(_MOST_LETTERS_MM, (high - low) * 0.8, 0.8 * (right - left) / words_width(name, size_mm=1.0))
    if size < _LEAST_LETTERS_MM:
        return ""
    width = words_width(name, size_mm=size)
    x, y = (left + right - width) / 2, (low + high - 0.72 * size) / 2
    white = f"1 g {box(x - 0.15 * size, y - 0.15 * size, width + 0.3 * size, 1.02 * size)}f\n"
    return white + words(x, y, name, size_mm=size)


def _on_paper(bounds: Bounds, at: tuple[float, float], scale: float) -> Bounds:
    left, low, right, high = bounds
    return (at[0] + left * scale, at[1] + low * scale, at[0] + right * scale, at[1] + high * scale)
