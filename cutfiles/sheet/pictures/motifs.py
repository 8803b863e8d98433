"""Where a print repeats: how to trim a piece to it, what to look for on the mat, and rings in the picture."""

from __future__ import annotations

import math

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import sides_shown
from cutfiles.formats.model.numbers import number
from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.job.model.job import Job
from cutfiles.nest.base.layout import Layout, PlacedFabric, PlacedRepeat
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.colours import INK
from cutfiles.sheet.markup.markup import Content, Element, bullets, paragraph, section, svg
from cutfiles.sheet.markup.words import ruled

RING_MM = 0.9  # radius, on paper
LINE_MM = 0.25
LEAST_APART_MM = 4.0  # of paper: nearer rings would hide the picture
MOTIF = "the print's motif"  # what the legend calls it


def motifs_section(job: Job, plate: Plate, layout: Layout) -> Element | None:
    """Return how to trim fabrics that show a motif; nothing if none that is used does."""
    used = {tally.fabric for tally in layout.tallies if tally.counts}
    entries: list[Content] = []
    for fabric in job.fabrics:
        if fabric.repeat and fabric.name in used:
            size = sides_shown(fabric.repeat.width_mm, fabric.repeat.length_mm, job.unit)
            x, y = (ruled(place, job.unit) for place in fabric.repeat.motif)
            entries.append(
                f"{fabric.name}: the motif {x} from the left edge and {y} from the lower edge; the print "
                f"repeats every {size}."
            )
    if not entries:
        return None
    narrow = ruled(plate.blade.inner_radius_mm, job.unit)
    blades = any(shape == BLADE for tally in layout.tallies for shape, _ in tally.counts)
    own = f" For a blade that is the plate's centre, {narrow} below its narrow end." if blades else ""
    return section(
        "Before cutting: the print",
        paragraph(
            "Lay each piece right side up, its lengthwise grain running away from you, and trim it until the "
            f"print lies as said here. Every cut piece has its origin on the motif.{own} What is cut from a "
            "piece trimmed otherwise shows another part of the print."
        ),
        bullets(entries),
    )


def motif_words(mark: str, laid: PlacedFabric, job: Job) -> str:
    """Return where to look for the motif on a fabric of a load; nothing where no print repeats."""
    if laid.repeat is None:
        return ""
    (x, across), (y, up) = _motif_spacing(laid, laid.repeat)
    size = sides_shown(across, up, job.unit)
    return (
        f"On {mark}, as it lies, the motif must be {ruled(x, job.unit)} from the left edge and "
        f"{ruled(y, job.unit)} from the lower edge, and again every {size}: look from below or against the "
        f"light before it sticks."
    )


def motif_rings(laid: PlacedFabric, scale: float) -> list[Element]:
    """Return a ring at every place of the motif on a fabric; none where they would crowd."""
    if laid.repeat is None:
        return []
    (x, across), (y, up) = _motif_spacing(laid, laid.repeat)
    if min(across, up) < LEAST_APART_MM * scale:
        return []
    columns = math.floor((laid.across_mm - x) / across) + 1
    rows = math.floor((laid.up_mm - y) / up) + 1
    return [
        motif_ring(laid.x_mm + x + column * across, laid.y_mm + y + row * up, scale)
        for row in range(rows)
        for column in range(columns)
    ]


def motif_ring(x: float, y: float, scale: float) -> Element:
    """Return the ring that stands for a motif."""
    attributes = {"fill": "none", "stroke": INK, "stroke_width": number(LINE_MM * scale)}
    return svg("circle", cx=number(x), cy=number(y), r=number(RING_MM * scale), **attributes)


def _motif_spacing(
    laid: PlacedFabric, repeat: PlacedRepeat
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Along the mat's x and y: the first motif from the fabric's corner, and how far it is to the next."""
    across, up = repeat.width_mm, repeat.length_mm
    if laid.turn_deg:
        across, up = up, across
    return (_first(repeat.x_mm - laid.x_mm, across), across), (_first(repeat.y_mm - laid.y_mm, up), up)


def _first(place: float, step: float) -> float:
    offset = place % step
    return 0.0 if step - offset < RULE_MM else offset
