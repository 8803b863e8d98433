"""Files of the sheets of stock: `template-01.svg` and so on, in the formats that the job wants."""

from __future__ import annotations

from dataclasses import replace

from cutfiles.formats.model.style import OutputStyle, PlotterSpec
from cutfiles.formats.registry import FORMATS, Audience
from cutfiles.output.machine_files import file_notes, machine_files
from cutfiles.toolpath.template_sheets import TemplateSheets


def template_files(
    sheets: TemplateSheets, formats: tuple[str, ...], *, style: OutputStyle
) -> dict[str, bytes]:
    """Return the files by name, format by format; paper gets the parts as they come out, without the kerf.

    Formats that hold pieces for sewing programs have no templates. What `[machine]` says of scales, speeds
    and forces is about another machine, and another tool.
    """
    own = replace(style, plotter=PlotterSpec(arcs=style.plotter.arcs))
    return machine_files(sheets.plain, _wanted(formats), style=own, machine_plan=sheets.plan)


def noted(sheets: TemplateSheets, formats: tuple[str, ...], *, style: OutputStyle) -> TemplateSheets:
    """Return the sheets with what a person should know of their files among their notes."""
    notes = file_notes(sheets.plain, _wanted(formats), style=style, machine_plan=sheets.plan)
    return replace(sheets, plan=replace(sheets.plan, notes=(*sheets.plan.notes, *notes)))


def _wanted(formats: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in formats if FORMATS[name].audience is not Audience.PROGRAM)
