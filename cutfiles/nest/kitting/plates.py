"""Which blade of a layout is sewn into which plate, and at which place in it: counter-clockwise from the top.

In: a layout, and the order that the job asks for. Out: the layout with every blade at its place and labelled
by it. Nothing moves on the fabric.
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.plate.finished import is_ring
from cutfiles.plate.order import Order, alike, crowds, most_apart, repeated, spread, spread_in_turn
from cutfiles.plate.plate import Plate

Places = Mapping[
    tuple[str, str], deque[tuple[int, int]]
]  # by shape and fabric: plates and places that are still to be filled


def with_plates(layout: Layout, plate: Plate, order: Order) -> Layout:
    """Return a layout whose blades know their plate and place, with a note where neighbours must be alike.

    Args:
        layout: as the nest found it; where its blades don't do for all plates it comes back as it is.
        plate: how many plates there are, and how many blades are sewn in each.
        order: names of fabrics to be repeated round each plate; empty: as even a spread as is found.

    A fabric's blades go to its places in the order in which they are cut, those cut by hand last. What is
    over has no place, and keeps the label that it had.
    """
    used: dict[str, dict[str, int]] = {}
    for shape in plate.shapes:
        given = {tally.fabric: dict(tally.counts).get(shape.name, 0) for tally in layout.tallies}
        needed = plate.count * len(shape.places(plate.sewn))
        if sum(given.values()) < needed:
            return layout
        used[shape.name] = _without_spare(given, needed)
    ring = is_ring(plate)
    if order:
        plates = (repeated(order, plate.sewn),) * plate.count
        notes = _seam_notes(order, plates[0], ring=ring)
    elif plate.bands:
        by_band = [spread(used[shape.name], plate.count, ring=ring) for shape in plate.shapes]
        plates, notes = tuple(_blade_by_blade(orders) for orders in zip(*by_band, strict=True)), ()
    elif plate.second:
        long, short = (used[shape.name] for shape in plate.shapes)
        plates = spread_in_turn(long, short, plate.count, ring=ring)
        notes = _crowd_notes(plates, plate, ring=ring) or _turn_notes(plates, ring=ring)
    else:
        plates = spread(used[BLADE], plate.count, ring=ring)
        notes = _crowd_notes(plates, plate, ring=ring)
    free: Places = defaultdict(deque)
    for number, fabrics in enumerate(plates, start=1):
        for index, shape in enumerate(plate.shapes):
            for place in shape.places(plate.sewn):
                piece = place * len(plate.shapes) + index if plate.bands else place
                free[shape.name, fabrics[piece]].append((number, place + 1))
    loads = tuple(_load(load, free) for load in layout.loads)
    return replace(layout, loads=loads, plates=plates, notes=(*layout.notes, *notes))


def _blade_by_blade(orders: Sequence[Order]) -> Order:
    """The fabrics of all pieces from orders of each band: a blade's bands one after the other."""
    return tuple(fabric for blade in zip(*orders, strict=True) for fabric in blade)


def _without_spare(given: Mapping[str, int], needed: int) -> dict[str, int]:
    """What is sewn of each fabric: of blades to spare the commonest fabric has the most, as it crowds."""
    used = {fabric: count for fabric, count in given.items() if count}
    for _ in range(sum(used.values()) - needed):
        used[max(reversed(used), key=lambda fabric: used[fabric])] -= 1
    return used


def _load(load: Load, free: Places) -> Load:
    return replace(load, fabrics=tuple(_laid(laid, free) for laid in load.fabrics))


def _laid(laid: PlacedFabric, free: Places) -> PlacedFabric:
    return replace(
        laid,
        placements=tuple(_placed(placement, laid.fabric, free) for placement in laid.placements),
    )


def _placed(blade: Placement, fabric: str, free: Places) -> Placement:
    if not free[blade.shape, fabric]:
        return blade  # no blade, or one to spare
    plate, place = free[blade.shape, fabric].popleft()
    assigned = replace(blade, plate=plate, place=place)
    return replace(assigned, label=f"{assigned.short_label} {fabric}")


def _crowd_notes(plates: Sequence[Order], plate: Plate, *, ring: bool) -> tuple[str, ...]:
    """A line for each fabric too common for its blades to keep apart; none for one fabric alone."""
    used = Counter(fabric for order in plates for fabric in order)
    if len(used) < 2:
        return ()
    crowded = dict.fromkeys(crowd.fabric for order in plates for crowd in crowds(Counter(order), ring=ring))
    most = most_apart(plate.sewn, ring=ring) * plate.count
    return tuple(
        f"{fabric} gives {used[fabric]} of the {plate.count * plate.sewn} blades, so some of them must be "
        f"sewn side by side; with at most {most}{_each(plate, most)} they need not"
        for fabric in crowded
    )


def _turn_notes(plates: Sequence[Order], *, ring: bool) -> tuple[str, ...]:
    """Where two lengths in turn keep no fabric's blades apart, though none gives over half of them."""
    fabrics = {fabric for order in plates for fabric in order}
    if len(fabrics) < 2 or not any(alike(order, ring=ring) for order in plates):
        return ()
    return (
        "some neighbours are of one fabric: no order of the long and the short blades was found that keeps "
        "all apart; with more fabrics, or other numbers in cuts, there may be one",
    )


def _each(plate: Plate, most: int) -> str:
    return f" ({most // plate.count} a plate)" if plate.count > 1 else ""


def _seam_notes(order: Order, plate: Order, *, ring: bool) -> tuple[str, ...]:
    """Where an order that keeps fabrics apart doesn't where the ring closes: nobody may have meant that."""
    if len(order) < 2 or alike(order, ring=True) or not alike(plate, ring=ring):
        return ()
    return (
        f"{plate[0]} is sewn beside {plate[-1]} where the ring closes: the {len(plate)} blades are no whole "
        f"number of times the {len(order)} names of order",
    )
