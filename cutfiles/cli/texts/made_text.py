"""What `make` made, as lines to read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from cutfiles.core.units import Unit, shown, sides_shown
from cutfiles.core.words import counted
from cutfiles.nest.base.layout import FabricTally, RoughCut, Strip, alike_tallies
from cutfiles.nest.rough_cuts import PieceCuts
from cutfiles.pipeline import Made
from cutfiles.sheet.markup.cut_words import cut_words
from cutfiles.shopping.shopping_list import NOTHING, Pieces, ShoppingList


def made_text(
    made: Made,
    out: Path,
    unit: Unit,
    shopping: ShoppingList = NOTHING,
    *,
    cuts: Iterable[PieceCuts] = (),
    details: bool = False,
) -> str:
    """Return the summary: loads and their fabrics, what each fabric gave, cuts by hand, files.

    What to buy by the piece, and all there is to buy, stands below the fabrics that are bought by length.
    `cuts` are those of pieces that are cut roughly.
    With `details` it says what is known of the fewest loads, and how far the tools travel above the fabric.
    """
    layout = made.nested
    lines = []
    for load in layout.loads:
        count = sum(len(laid.placements) for laid in load.fabrics)
        fabrics = dict.fromkeys(laid.fabric for laid in load.fabrics)
        lines.append(f"{load.name}  {counted(count, 'piece')} from {', '.join(fabrics)}")
    if layout.loads:
        count = len(layout.loads)
        lines.append(_loads(count, layout.least_loads) if details else counted(count, "load"))
    lines.append("")
    for load in made.templates.layout.loads if made.templates else ():
        count = sum(len(laid.placements) for laid in load.fabrics)
        lines.append(f"{load.name}  {counted(count, 'template')}")
    for alike in alike_tallies(layout.tallies):
        lines += _tally(alike, unit)
    pieces = (item for item in shopping.items if isinstance(item, Pieces))
    lines.extend(f"{item.fabric}: buy {item.words(unit)}" for item in pieces)
    if shopping.items:
        lines.append(f"to buy in all: {shopping.total()}")
    lines += _rough_cuts(layout.rough_cuts, unit)
    lines += [_piece(piece, unit) for piece in cuts if piece.cuts]
    lines += _strips(layout.strips, unit)
    by_hand = () if layout.strips else layout.hand_cuts
    lines.extend(f"cut by hand: {hand.count} × {hand.shape} of {hand.fabric}" for hand in by_hand)
    if layout.loads and details:
        way = sum(load.travel_mm for load in made.plan.loads) / 1000
        as_laid = sum(load.travel_as_laid_mm for load in made.plan.loads) / 1000
        lines.append(f"way of the tools while they are up: {way:.1f} m; in the order laid {as_laid:.1f} m")
    lines.append(
        f"\n{counted(len(made.files), 'file')} in {out}; print {out / 'job-sheet.html'} and follow it"
    )
    return "\n".join(lines)


def _rough_cuts(cuts: Iterable[RoughCut], unit: Unit) -> list[str]:
    """Alike cuts in one line, where the first of them stands."""
    alike = Counter((cut.fabric, sides_shown(cut.width_mm, cut.length_mm, unit), cut.goes_to) for cut in cuts)
    return [
        f"rough-cut {fabric}: {f'{count} of ' if count > 1 else ''}{size} for {goes_to}"
        for (fabric, size, goes_to), count in alike.items()
    ]


def _piece(piece: PieceCuts, unit: Unit) -> str:
    """The cuts of a piece, or of several that are cut alike, in their order."""
    named = "piece" if len(piece.pieces) == 1 else "pieces"
    pieces = "" if piece.pieces == (1,) else f" ({named} {', '.join(map(str, piece.pieces))})"
    return f"cut {piece.fabric}{pieces} {'; '.join(cut_words(piece.cuts, unit))}"


def _strips(strips: Iterable[Strip], unit: Unit) -> list[str]:
    """Alike strips in one line, where the first of them stands."""
    alike = Counter((strip.fabric, strip.height_mm, strip.count, strip.shape, strip.lie) for strip in strips)
    return [
        f"{fabric}: {counted(many, 'strip')} {shown(height, unit)} high, {count} × {shape}"
        f"{' from each' if many > 1 else ''}, {lie.value}"
        for (fabric, height, count, shape, lie), many in alike.items()
    ]


def _loads(count: int, at_least: int) -> str:
    """How many loads there are, beside what these pieces of fabric need whatever the packing."""
    if count <= at_least:
        return f"{counted(count, 'load')}, proven fewest"
    return f"{counted(count, 'load')}, at least {at_least} needed"


def _tally(alike: tuple[FabricTally, ...], unit: Unit) -> list[str]:
    """What alike fabrics give each, whether that is all that was found to fit, and what is left."""
    tally = alike[0]
    names = ", ".join(fabric_tally.fabric for fabric_tally in alike)
    each = "each " if len(alike) > 1 else ""
    gives = ", ".join(_gives(tally, shape, count) for shape, count in tally.counts) or "nothing"
    of = f"{tally.pieces_used} of {counted(tally.pieces, 'piece')}"
    parts = [f"{names}: {each}{gives} from {of}" if not tally.bought else f"{names}: {each}{gives}"]
    if tally.pieces_used:
        parts.append(f"{tally.used_share:.0%} of it used")
    size = tally.left.size(unit) if tally.left else ""
    if size:
        parts.append(f"left in one piece: {size}")
    buy = [f"{names}: {each}{tally.bought.words(unit)}"] if tally.bought else []
    return [", ".join(parts), *buy]


def _gives(tally: FabricTally, shape: str, count: int) -> str:
    return f"{count} × {shape}" + (f" ({tally.all_words(shape)})" if shape in tally.limited else "")
