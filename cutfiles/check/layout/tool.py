"""What the machine's tool asks of the lines of a file: how they differ from what is left on the mat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from cutfiles.check.layout.keys import Key
from cutfiles.check.shapes.contours import as_area, as_line
from cutfiles.core.tolerance import CHORD_MM, ONE_LINE_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.geometry.outline import Contour

# How far a cut line may be from half a kerf outside its shape: arcs were measured as chords.
_KERF_MM = 0.005
_QUARTER = 64  # edges of a quarter round
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


def kerf_faults(shapes: dict[str, Contour], lines: dict[str, Contour], tool: KnownTool) -> Iterator[Fault]:
    """Yield a fault for each shape whose cut line doesn't run half a kerf outside of it."""
    for name, shape in shapes.items():
        line = lines[name]
        if tool.kerf_mm <= ONE_LINE_MM and line == shape:
            continue
        whole = as_area(shape, stray_mm=CHORD_MM)
        meant = whole.buffer(tool.kerf_mm / 2, quad_segs=_QUARTER)
        off = shapely.hausdorff_distance(meant.exterior, as_line(line, stray_mm=CHORD_MM))
        if off > _KERF_MM:
            words = f"its line is {off:.4g} mm off half the kerf of {tool.kerf_mm:g} mm outside of it"
            yield Fault(Code.BAD_LAYOUT, name, words)
