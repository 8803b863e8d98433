"""What cuts fabrics by ruler: the same questions as of a search, answered by strips."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import rounded_up_mm
from cutfiles.geometry.outline import area, bounds
from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.by_ruler.rows import Ruled
from cutfiles.nest.by_ruler.strips import strips_of
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.turns import sizes_at
from cutfiles.nest.fabric.fabric_cut import FabricCut
from cutfiles.nest.fabric.fabric_cutter import ALL
from cutfiles.pieces.shape import Shape
from cutfiles.plate.plate import Plate
from cutfiles.plate.strips import StripWedge, wedges_of


class RulerCutter:
    """Cuts fabrics for one job into strips; remembers what it has laid out."""

    def __init__(self, shapes: Sequence[Shape], plate: Plate, *, mark_mm: float) -> None:
        """Cut with `mark_mm` between the marks of the rule that lengths to buy are measured with."""
        wedges = wedges_of(plate)
        self._mark_mm = mark_mm
        self._areas = {shape.name: area(shape.cut) for shape in shapes}
        self._shapes = {shape.name: shape for shape in shapes}
        self._ruled: dict[str, Ruled] = {}
        for shape in shapes:
            self._ruled[shape.name] = _ruled(shape, wedges.get(shape.name), mark_mm)
        self._cuts: dict[tuple[FabricSpec, frozenset[tuple[str, int]]], FabricCut] = {}

    @property
    def is_cut_short(self) -> bool:
        """Never: there is no search."""
        return False

    def solve_ahead(self, cuts: Sequence[tuple[FabricSpec, Mapping[str, int]]]) -> None:
        """Do nothing: all is answered at once."""

    def by_hand(self, _fabric: FabricSpec, _shape: str) -> None:
        """Return None: nothing is too big for a mat, as cloth is folded to fit it."""

    def cut(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        """Return the strips of a fabric for at most what is asked."""
        key = (fabric, frozenset(asked.items()))
        if key not in self._cuts:
            # Numbers before "all it holds", large shapes before small.
            order = sorted(
                (shape for shape, count in asked.items() if count),
                key=lambda shape: (asked[shape] >= ALL, -self._areas[shape]),
            )
            wanted = [(self._ruled[shape], asked[shape]) for shape in order]
            self._cuts[key] = FabricCut((), (), strips_of(fabric, wanted))
        return self._cuts[key]

    def takes(self, fabric: FabricSpec, shape: str) -> bool:
        """Return whether a piece of fabric, as long as needed if that is open, has room for a shape."""
        return self.cut(replace(fabric, pieces=1), {shape: 1}).given[shape] > 0

    def on_fewest_pieces(self, fabric: FabricSpec, asked: Mapping[str, int]) -> FabricCut:
        """Return the strips: no piece is begun before those begun are full."""
        return self.cut(fabric, asked)

    def as_large_as_cut(self, fabric: FabricSpec, cut: FabricCut) -> FabricSpec:
        """Return a fabric with the length, to the next mark, or the pieces found for it if that is open."""
        if fabric.pieces_as_needed:
            return replace(fabric, pieces=cut.pieces_used)
        if not fabric.as_needed:
            return fabric
        tops = [strip.y_mm + strip.length_mm + fabric.margin_mm for strip in cut.strips]
        return replace(fabric, length_mm=rounded_up_mm(max(tops, default=0.0), self._mark_mm))

    def at_least(self, fabric: FabricSpec, shape: str) -> int:
        """Return how many of a shape alone the fabric gives."""
        return self.cut(fabric, {shape: ALL}).given[shape]

    def at_most(self, fabric: FabricSpec, shape: str) -> int:
        """Return how many of a shape the fabric's area can't pass."""
        return fabric.pieces * int(fabric.width_mm * fabric.length_mm / self._areas[shape] + 1e-9)

    def sizes(self, fabric: FabricSpec, shape: str) -> list[tuple[float, float]]:
        """Return the width and the length of a shape at each turn that is tried on a fabric."""
        return sizes_at(cloth_of(fabric).turns, self._shapes[shape].cut)


def _ruled(shape: Shape, wedge: StripWedge | None, mark_mm: float) -> Ruled:
    """A shape as a ruler cuts it; what is cut round by its template is first cut out to whole marks."""
    left, low, right, high = bounds(shape.cut)
    width, height = right - left, high - low
    if wedge is None and width * height - area(shape.cut) > RULE_MM:
        width, height = rounded_up_mm(width, mark_mm), rounded_up_mm(height, mark_mm)
    return Ruled(shape.name, width, height, wedge)
