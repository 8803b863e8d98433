"""What is drawn on a page of a PDF: lines, arcs as cubic curves, words. mm, y up.

Source: ISO 32000-1:2008, 8.5 (paths), 8.4.3 (line width and dashes), 9.4 (text).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cutfiles.core.tolerance import BEZIER_MM
from cutfiles.formats.model.numbers import number
from cutfiles.formats.pdf.write_document import string
from cutfiles.geometry.outline import Arc, Circle, Contour, Point, arc_of, bends

# Widths of ASCII 32 to 126 in thousandths of the size: Adobe, Font Metrics of the core 14 fonts, Helvetica.
_WIDTHS = (
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
)  # fmt: skip
BOLD_MORE = 1.12  # Helvetica-Bold is nowhere wider than this in words


@dataclass(frozen=True, slots=True)
class StrokeStyle:
    """A line's width, its colour and its dashes: lengths on and off, none for a solid line."""

    width_mm: float
    colour: str  # such as `#0072B2`
    dashes_mm: tuple[float, ...] = ()

    def operators(self) -> str:
        """Return what takes this pen."""
        dashes = " ".join(number(length) for length in self.dashes_mm)
        return f"{number(self.width_mm)} w [{dashes}] 0 d {colour_of(self.colour)} RG\n"


def colour_of(colour: str) -> str:
    """Return red, green and blue as shares.

    >>> colour_of("#FF0080")
    '1 0 0.502'
    """
    return " ".join(number(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))


def drawn(path: Contour) -> str:
    """Return what draws a path; its arcs become curves that stray by `BEZIER_MM` at most."""
    if isinstance(path, Circle):
        whole = Arc((path.x, path.y), path.radius, 0.0, 360.0)
        return f"{_point(whole.at(0))} m {_curves(whole)}h S\n"
    first = path.vertices[0]
    words = [f"{_point((first.x, first.y))} m "]
    edges = list(path.edges())
    for index, (start, end) in enumerate(edges):
        if bends(start, end):
            words.append(_curves(arc_of(start, end)))
        elif not (path.closed and index == len(edges) - 1):  # `h` draws the last one
            words.append(f"{_point(end)} l ")
    return f"{''.join(words)}{'h ' if path.closed else ''}S\n"


def _curves(arc: Arc) -> str:
    """An arc from where the path is, in equal steps of a quarter turn at most.

    A curve's inner points lie on the tangents at its ends, 4/3·tan(step/4)·r away. It then strays outwards
    only, by 2/27·sin⁶(step/4)/cos²(step/4)·r at most (Goldapp, 1991, Approximation of circular arcs by cubic
    polynomials; from memory, measured in the tests).
    """
    sweep = math.radians(arc.sweep_deg)
    steps = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    while _stray(arc.radius, abs(sweep) / steps) > BEZIER_MM:
        steps += 1
    reach = 4 / 3 * math.tan(sweep / steps / 4) * arc.radius
    words = []
    here, turn = arc.at(0), math.radians(arc.start_deg)
    for step in range(1, steps + 1):
        there, turned = arc.at(step / steps), math.radians(arc.start_deg) + sweep * step / steps
        leaving = (here[0] - reach * math.sin(turn), here[1] + reach * math.cos(turn))
        coming = (there[0] + reach * math.sin(turned), there[1] - reach * math.cos(turned))
        words.append(f"{_point(leaving)} {_point(coming)} {_point(there)} c ")
        here, turn = there, turned
    return "".join(words)


def _stray(radius: float, step: float) -> float:
    return 2 / 27 * math.sin(step / 4) ** 6 / math.cos(step / 4) ** 2 * radius


def lines(*chains: tuple[Point, ...]) -> str:
    """Return what draws open chains of straight edges."""
    return "".join(
        f"{_point(chain[0])} m {''.join(f'{_point(point)} l ' for point in chain[1:])}S\n" for chain in chains
    )


def box(x: float, y: float, width: float, height: float) -> str:
    """Return the path of an upright rectangle, not yet drawn, filled or made the edge of what shows."""
    return f"{_point((x, y))} {number(width)} {number(height)} re "


def words(x: float, y: float, text: str, *, size_mm: float, bold: bool = False) -> str:
    """Return what writes a line of ASCII text from there to the right, in black."""
    font = "F2" if bold else "F1"
    return f"BT /{font} {number(size_mm)} Tf 0 g {_point((x, y))} Td {string(text)} Tj ET\n"


def words_width(text: str, *, size_mm: float) -> float:
    """Return how wide a line of ASCII text is in the plain font."""
    return sum(_WIDTHS[ord(sign) - 32] for sign in text) * size_mm / 1000


def wrapped(text: str, *, size_mm: float, width_mm: float) -> list[str]:
    """Return text as lines no wider than that, not broken at no-break spaces; wider words stay whole."""
    lines: list[str] = []
    for word in (part.replace("\xa0", " ") for part in text.split(" ")):
        if lines and words_width(f"{lines[-1]} {word}", size_mm=size_mm) <= width_mm:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def on_layer(layer: str, content: str) -> str:
    """Return content that shows only while a layer is on."""
    return f"/OC /{layer} BDC\n{content}EMC\n" if content else ""


def _point(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"
