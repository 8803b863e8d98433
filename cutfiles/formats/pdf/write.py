"""PDF for paper: a load at true size, on as many pages as it takes, with a first page to measure.

Layers `draw`, `register` and `cut` hold the load's lines, `page` all else. See docs/printing.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.style import DEFAULT_STYLE, OutputStyle
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.paper.tiles import Tile, tiles_under, tiling
from cutfiles.formats.pdf.write_cover import PAGE_LAYER, cover
from cutfiles.formats.pdf.write_document import Page, document
from cutfiles.formats.pdf.write_ink import StrokeStyle, drawn, on_layer
from cutfiles.formats.pdf.write_lines import PaperLine, name_of, paper_lines, pen_of
from cutfiles.formats.pdf.write_tile import MAP, TiledLoad, map_form, tile_page

_MOST_SAID = 6  # loads in one note


def write_pdf(plan: LoadPlan, *, style: OutputStyle = DEFAULT_STYLE) -> bytes:
    """Return one load as PDF. The same plan gives the same bytes."""
    lines = list(paper_lines(plan))
    mat = (plan.width_mm, plan.height_mm)
    whole = tiling(*mat, [line.path for line in lines], style.paper)
    texts = [(line, drawn(line.path)) for line in lines]
    on: dict[Tile, list[tuple[PaperLine, str]]] = {tile: [] for tile in whole.printed}
    for line, text in texts:
        for tile in tiles_under(line.path, whole):
            on[tile].append((line, text))
    load = TiledLoad(plan.name, mat, whole, style.paper)
    outlines = [line.path for line in lines if line.tool is Tool.CUT]
    pages: list[Page] = [cover(load, _samples(lines, style), outlines)]
    for number, tile in enumerate(whole.printed, start=2):
        pages.append(tile_page(load, tile, _content(on[tile], style), page=number, layer=PAGE_LAYER))
    layers = (*(tool.value for tool in plan.tools), PAGE_LAYER)
    return document(f"{plan.name}, to print at 100 %", pages, layers, form=(MAP, map_form(load)))


def left_out_notes(loads: Sequence[LoadPlan], *, style: OutputStyle = DEFAULT_STYLE) -> Iterator[str]:
    """Yield a note that says which pages are left out because nothing is on them, if any are."""
    left_out = {}
    for plan in loads:
        paths = [line.path for line in paper_lines(plan)]
        whole = tiling(plan.width_mm, plan.height_mm, paths, style.paper)
        empty = [f"{tile.row}-{tile.column}" for tile in whole.tiles if tile.is_empty]
        if empty and whole.printed:
            left_out[plan.name] = f"{plan.name} {', '.join(empty)}"
    if len(left_out) > _MOST_SAID:
        yield f"PDF: pages with nothing on them are left out of {len(left_out)} loads; page 1 says which"
    elif left_out:
        by_load = "; ".join(left_out.values())
        yield f"PDF: pages with nothing on them are left out, by row and column: {by_load}"


def _content(lines: Sequence[tuple[PaperLine, str]], style: OutputStyle) -> str:
    """The lines of a page, layer by layer, the pen said only where it changes."""
    parts = []
    for tool, on_tool in groupby(lines, lambda line_and_text: line_and_text[0].tool):
        content = []
        for pen, alike in groupby(on_tool, lambda line_and_text: pen_of(line_and_text[0], style)):
            content += [pen.operators(), *(text for _, text in alike)]
        parts.append(on_layer(tool.value, "".join(content)))
    return "".join(parts)


def _samples(lines: Sequence[PaperLine], style: OutputStyle) -> list[tuple[str, StrokeStyle]]:
    """Each kind of line once, cuts first."""
    pens: dict[str, StrokeStyle] = {}
    for line in (*(cut for cut in lines if cut.tool is Tool.CUT), *lines):
        name = name_of(line)
        if name:
            pens.setdefault(name, pen_of(line, style))
    return list(pens.items())
