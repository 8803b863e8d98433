"""A load's files in words: which are for a machine, how to open them, what is called what in them."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.formats.model.plan import Tool
from cutfiles.formats.model.style import Look
from cutfiles.formats.registry import WRITERS, Whom
from cutfiles.nest.base.layout import Load

_SUFFIXES = {
    whom: tuple(writer.suffix for writer in WRITERS.values() if writer.whom is whom) for whom in Whom
}
_HPGL, _R12 = WRITERS["hpgl"].suffix, WRITERS["dxf-r12"].suffix


def files_for(whom: Whom, files: Sequence[str], load: Load) -> tuple[str, ...]:
    """Return a load's files that are for a machine, for other programs, or to be printed."""
    others = tuple(end for one, ends in _SUFFIXES.items() if one is not Whom.MACHINE for end in ends)
    own = [name for name in files if name.startswith((f"{load.name}.", f"{load.name}-"))]
    if whom is Whom.MACHINE:  # whose suffixes are ends of others, too
        return tuple(name for name in own if not name.endswith(others))
    return tuple(name for name in own if name.endswith(_SUFFIXES[whom]))


def to_open(files: Sequence[str]) -> str:
    """Return the step that opens one of the files; empty where there is none."""
    if not files:
        return ""
    words = [f"Open {' or '.join(files)} at true size: nothing scaled, nothing moved."]
    if any(name.endswith(_R12) for name in files):
        words.append("R12 holds no unit: answer millimetres if you are asked.")
    if any(name.endswith(_HPGL) for name in files):
        words.append("In HP-GL pen 1 draws, lines and marks in one go, and pen 2 cuts.")
    return " ".join(words)


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


def where(tool: Tool, files: Sequence[str], look: Look) -> str:
    """Return what a tool's strokes are called in each kind of file."""
    kinds = {
        ".svg": f"group “{tool.value}” in the SVG",
        ".dxf": f"layer “{look.layer(tool).name}” in the DXF",
        _HPGL: f"pen {2 if tool is Tool.CUT else 1} in the HP-GL",
    }
    named = [words for end, words in kinds.items() if any(name.endswith(end) for name in files)]
    return ", ".join(named) or f"the part called “{tool.value}”"
