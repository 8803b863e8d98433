"""A shopping list as values: what to ask for in the shop, fabric by fabric, and in all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cutfiles.core.units import SoldBy, Unit, shown, sides_shown
from cutfiles.core.words import counted
from cutfiles.job.model.job import FabricSpec, Job, Share
from cutfiles.nest.base.layout import FabricTally
from cutfiles.plate.sizes import Json

_HURRIED = "found in a hurry: a search left to its end may need less"


@dataclass(frozen=True, slots=True)
class Pieces:
    """A fabric bought by the piece; sizes are as it is bought."""

    fabric: str
    pieces: int
    width_mm: float
    length_mm: float
    gives: tuple[tuple[str, int], ...]
    pack: int | None = None  # so many are sold together, of this fabric alone
    least: bool = False  # on one piece less it was tried and not found to lie
    hurried: bool = False  # the search was cut short: left to its end it might have needed fewer

    @property
    def packs(self) -> int | None:
        """How many packs they are, None where they are sold otherwise."""
        return None if self.pack is None else -(-self.pieces // self.pack)

    def words(self, unit: Unit) -> str:
        """Return what to ask for: `30 pieces of 5 in × 5 in`, `4 packs of 42 (132 pieces of … needed)`."""
        size = sides_shown(self.width_mm, self.length_mm, unit)
        pieces = f"{counted(self.pieces, 'piece')} of {size}"
        words = pieces
        if self.packs is not None:
            words = f"{counted(self.packs, 'pack')} of {self.pack} ({pieces} needed)"
        elif self.least and self.pieces > 1:
            words = f"{pieces}, one less won't do"
        return f"{words} ({_HURRIED})" if self.hurried else words

    def json(self) -> Json:
        """Return the item as `buy --json` gives it."""
        return {
            "fabric": self.fabric,
            "sold_as": "pieces",
            "pieces": self.pieces,
            "packs": self.packs,
            "width_mm": round(self.width_mm, 6),
            "length_mm": round(self.length_mm, 6),
            "gives": dict(self.gives),
            "least": self.least,
            **({"hurried": True} if self.hurried else {}),
        }


@dataclass(frozen=True, slots=True)
class Length:
    """A fabric bought off the bolt; lengths are as they are bought."""

    fabric: str
    width_mm: float
    needed_mm: float
    buy_mm: float
    sold: SoldBy
    gives: tuple[tuple[str, int], ...]
    hurried: bool = False

    def words(self, unit: Unit) -> str:
        """Return what to ask for: `1 1/2 yd of 42 in wide fabric (52 in needed)`."""
        needed, width = shown(self.needed_mm, unit), shown(self.width_mm, unit)
        hurried = f"; {_HURRIED}" if self.hurried else ""
        return f"{self.sold.words(self.buy_mm)} of {width} wide fabric ({needed} needed{hurried})"

    def json(self) -> Json:
        """Return the item as `buy --json` gives it."""
        return {
            "fabric": self.fabric,
            "sold_as": "length",
            "width_mm": round(self.width_mm, 6),
            "needed_mm": round(self.needed_mm, 6),
            "buy_mm": round(self.buy_mm, 6),
            "buy": self.sold.words(self.buy_mm),
            "gives": dict(self.gives),
            **({"hurried": True} if self.hurried else {}),
        }


@dataclass(frozen=True, slots=True)
class MixedPacks:
    """Fabrics that are sold in one pack."""

    fabrics: tuple[str, ...]
    pack: int
    pieces: int  # of all of them

    @property
    def packs(self) -> int:
        """How many packs hold so many pieces."""
        return -(-self.pieces // self.pack)

    def words(self) -> str:
        """Return what to ask for: `4 packs of 42 (132 pieces needed)`."""
        return f"{counted(self.packs, 'pack')} of {self.pack} ({counted(self.pieces, 'piece')} needed)"

    def json(self) -> Json:
        """Return the packs as `buy --json` gives them."""
        return {
            "fabrics": list(self.fabrics),
            "pack": self.pack,
            "pieces": self.pieces,
            "packs": self.packs,
        }


ShoppingItem = Pieces | Length


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """What must be bought for a job; `shortages` says, a line each, which given fabrics are too little."""

    items: tuple[ShoppingItem, ...]
    mixed_packs: tuple[MixedPacks, ...] = ()
    shortages: tuple[str, ...] = ()

    def total(self) -> str:
        """Return all of it in a line: `30 pieces, 4 packs, 1 1/2 yd`; nothing if there is nothing to buy."""
        packs = self._packs()
        parts = [counted(pieces, "piece")] if (pieces := self._loose_pieces()) else []
        parts += [counted(packs, "pack")] if packs else []
        by_unit: dict[Unit | None, list[Length]] = {}
        for item in self.items:
            if isinstance(item, Length):
                by_unit.setdefault(item.sold.unit, []).append(item)
        for unit, lengths in by_unit.items():
            # Each is whole steps already: their sum must not be rounded up to any of them.
            finest = SoldBy(1e-3, unit)
            parts.append(finest.words(sum(item.buy_mm for item in lengths)))
        return ", ".join(parts)

    def json(self) -> Json:
        """Return the list as `buy --json` gives it, lengths in mm."""
        lengths = [item.buy_mm for item in self.items if isinstance(item, Length)]
        return {
            "items": [item.json() for item in self.items],
            "mixed_packs": [packs.json() for packs in self.mixed_packs],
            "total": {
                "pieces": self._loose_pieces(),
                "packs": self._packs(),
                "length_mm": round(sum(lengths), 6),
            },
            "shortages": list(self.shortages),
        }

    def _loose_pieces(self) -> int:
        """Pieces that are sold one by one."""
        mixed = {fabric for packs in self.mixed_packs for fabric in packs.fabrics}
        return sum(
            item.pieces
            for item in self.items
            if isinstance(item, Pieces) and item.packs is None and item.fabric not in mixed
        )

    def _packs(self) -> int:
        own = sum(item.packs or 0 for item in self.items if isinstance(item, Pieces))
        return own + sum(packs.packs for packs in self.mixed_packs)


NOTHING = ShoppingList(())


def shopping_list(
    job: Job, tallies: Iterable[FabricTally], *, shortages: tuple[str, ...] = ()
) -> ShoppingList:
    """Return what must be bought of those fabrics of a job of which as much as needed is.

    Args:
        job: how its fabrics are sold.
        tallies: what each was found to give.
        shortages: which of the others are too little, a line each.
    """
    by_name = {tally.fabric: tally for tally in tallies}
    fabrics = [fabric for fabric in job.fabrics if fabric.is_open and by_name[fabric.name].counts]
    items = tuple(_item(fabric, by_name[fabric.name], job) for fabric in fabrics)
    return ShoppingList(items, _mixed_packs(fabrics, by_name), shortages)


def _item(fabric: FabricSpec, tally: FabricTally, job: Job) -> ShoppingItem:
    purchase = fabric.purchase
    if tally.bought is not None:
        bought = tally.bought
        return Length(
            fabric.name,
            bought.width_mm,
            bought.as_bought_mm,
            bought.buy_mm,
            bought.sold_by(job.unit),
            tally.counts,
            bought.hurried,
        )
    return Pieces(
        fabric.name,
        tally.pieces_used,
        purchase.width_mm(fabric.width_mm),
        purchase.length_mm(fabric.length_mm),
        tally.counts,
        purchase.pack if len(purchase.together) == 1 else None,
        least=not tally.hurried and _gives_alone(fabric, job),
        hurried=tally.hurried,
    )


def _gives_alone(fabric: FabricSpec, job: Job) -> bool:
    """Whether no other fabric could give what this one gives, so that one piece less of it is too few."""
    rest = {shape for shape, count in fabric.cuts if count is Share.REST}
    others = (other for other in job.fabrics if other.name != fabric.name)
    return not any(
        shape in rest and isinstance(count, Share) for other in others for shape, count in other.cuts
    )


def _mixed_packs(fabrics: Iterable[FabricSpec], by_name: Mapping[str, FabricTally]) -> tuple[MixedPacks, ...]:
    mixed: dict[tuple[str, ...], list[FabricSpec]] = {}
    for fabric in fabrics:
        if len(fabric.purchase.together) > 1:
            mixed.setdefault(fabric.purchase.together, []).append(fabric)
    return tuple(
        MixedPacks(
            tuple(fabric.name for fabric in some),
            some[0].purchase.pack or 1,
            sum(by_name[fabric.name].pieces_used for fabric in some),
        )
        for some in mixed.values()
    )
