"""What a machine does, stroke by stroke: place, draw, then register marks, then cut. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.geometry.outline import Contour


@dataclass(frozen=True, slots=True)
class Stroke:
    """One line on the mat; `piece_id` is empty for register marks and for where fabric is laid."""

    tool: Tool
    path: Contour
    piece_id: str
    kind: Drawn | None = None  # what a drawn line is; None for register marks and cuts
    part: str = ""  # of a piece that is cut in several lines: which; its outline, or most of it, has none

    @property
    def name(self) -> str:
        """What the line is called in a file: the piece's id, and which part of it this is."""
        return f"{self.piece_id}-{self.part}" if self.part else self.piece_id


@dataclass(frozen=True, slots=True)
class LoadPlan:
    """The strokes of one load, in the order in which the machine runs them."""

    name: str
    width_mm: float  # of the mat
    height_mm: float
    strokes: tuple[Stroke, ...]
    travel_mm: float = 0.0  # how far the tools go while they are up, each from the mat's lower left corner
    travel_as_laid_mm: float = 0.0  # the same, had everything been run in the order of the layout
    # Each piece's id and its outline as it is to come out, whatever way the tool takes around it.
    outlines: tuple[tuple[str, Contour], ...] = ()
    # Ids of pieces that differ by place and turn alone, group by group.
    alike: tuple[tuple[str, ...], ...] = ()

    @property
    def tools(self) -> tuple[Tool, ...]:
        """What it has layers for: draw, register and cut always, place where there is something of it."""
        return tuple(tool for tool in Tool if tool is not Tool.PLACE or self.strokes_of(tool))

    def strokes_of(self, tool: Tool) -> tuple[Stroke, ...]:
        """Return the strokes of one tool, in order."""
        return tuple(stroke for stroke in self.strokes if stroke.tool is tool)


@dataclass(frozen=True, slots=True)
class CutPlan:
    """All loads, and what a person should know of them."""

    loads: tuple[LoadPlan, ...]
    notes: tuple[str, ...]
