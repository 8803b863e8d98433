"""The figures of docs/machines.md: `python docs/figures/machine_figures.py kerf > docs/figures/kerf.svg`.

Likewise `swivel` and `overcut`. What is drawn is what the program works out, only larger than life.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterable

from cutfiles.geometry.outline import Contour, Path, Point, arc_of, ring
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.cut.kerf import cut_lines
from cutfiles.toolpath.cut.stretch import begun_at, run_on
from cutfiles.toolpath.cut.swivel import axis_path

WIDE, HIGH = 200.0, 112.0
PIECE = 'fill="#f6ecf2" stroke="none"'
EDGE = 'fill="none" stroke="#222" stroke-width="0.5"'
CUT = 'fill="none" stroke="#CC79A7" stroke-width="0.9"'
AXIS = 'fill="none" stroke="#0072B2" stroke-width="0.7" stroke-dasharray="2.4 1.2"'
BAND = 'fill="none" stroke="#D55E00" stroke-opacity="0.25" stroke-linejoin="round" stroke-linecap="round"'
GREY = 'fill="none" stroke="#555" stroke-width="0.3"'


def _at(point: Point) -> str:
    return f"{point[0]:.2f} {HIGH - point[1]:.2f}"


def _path(contour: Contour, style: str) -> str:
    assert isinstance(contour, Path)
    words = [f"M{_at(contour.vertices[0][:2])}"]
    for start, end in contour.edges():
        if start.bulge:
            arc = arc_of(start, end)
            words.append(
                f"A{arc.radius:.2f} {arc.radius:.2f} 0 {int(abs(arc.sweep_deg) > 180)} "
                f"{int(arc.sweep_deg < 0)} {_at(end)}"
            )
        else:
            words.append(f"L{_at(end)}")
    return f'<path d="{" ".join(words)}{"Z" if contour.closed else ""}" {style}/>'


def _line(points: Iterable[Point], style: str) -> str:
    return f'<path d="M{" L".join(_at(point) for point in points)}" {style}/>'


def _dot(point: Point, colour: str, radius: float = 1.0) -> str:
    return f'<circle cx="{point[0]:.2f}" cy="{HIGH - point[1]:.2f}" r="{radius}" fill="{colour}"/>'


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return f'<text x="{x:.2f}" y="{HIGH - y:.2f}" text-anchor="{anchor}">{words}</text>'


def _arrow(at: Point, heading: Point, colour: str) -> str:
    x, y = heading
    back = (at[0] - 3 * x, at[1] - 3 * y)
    wings = [(back[0] - 1.3 * y * s, back[1] + 1.3 * x * s) for s in (1, -1)]
    return f'<path d="M{_at(at)} L{_at(wings[0])} L{_at(wings[1])}Z" fill="{colour}"/>'


def kerf() -> list[str]:
    """A piece with a sharp corner and an inner one, the line of the tool, and what the tool removes."""
    width = 8.0
    outline = ring((24, 18), (104, 18), (120, 92), (64, 60), (24, 92))
    line = cut_lines(Shape("leaf", outline, (), symmetric=False), width).outer
    removed = f'{BAND} stroke-width="{width}"'
    return [
        _path(outline, PIECE),
        _path(line, removed),
        _path(outline, EDGE),
        _path(line, CUT),
        _text(64, 40, "piece, at its true size", "middle"),
        _line([(113, 40), (135, 44)], GREY),
        _text(136, 42.5, "line in the file,"),
        _text(136, 35.5, "half a kerf outside"),
        _line([(119, 58), (135, 61)], GREY),
        _text(136, 59.5, "removed by the tool"),
        _line([(122, 95), (135, 90)], GREY),
        _text(136, 88.5, "round about a point:"),
        _text(136, 81.5, "the piece stays sharp"),
        _line([(64, 63), (75, 98)], GREY),
        _text(64, 100, "an inner corner keeps a little", "middle"),
    ]


def swivel() -> list[str]:
    """Round a corner: the axis runs past it and swings, the tip stays where it is."""
    long = 16.0
    corner = (108.0, 84.0)
    tip = Path(ring((20, 24), (108, 24), corner, (20, 84)).vertices[1:], closed=False)
    axis, _ = axis_path(tip, swivel_mm=long, before=(0.0, 1.0))
    parts = [
        f'<rect x="20" y="{HIGH - 84:.2f}" width="88" height="60" {PIECE}/>',
        _path(tip, CUT),
        _path(axis, AXIS),
    ]
    knives = [((108.0, 44.0), 90.0), (corner, 90.0), (corner, 120.0), (corner, 150.0), (corner, 180.0)]
    knives.append(((64.0, 84.0), 180.0))
    for at, heading in knives:
        ahead = (
            at[0] + long * math.cos(math.radians(heading)),
            at[1] + long * math.sin(math.radians(heading)),
        )
        parts += [_line([at, ahead], 'stroke="#222" stroke-width="0.8"'), _dot(ahead, "#0072B2", 1.3)]
        parts.append(_dot(at, "#222", 0.8))
    return [
        *parts,
        _arrow((108, 36), (0, 1), "#CC79A7"),
        _arrow((36, 84), (-1, 0), "#CC79A7"),
        _text(64, 50, "piece", "middle"),
        _line([(109, 44), (124, 40)], GREY),
        _text(125, 38.5, "tip: cuts the outline"),
        _line([(109.5, 60), (124, 57)], GREY),
        _text(125, 55.5, "axis: what the file says"),
        _line([(105, 99.5), (124, 92)], GREY),
        _text(125, 90.5, "past the corner, then round it:"),
        _text(125, 83.5, "the tip turns on the spot"),
        _text(42, 98, "swivel, tip to axis", "middle"),
        _line([(50, 96), (56, 86)], GREY),
    ]


def overcut() -> list[str]:
    """A square begun at a corner: the cut runs on past its start."""
    more = 14.0
    square = begun_at(ring((30, 20), (110, 20), (110, 90), (30, 90)), 1)
    path = run_on(square, more)
    assert isinstance(path, Path)
    over = Path(((path.vertices[-2]), path.vertices[-1]), closed=False)
    return [
        _path(square, PIECE),
        _path(square, CUT),
        _path(over, 'fill="none" stroke="#D55E00" stroke-width="2.2"'),
        _dot((110, 20), "#222", 1.4),
        _arrow((110, 62), (0, 1), "#CC79A7"),
        _arrow((64, 90), (-1, 0), "#CC79A7"),
        _arrow((72, 20), (1, 0), "#CC79A7"),
        _text(70, 52, "piece", "middle"),
        _line([(111, 19), (124, 14)], GREY),
        _text(125, 12.5, "start, and end of the outline"),
        _line([(111.5, 28), (124, 32)], GREY),
        _text(125, 30.5, "overcut: this much is cut twice,"),
        _text(125, 23.5, "so that the corner lets go"),
    ]


FIGURES: dict[str, Callable[[], list[str]]] = {"kerf": kerf, "swivel": swivel, "overcut": overcut}


def figure(name: str) -> str:
    """Return a figure as SVG."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {HIGH:g}" width="700" height="392" '
        'font-family="sans-serif" font-size="5" fill="#222">'
        f'<rect width="{WIDE:g}" height="{HIGH:g}" fill="#fff"/>'
    )
    return "\n".join([head, *FIGURES[name](), "</svg>", ""])


if __name__ == "__main__":
    sys.stdout.write(figure(sys.argv[1]))
