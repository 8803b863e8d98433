"""How much there is to sew in one plate, for its thread: seams by machine, and edges by hand."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from cutfiles.geometry.outline import Path, length
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Plate

STITCHES_PER_INCH = 4  # by hand, in a fold; common practice


@dataclass(frozen=True, slots=True)
class Stitching:
    """Lengths of one plate, mm."""

    sides_mm: float  # seams between blades, from the opening to the valley
    tips_mm: float  # seams across folded tips, which are then doubled over; 0 of other tips
    bands_mm: float  # seams between the bands of pieced blades
    edge_mm: (
        float  # the plate's own edge that is sewn to the background: tips, and sides that are turned under
    )
    centre_mm: float  # the centre's turned edge; 0 where there is none


def stitching(plate: Plate) -> Stitching:
    """Return how much there is to sew in a plate. Source: docs/geometry.md, "What there is to sew"."""
    blades = [plate.blade_at(place) for place in range(plate.sewn)]
    pairs = list(pairwise(blades))
    if is_ring(plate):
        pairs.append((blades[-1], blades[0]))
    valleys = [(one.valley_radius_mm, other.valley_radius_mm) for one, other in pairs]
    bands = sum(2 * blade.cut_half_width_mm(radius) for blade in blades for radius in plate.bands_mm)
    edges = sum(length(Path(blade.tip.finish.finished_edge(blade), closed=False)) for blade in blades)
    if not is_ring(plate) and not plate.is_in_seam:
        edges += sum(blade.valley_radius_mm - blade.opening_radius_mm for blade in (blades[0], blades[-1]))
    centre = 0.0
    if plate.centre:
        sweep = math.radians(plate.sweep_deg) if plate.is_in_seam else 2 * math.pi
        centre = sweep * plate.centre.finished_radius_mm
    return Stitching(
        # Two lengths are joined up to the valley of the shorter one; from there on the longer one's side is
        # turned, and part of the edge.
        sum(min(both) - plate.blade.opening_radius_mm for both in valleys),
        sum(b.cut_half_width_mm(b.tip_radius_mm) for b in blades if b.facing_ends_mm is not None),
        bands,
        edges + sum(max(both) - min(both) for both in valleys),
        centre,
    )
