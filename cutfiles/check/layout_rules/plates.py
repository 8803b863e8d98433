"""Whether every place of every plate has its blade, of the fabric that stands there, and says so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from cutfiles.check.layout.layout import KnownFabric, KnownLayout, KnownPiece
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault

At = tuple[int, int, int]  # plate and place, from 1, and band, from 0; of whole blades the only one

_BLADES = ("blade", "second-blade")


def plate_faults(layout: KnownLayout) -> Iterator[Fault]:
    """Yield what contradicts the layout's plates; blades cut by hand fill what the loads leave open."""
    seen: dict[At, KnownPiece] = {}
    for fabric, piece in _placed(layout):
        at = (piece.plate, piece.place, _band(layout, piece))
        there = _fabric_at(layout, at)
        if there is None:
            yield _fault(piece, f"is for {_words(at)}, which layout.json doesn't have")
        elif at in seen:
            yield _fault(piece, f"is for {_words(at)}, and so is {seen[at].piece_id}")
        elif there != fabric.fabric:
            yield _fault(piece, f"is of {fabric.fabric}, but {_words(at)} is of {there}")
        elif _tally(at) not in piece.label:
            yield _fault(piece, f"is for {_words(at)}, but its label is {piece.label!r}")
        seen.setdefault(at, piece)
    empty = Counter(
        there
        for plate, orders in enumerate(_orders(layout), start=1)
        for band, order in enumerate(orders)
        for place, there in enumerate(order, start=1)
        if (plate, place, band) not in seen
    )
    for name, count in sorted(empty.items()):
        by_hand = sum(layout.by_hand.get((name, shape), 0) for shape in (*_BLADES, *_bands(layout)))
        if count > by_hand:
            yield Fault(
                Code.WRONG_PLATE,
                name,
                f"{count} places of plates are of no blade on the loads, and {by_hand} are cut by hand",
            )


def _placed(layout: KnownLayout) -> Iterator[tuple[KnownFabric, KnownPiece]]:
    for load in layout.loads:
        for fabric in load.fabrics:
            for piece in fabric.pieces:
                if piece.plate or piece.place:
                    yield fabric, piece


def _orders(layout: KnownLayout) -> Iterator[tuple[tuple[str, ...], ...]]:
    """Of each plate the fabrics of its blades, or of each band of them, innermost first."""
    for number, order in enumerate(layout.plates):
        bands = layout.bands[number] if number < len(layout.bands) else ()
        yield bands or (order,)


def _bands(layout: KnownLayout) -> tuple[str, ...]:
    return tuple(f"band-{number + 1}" for number in range(max(map(len, _orders(layout)), default=0)))


def _band(layout: KnownLayout, piece: KnownPiece) -> int:
    return _bands(layout).index(piece.shape) if any(layout.bands) and piece.shape in _bands(layout) else 0


def _fabric_at(layout: KnownLayout, at: At) -> str | None:
    plate, place, band = at
    orders = tuple(_orders(layout))
    if not 1 <= plate <= len(orders) or not 1 <= place <= len(orders[plate - 1][band]):
        return None
    return orders[plate - 1][band][place - 1]


def _tally(at: At) -> str:
    return f"{at[0]}·{at[1]:02d}"


def _words(at: At) -> str:
    return f"place {at[1]} of plate {at[0]}"


def _fault(piece: KnownPiece, says: str) -> Fault:
    return Fault(Code.WRONG_PLATE, piece.piece_id, says)
