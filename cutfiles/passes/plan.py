"""What a machine does, stroke by stroke: draw, then register marks, then cut. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from cutfiles.core.outline import Contour
from cutfiles.job.model import Drawn


class Tool(Enum):
    """What touches the fabric, in the order of the passes."""

    DRAW = "draw"
    REGISTER = "register"
    CUT = "cut"


@dataclass(frozen=True, slots=True)
class Stroke:
    """One line on the mat; `piece_id` is empty for register marks."""

    tool: Tool
    path: Contour
    piece_id: str
    kind: Drawn | None = None  # what a drawn line is; None for register marks and cuts


@dataclass(frozen=True, slots=True)
class LoadPlan:
    """The strokes of one load, in the order in which the machine runs them."""

    name: str
    width_mm: float  # of the mat
    height_mm: float
    strokes: tuple[Stroke, ...]

    def of(self, tool: Tool) -> tuple[Stroke, ...]:
        """Return the strokes of one tool, in order."""
        return tuple(stroke for stroke in self.strokes if stroke.tool is tool)


@dataclass(frozen=True, slots=True)
class CutPlan:
    """All loads, and what a person should know of them."""

    loads: tuple[LoadPlan, ...]
    notes: tuple[str, ...]
