"""Which lines of a load go on paper, and the pen of each: by width and dashes, never by colour alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.style import OutputStyle
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.formats.pdf.write_ink import StrokeStyle
from cutfiles.geometry.outline import Contour

_CUT_MM, _THIN_MM, _LETTERS_MM = 0.35, 0.2, 0.15
_DASHED, _DASHED_DOTTED, _DOTTED = (3.0, 1.5), (6.0, 1.5, 0.6, 1.5), (0.6, 1.2)
_DASHES = {Drawn.SEW: _DASHED, Drawn.FOLD: _DASHED_DOTTED}
NAMES = {
    Drawn.SEW: "sew",
    Drawn.FOLD: "fold",
    Drawn.NOTCH: "notch",
    Drawn.GRAIN: "lengthwise grain",
    Drawn.CUT: "cut line, drawn",
}
REGISTER_NAME = "register mark, cross or ring"


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line on paper; `kind` is what a drawn line is."""

    tool: Tool
    path: Contour
    kind: Drawn | None = None


def paper_lines(plan: LoadPlan) -> Iterator[PaperLine]:
    """Yield a load's lines: drawn ones, register marks, then outlines.

    People cut along the outline as it is to come out, not along a tool's way around it. Cuts inside an
    outline, and those of no known piece, are as the plan has them.
    """
    for tool in (Tool.PLACE, Tool.DRAW, Tool.REGISTER):
        for stroke in plan.strokes_of(tool):
            yield PaperLine(tool, stroke.path, stroke.kind)
    known = dict(plan.outlines)
    for stroke in plan.strokes_of(Tool.CUT):
        if stroke.piece_id not in known or stroke.part.startswith("inner-"):
            yield PaperLine(Tool.CUT, stroke.path)
    for outline in known.values():
        yield PaperLine(Tool.CUT, outline)


def pen_of(line: PaperLine, style: OutputStyle) -> StrokeStyle:
    """Return what a line is drawn with: cuts wide and solid, the rest thin, seams and folds in dashes."""
    colour = style.layer(line.tool).colour
    if line.tool is Tool.CUT:
        return StrokeStyle(_CUT_MM, colour)
    if line.tool is Tool.PLACE:
        return StrokeStyle(_THIN_MM, colour, _DOTTED)
    if line.tool is Tool.REGISTER:
        return StrokeStyle(_THIN_MM, colour)
    if line.kind is None:
        return StrokeStyle(_THIN_MM, colour, _DASHED)
    width = _LETTERS_MM if line.kind is Drawn.LABEL else _THIN_MM
    return StrokeStyle(width, colour, _DASHES.get(line.kind, ()))


def name_of(line: PaperLine) -> str:
    """Return what a line is called in the list of lines; nothing for lettering, which speaks for itself."""
    if line.tool is Tool.CUT:
        return "cut"
    if line.tool is Tool.PLACE:
        return "where fabric is laid"
    if line.tool is Tool.REGISTER:
        return REGISTER_NAME
    if line.kind is None:
        return "drawn"
    return NAMES.get(line.kind, "")
