"""How each piece of fabric is cut by hand before anything goes onto the mat: its cuts in their order."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.geometry.outline import Bounds
from cutfiles.job.model.job import Face, Job
from cutfiles.nest.base.layout import Layout, RoughCut
from cutfiles.nest.cutting_rules.guillotine import ThroughCut, through_cuts


@dataclass(frozen=True, slots=True)
class RoughPart:
    """A rectangle that comes out of pieces cut alike; `goes_to` says where that of each piece goes."""

    bounds: Bounds
    goes_to: tuple[str, ...]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Crosswise and lengthwise."""
        return (self.bounds[2] - self.bounds[0], self.bounds[3] - self.bounds[1])


@dataclass(frozen=True, slots=True)
class PieceCuts:
    """Pieces of a fabric that are cut alike. `cuts` is empty where a cut through would part a rectangle."""

    fabric: str
    pieces: tuple[int, ...]
    width_mm: float
    length_mm: float
    parts: tuple[RoughPart, ...]
    cuts: tuple[ThroughCut, ...]
    face: Face  # how they lie meanwhile


def lengths_of(job: Job, layout: Layout) -> dict[str, float]:
    """Return how long a piece of each fabric is: as it is bought where that was to be found, washed."""
    lengths = {fabric.name: fabric.length_mm for fabric in job.fabrics}
    purchases = {fabric.name: fabric.purchase for fabric in job.fabrics}
    for tally in layout.tallies:
        if tally.bought is not None:
            lengths[tally.fabric] = purchases[tally.fabric].usable_length_mm(tally.bought.buy_mm)
    return lengths


def piece_cuts(job: Job, layout: Layout) -> tuple[PieceCuts, ...]:
    """Return the rough cuts of a layout, fabric by fabric, pieces that are cut alike together."""
    widths, lengths = {fabric.name: fabric.width_mm for fabric in job.fabrics}, lengths_of(job, layout)
    by_piece: dict[tuple[str, int], list[RoughCut]] = {}
    for cut in layout.rough_cuts:
        by_piece.setdefault((cut.fabric, cut.piece), []).append(cut)
    alike: dict[tuple[str, Face, tuple[Bounds, ...]], list[int]] = {}
    for (fabric, piece), cuts in by_piece.items():
        alike.setdefault((fabric, cuts[0].face, tuple(_box(cut) for cut in cuts)), []).append(piece)
    found = []
    for (fabric, face, boxes), pieces in alike.items():
        parts = tuple(
            RoughPart(box, tuple(by_piece[fabric, piece][index].goes_to for piece in pieces))
            for index, box in enumerate(boxes)
        )
        whole = (0.0, 0.0, widths[fabric], lengths[fabric])
        cuts_through = through_cuts(whole, boxes) or ()
        found.append(PieceCuts(fabric, tuple(pieces), whole[2], whole[3], parts, cuts_through, face))
    return tuple(found)


def _box(cut: RoughCut) -> Bounds:
    return (cut.x_mm, cut.y_mm, cut.x_mm + cut.width_mm, cut.y_mm + cut.length_mm)
