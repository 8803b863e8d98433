"""What the machine's tool asks of the lines of a file: how they differ from what is left on the mat."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.check.layout.keys import Key
from cutfiles.core.tolerance import ONE_LINE_MM

_SETTLED = 8.0  # path length in swivels after which a trailing knife is aligned


@dataclass(frozen=True, slots=True)
class KnownTool:
    """What the files were written for; all 0 for a tool that needs nothing."""

    kerf_mm: float = 0.0
    swivel_mm: float = 0.0
    overcut_mm: float = 0.0
    skips_edge: bool = False  # the fabric's own edge isn't cut

    @property
    def over_mm(self) -> float:
        """How far at most a cut runs on past its start."""
        return max(self.overcut_mm, _SETTLED * self.swivel_mm)

    def spacing_mm(self, gap_mm: float | None) -> float | None:
        """Return the least distance of cut lines whose pieces are a gap apart."""
        if gap_mm is None:
            return None
        apart = gap_mm - self.kerf_mm
        return 0.0 if apart <= ONE_LINE_MM else apart


def tool_of(machine: Key) -> KnownTool:
    """Return the tool that a layout's machine has."""
    return KnownTool(
        machine.find("kerf_mm", 0.0).length(),
        machine.find("swivel_mm", 0.0).length(),
        machine.find("overcut_mm", 0.0).length(),
        machine.find("edge", "cut").text() == "skip",
    )
