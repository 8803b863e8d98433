"""What is cut from which fabric, and the rough cuts that come before the mat."""

from __future__ import annotations

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import SoldBy, Unit, shown
from cutfiles.job.model.job import Job, Print
from cutfiles.nest.base.layout import FabricTally, Layout, RoughCut, alike_tallies
from cutfiles.sheet.markup.markup import Content, Element, paragraph, section, table
from cutfiles.sheet.markup.words import counted, listed, of_shape

FOR_ENDS_MM = 50.0  # what straightening both ends of a length from the shop may cost; common practice


def cutting_section(layout: Layout, unit: Unit) -> Element:
    """Return the cutting list, fabric by fabric."""
    headings = ("Fabric", "Pieces cut into", "Cut from it", "Used", "Left")
    used = [tally for tally in layout.tallies if tally.counts]
    unused = [tally for tally in layout.tallies if not tally.counts]
    parts: list[Content] = [table(headings, (_rows(alike, unit) for alike in alike_tallies(used)))]
    parts.append(
        paragraph(
            "“Used” is the share of the pieces cut into that ends up in cut shapes. “Left” is the largest "
            "rectangle that the last piece cut into leaves in one piece, across the fabric × along the "
            "lengthwise grain, and how many pieces stay whole."
        )
    )
    if any(tally.bought for tally in used):
        parts.append(
            paragraph(
                "Of fabric whose length the job leaves open, all that is cut lies on the length needed, "
                "and “Used” and “Left” are of that length. What to buy is that, rounded up as fabric is sold."
            )
        )
    if unused:
        names = ", ".join(tally.fabric for tally in unused)
        parts.append(paragraph(f"Nothing is cut from: {names}."))
    return section("Cutting list", *parts)


def _rows(alike: tuple[FabricTally, ...], unit: Unit) -> list[list[Content]]:
    """The rows of fabrics that all give the same."""
    tally = alike[0]
    each = " each" if len(alike) > 1 else ""
    rows: list[list[Content]] = []
    for shape, count in tally.counts:
        all_ = f" ({tally.all_words(shape)})" if shape in tally.limited else ""
        rows.append(["", "", of_shape(count, shape) + each + all_, "", ""])
    rows[0][0] = ", ".join(fabric_tally.fabric for fabric_tally in alike)
    whole = tally.bought.words(unit) if tally.bought else f"{tally.pieces_used} of {tally.pieces}"
    rows[0][1] = f"{whole}{each}"
    rows[0][3] = f"{100 * tally.used_share:.0f} %"
    rows[0][4] = _left(tally, unit)
    return rows


def _left(tally: FabricTally, unit: Unit) -> str:
    size = tally.left.size(unit) if tally.left else ""
    whole = f"{counted(tally.pieces_whole, 'whole piece')}" if tally.pieces_whole else ""
    return "; ".join(part for part in (size, whole) if part) or "–"


def rough_cuts_section(job: Job, layout: Layout) -> Element | None:
    """Return the rectangles to cut before anything goes onto the mat; nothing if there are none."""
    if not layout.rough_cuts:
        return None
    headings = ("Fabric", "Piece", "Size", "Lower left corner", "Goes to")
    keyed: dict[tuple[str, int], list[RoughCut]] = {}
    for cut in layout.rough_cuts:
        keyed.setdefault((cut.fabric, cut.piece), []).append(cut)
    groups = [_rough_rows(cuts, job.unit) for cuts in keyed.values()]
    parts: list[Content] = [
        paragraph(
            "Lay each piece with its lengthwise grain running away from you. Sizes are given across the "
            "fabric × along the lengthwise grain, corners from the left edge and from the edge nearest to "
            "you. Chalk an arrow along the lengthwise grain, away from you, on every rectangle and note "
            "where it goes."
        )
    ]
    parts += [paragraph(text) for text in _how_they_lie(job, {cut.fabric for cut in layout.rough_cuts})]
    parts += [paragraph(text) for text in _bought(layout, job.unit)]
    parts.append(table(headings, groups))
    return section("Before cutting: rough cuts", *parts)


def _bought(layout: Layout, unit: Unit) -> list[str]:
    """What to see to before fabric that was bought by its length is cut; nothing if there is none."""
    tallies = [tally for tally in layout.tallies if tally.bought]
    cautions = []
    for tally in tallies:
        assert tally.bought is not None
        spare = tally.bought.buy_mm - tally.bought.as_bought_mm
        # Where the job says what is lost, it has seen to the ends.
        lost = tally.bought.as_bought_mm > tally.bought.length_mm
        if spare < FOR_ENDS_MM and not lost:
            over = f"{shown(spare, unit)} more than" if spare > RULE_MM else "just what"
            cautions.append(
                f"{tally.fabric}: {tally.bought.buy_words(unit)} is {over} is needed; take "
                f"{_one_step(tally.bought.sold_by(unit))} more if that is too little for its ends."
            )
    if tallies:
        names = listed([tally.fabric for tally in tallies])
        cautions.insert(0, f"Straighten the lower end of {names} first: corners are measured from there.")
    return cautions


def _one_step(sold: SoldBy) -> str:
    return sold.words(sold.step_mm)


def _how_they_lie(job: Job, names: set[str]) -> list[str]:
    """A sentence for each way in which fabrics lie while they are cut roughly."""
    ways: dict[str, list[str]] = {}
    for fabric in job.fabrics:
        if fabric.name in names:
            way = fabric.face.value
            if fabric.print_ is Print.ONE_WAY:
                way += ", the top of the print away from you, so that all arrows point up the print"
            ways.setdefault(way, []).append(fabric.name)
    return [f"{listed(fabrics)}: {way}." for way, fabrics in ways.items()]


def _rough_rows(cuts: list[RoughCut], unit: Unit) -> list[list[Content]]:
    rows: list[list[Content]] = []
    for cut in cuts:
        size = f"{shown(cut.width_mm, unit)} × {shown(cut.length_mm, unit)}"
        corner = f"{shown(cut.x_mm, unit)} from the left, {shown(cut.y_mm, unit)} up"
        goes_to = cut.goes_to if cut.goes_to.startswith("load-") else f"{cut.goes_to}, by hand"
        rows.append(["", "", size, corner, goes_to])
    rows[0][0], rows[0][1] = cuts[0].fabric, str(cuts[0].piece)
    return rows
