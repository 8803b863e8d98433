"""What one fabric gives, how well it is used, and what is left of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from cutfiles.core.units import Unit
from cutfiles.geometry.outline import area
from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.base.layout import Bought, FabricTally, Left
from cutfiles.nest.base.leftover import area_mm2, largest_beside, rings_of
from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.cutting_rules.reach import Rect
from cutfiles.nest.fabric.demand import Settled
from cutfiles.nest.fabric.fabric_cut import FabricCut
from cutfiles.nest.fabric.fabric_cutter import FabricCutter
from cutfiles.nest.fabric.obstacles import obstacles_in, usable_mm2
from cutfiles.pieces.shape import CutList


def tally_of(
    settled: Settled, cut_list: CutList, cutter: FabricCutter, unit: Unit, *, hurried: bool = False
) -> FabricTally:
    """Return the tally of a fabric that is settled.

    Args:
        settled: the fabric and what is cut from it.
        cut_list: what is cut of it.
        cutter: knows how many it could give.
        unit: says how fabric is sold.
        hurried: the search was cut short, so that a length or pieces to buy may be more than need be.
    """
    given = settled.cut.given
    counts = tuple((shape.name, given[shape.name]) for shape in cut_list.shapes if given[shape.name])
    # What is ruled by hand was not searched for.
    hurried = hurried and bool(settled.cut.cuts)
    used = settled.cut.pieces_used * usable_mm2(cloth_of(settled.fabric))
    cut_area = sum(area(cut_list.shape(shape).cut) * count for shape, count in counts)
    return FabricTally(
        settled.fabric.name,
        settled.fabric.pieces,
        settled.cut.pieces_used,
        counts,
        () if settled.fabric.as_needed else tuple((s, cutter.at_most(settled.fabric, s)) for s, _ in counts),
        cut_area / used if used else 0.0,
        tuple(shape for shape, _ in counts if shape in settled.limited),
        _left_of(settled.fabric, settled.cut),
        _bought(settled.fabric, unit, hurried=hurried) if settled.fabric.as_needed and counts else None,
        hurried and settled.fabric.pieces_as_needed,
    )


def _bought(fabric: FabricSpec, unit: Unit, *, hurried: bool) -> Bought:
    purchase = fabric.purchase
    sold, needed = purchase.sold_by(unit), purchase.length_mm(fabric.length_mm)
    return Bought(
        purchase.width_mm(fabric.width_mm),
        fabric.length_mm,
        sold.up_mm(needed),
        hurried,
        needed,
        purchase.sold,
    )


def _left_of(fabric: FabricSpec, cut: FabricCut) -> Left | None:
    """The largest rectangle left in one piece of the last piece of fabric that is cut into."""
    pieces = [blank_cut.blank.piece for blank_cut in cut.cuts] + [hand.piece for hand in cut.by_hand]
    pieces += [strip.piece for strip in cut.strips]
    if not pieces:
        return None
    last = max(pieces)
    rects = [rect for rect in _lefts(fabric, cut, last) if rect is not None]
    if not rects:
        return None
    best = max(rects, key=area_mm2)
    return Left(last, best.x_mm, best.y_mm, best.width_mm, best.height_mm)


def _lefts(fabric: FabricSpec, cut: FabricCut, piece: int) -> Iterator[Rect | None]:
    """Beside everything that is taken from a piece, and within each rectangle that is rough-cut from it."""
    whole = Rect(0.0, 0.0, fabric.width_mm, fabric.length_mm)
    by_hand = [hand.rect for hand in cut.by_hand if hand.piece == piece]
    by_hand += [Rect(ruled.x_mm, ruled.y_mm, *ruled.sides_mm) for ruled in cut.strips if ruled.piece == piece]
    own = [blank_cut for blank_cut in cut.cuts if blank_cut.blank.piece == piece]
    rough = [
        _ring(rect) for rect in by_hand + [blank_cut.blank.rect for blank_cut in own if blank_cut.blank.rough]
    ]
    if rough:
        yield largest_beside(whole.width_mm, whole.height_mm, rough + _flaws(fabric, whole))
    for blank_cut in own:
        rect = blank_cut.blank.rect
        left = largest_beside(
            rect.width_mm, rect.height_mm, rings_of(blank_cut.placed) + _flaws(fabric, rect)
        )
        if left is not None:
            yield replace(left, x_mm=left.x_mm + rect.x_mm, y_mm=left.y_mm + rect.y_mm)


def _flaws(fabric: FabricSpec, rect: Rect) -> list[Array]:
    """What isn't cloth or is to be avoided, counted from the rectangle's corner, without a margin."""
    return [np.array(ring) for ring in obstacles_in(replace(cloth_of(fabric), margin_mm=0.0), rect)]


def _ring(rect: Rect) -> Array:
    right, top = rect.x_mm + rect.width_mm, rect.y_mm + rect.height_mm
    return np.array([(rect.x_mm, rect.y_mm), (right, rect.y_mm), (right, top), (rect.x_mm, top)])


def count_notes(cut_list: CutList, settled: tuple[Settled, ...]) -> tuple[str, ...]:
    """Return a line for each shape of which more or fewer are cut than the job needs."""
    total: Counter[str] = Counter()
    for result in settled:
        total.update(result.cut.given)
    return tuple(
        f"{shape}: {total[shape]} cut, {need} needed; {total[shape] - need} to spare"
        for shape, need in cut_list.needs
        if total[shape] > need
    ) + tuple(
        f"{shape}: only {total[shape]} of the {need} needed are cut here"
        for shape, need in cut_list.needs
        if total[shape] < need
    )
