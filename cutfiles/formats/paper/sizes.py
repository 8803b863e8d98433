"""The sizes of paper that can be printed on, and what of a sheet is lost at its edges."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from cutfiles.core.units import Unit


class Paper(Enum):
    """What a PDF is printed on."""

    A4 = "A4"
    LETTER = "Letter"
    ROLL = "roll"


@dataclass(frozen=True, slots=True)
class PaperSpec:
    """What the `[output]` table says of paper."""

    paper: Paper = Paper.A4
    roll_width_mm: float | None = None  # set for a roll, and for nothing else
    margin_mm: float = 10.0  # what the printer can't reach, all round
    overlap_mm: float = 10.0  # what neighbouring pages have in common
    unit: Unit = Unit.MM  # which comes first where a page tells a length

    @property
    def sheet_mm(self) -> tuple[float, float] | None:
        """Width and height of a sheet, upright (ISO 216; ANSI Y14.1); None for a roll."""
        return {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4), Paper.ROLL: None}[self.paper]
