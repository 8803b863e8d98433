"""A load's files in words: which are for a machine, how to open them, what is called what in them."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.formats.model.style import OutputStyle
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.registry import FORMATS, Audience, Format, format_of
from cutfiles.nest.base.layout import Load


def files_for(audience: Audience, files: Sequence[str], load: Load) -> tuple[str, ...]:
    """Return a load's files that are for a machine, for other programs, or to be printed."""
    own = [name for name in files if name.startswith((f"{load.name}.", f"{load.name}-"))]
    return tuple(
        name for name in own if any(file_format.audience is audience for file_format in _formats((name,)))
    )


def _formats(files: Sequence[str]) -> tuple[Format, ...]:
    """The formats of some files, in the registry's order."""
    there = {format_of(name) for name in files}
    return tuple(file_format for file_format in FORMATS.values() if file_format in there)


def to_open(files: Sequence[str]) -> str:
    """Return the step that opens one of the files; empty where there is none."""
    if not files:
        return ""
    cautions = [file_format.to_open for file_format in _formats(files) if file_format.to_open]
    return " ".join([f"Open {' or '.join(files)} at true size: nothing scaled, nothing moved.", *cautions])


def on_paper(files: Sequence[str]) -> list[str]:
    """Return the steps of a load that no machine cuts."""
    return [
        f"Print {' and '.join(files)} at 100 % (“actual size”, no “fit to page”), its first page first: only "
        "if both squares on it measure right print the rest. Trim and join the pages as it says.",
        "Lay the joined paper over the fabric, the edges of the mat on it over those of the mat, and pin or "
        "weigh it down where nothing is cut.",
        "Trace what is in dashes, then cut along the solid outlines, through paper and fabric: ruler and "
        "rotary cutter, away from your hands.",
    ]


def where(tool: Tool, files: Sequence[str], style: OutputStyle) -> str:
    """Return what a tool's strokes are called in each kind of file."""
    named = dict.fromkeys(file_format.where(tool, style=style) for file_format in _formats(files))
    return ", ".join(words for words in named if words) or f"the part called “{tool.value}”"
