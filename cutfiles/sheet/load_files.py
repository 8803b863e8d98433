"""A load's files in words: which are for a machine, how to open them, what is called what in them."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.files.look import Look
from cutfiles.files.writers import WRITERS
from cutfiles.nest.layout import Load
from cutfiles.passes.plan import Tool

_OF_PIECES = tuple(writer.suffix for writer in WRITERS.values() if writer.of_pieces)
_HPGL, _R12 = WRITERS["hpgl"].suffix, WRITERS["dxf-r12"].suffix


def for_machines(files: Sequence[str], load: Load) -> tuple[str, ...]:
    """Return a load's files that a machine runs."""
    return tuple(name for name in _own(files, load) if not name.endswith(_OF_PIECES))


def of_pieces(files: Sequence[str], load: Load) -> tuple[str, ...]:
    """Return a load's files that other programs take pieces from."""
    return tuple(name for name in _own(files, load) if name.endswith(_OF_PIECES))


def _own(files: Sequence[str], load: Load) -> list[str]:
    return [name for name in files if name.startswith((f"{load.name}.", f"{load.name}-"))]


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


def where(tool: Tool, files: Sequence[str], look: Look) -> str:
    """Return what a tool's strokes are called in each kind of file."""
    kinds = {
        ".svg": f"group “{tool.value}” in the SVG",
        ".dxf": f"layer “{look.layer(tool).name}” in the DXF",
        _HPGL: f"pen {2 if tool is Tool.CUT else 1} in the HP-GL",
    }
    named = [words for end, words in kinds.items() if any(name.endswith(end) for name in files)]
    return ", ".join(named) or f"the part called “{tool.value}”"
