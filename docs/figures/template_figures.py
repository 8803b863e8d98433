"""The figures of docs/templates.md.

`python docs/figures/template_figures.py blade > docs/figures/template-blade.svg`, and
likewise `sheet` for docs/figures/template-sheet.svg. What is drawn is what the program makes.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from lxml import etree

from cutfiles.formats.model.plan import Drawn
from cutfiles.geometry.outline import Circle, Contour, Point, bounds
from cutfiles.geometry.outline import Path as Outline
from cutfiles.nest.base.clock import Clock
from cutfiles.pipeline import size
from cutfiles.sheet.markup.drawing import path_text
from cutfiles.sheet.sections.templates import sheet_drawing
from cutfiles.toolpath.template_sheets import TemplateSheets, template_sheets

JOB = Path(__file__).parents[2] / "fixtures/jobs/harbour-templates/job.toml"
WIDE, HIGH = 176.0, 132.0
LEFT = 88.0  # where the blade's centre line stands
CUT = 'fill="none" stroke="#CC79A7" stroke-width="0.6"'
ENGRAVED = 'fill="none" stroke="#0072B2" stroke-width="0.3"'
GUIDE = 'fill="none" stroke="#D55E00" stroke-width="1.4" stroke-opacity="0.45" stroke-linecap="round"'
LEADER = 'fill="none" stroke="#555" stroke-width="0.25"'


def _sheets() -> TemplateSheets:
    sized = size(JOB)
    found = template_sheets(sized.job, sized.plate, Clock())
    assert found is not None
    return found


def _element(contour: Contour, style: str) -> str:
    if isinstance(contour, Circle):
        return f'<circle cx="{contour.x:.3f}" cy="{contour.y:.3f}" r="{contour.radius:.3f}" {style}/>'
    return f'<path d="{path_text(contour)}" {style}/>'


def blade() -> str:
    """The blade template, the edges that guide a knife, and what is what."""
    shape = _sheets().layout.shape("blade")
    _, low, _, high = bounds(shape.cut)
    top = high + 6.0

    def at(point: Point) -> Point:
        return point[0] + LEFT, top - point[1]

    parts = [_element(contour, CUT) for contour in (shape.cut, *shape.inner)]
    parts += [_element(mark.path, ENGRAVED) for mark in shape.marks]
    assert isinstance(shape.cut, Outline)
    for start, end in shape.cut.edges():
        if not start.bulge:
            parts.append(f'<path d="M{start.x:.3f} {start.y:.3f} L{end[0]:.3f} {end[1]:.3f}" {GUIDE}/>')
    words = []

    def tell(point: Point, row: float, text: str, *, right: bool = True) -> None:
        x, y = at(point)
        to = (LEFT + 36, row) if right else (LEFT - 36, row)
        anchor = "start" if right else "end"
        words.append(f'<path d="M{x:.2f} {y:.2f} L{to[0]:.2f} {to[1]:.2f}" {LEADER}/>')
        place = f'x="{to[0] + (1 if right else -1):.2f}" y="{to[1] + 1.2:.2f}"'
        words.append(f'<text {place} text-anchor="{anchor}">{text}</text>')

    seams = [mark.path for mark in shape.marks if mark.kind is Drawn.SEW]
    slanted = next(
        path for path in seams
        if isinstance(path, Outline) and path.vertices[0].x > 0 and path.vertices[0].y != path.vertices[1].y
    )  # fmt: skip
    foot, head = slanted.vertices[0], slanted.vertices[1]
    tell((28.0, high - 6.35), 6.0, "tip seam line: the tip's place")
    tell((16.5, 117.5), 36.0, "length to cut fabric to")
    tell((9.5, 112.0), 44.0, "D: the plate that makes")
    tell(((foot.x + 4 * head.x) / 5, (foot.y + 4 * head.y) / 5), 54.0, "seam line")
    tell((0.2, 83.9), 78.0, "centre line")
    tell((-20.0, 120.65), 30.0, "line of the scale", right=False)
    tell((-18.5, 78.0), 74.0, "edges that guide a knife:", right=False)
    tell((-8.5, low), 118.0, "long sides, straight ends", right=False)
    flip = f'<g transform="translate({LEFT} {top:.3f}) scale(1 -1)">'
    head_text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {HIGH:g}" width="704" height="528" '
        'font-family="sans-serif" font-size="3.6" fill="#222">'
        f'<rect width="{WIDE:g}" height="{HIGH:g}" fill="#fff"/>'
    )
    return "\n".join([head_text, flip, *parts, "</g>", *words, "</svg>", ""])


def sheet() -> str:
    """The first sheet of the job of templates."""
    sheets = _sheets()
    picture = sheet_drawing(sheets, sheets.layout.loads[0], sheets.plan.loads[0])
    return etree.tostring(picture).decode() + "\n"


FIGURES: dict[str, Callable[[], str]] = {"blade": blade, "sheet": sheet}

if __name__ == "__main__":
    sys.stdout.write(FIGURES[sys.argv[1]]())
