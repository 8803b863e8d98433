"""What to say when a job can't be met: what is short, and what would do, tried before it is said."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutfiles.core.units import Unit, rounded_up_mm, shown
from cutfiles.core.words import counted
from cutfiles.job.model.job import FabricSpec, Grain
from cutfiles.job.model.needs import count_of
from cutfiles.job.schema.field import LONGEST_MM
from cutfiles.nest.cutting_rules.cloth import cloth_of
from cutfiles.nest.fabric.fabric_cutter import ALL, FabricCutter


@dataclass(frozen=True, slots=True)
class Offer:
    """A fabric that is to give of the rest of a shape, how many it can, and what else it is asked for.

    `short` is what it was already found to lack of other shapes: how many of them it would have to give.
    """

    fabric: FabricSpec
    count: int
    besides: Mapping[str, int]
    short: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Shortage:
    """Writes the messages; `unit` is the job's.

    What would do is tried before it is said, which takes longer than all else: without `remedies` it is
    only said that the job can't be met.
    """

    cutter: FabricCutter
    unit: Unit
    remedies: bool = True

    @property
    def _fit(self) -> str:
        """What to say of a count: it is the most only where the search came to its end."""
        return "were found to fit so far" if self.cutter.is_cut_short else "fit"

    def of_number(self, fabric: FabricSpec, asked: Mapping[str, int], shape: str) -> str:
        """Return the message where a fabric can't give its number of a shape."""
        given = self.cutter.cut(fabric, asked).given[shape]
        return (
            f"{fabric.name}: {count_of(asked[shape], shape)} asked, {given} {self._fit} on "
            f"{counted(fabric.pieces, 'piece')}; "
            f"{self._not_by_hand([fabric], shape) or self._remedy(fabric, asked, shape)}"
        )

    def of_room(self, fabric: FabricSpec, shape: str) -> str:
        """Return the message where a fabric of any length, or a piece of any number, can't take a shape."""
        return self._of_size(fabric, shape) if fabric.pieces_as_needed else self._of_width(fabric, shape)

    def _of_size(self, fabric: FabricSpec, shape: str) -> str:
        where = f"{fabric.name}: no {shape} fits on a piece of {self._size(fabric)}{_less_margins(fabric)}"
        uneven = self._not_by_hand([fabric], shape)
        if uneven:
            return f"{where}; {uneven}"
        ways = self._other_turns(fabric, shape)
        larger = (
            replace(fabric, width_mm=width, length_mm=length) for width, length in self._sizes(fabric, shape)
        )
        size = next(
            (self._size_to_buy(candidate) for candidate in larger if self.cutter.takes(candidate, shape)), ""
        )
        if size:
            ways.append(f"pieces of {size}")
        return f"{where}; {', or '.join(ways)} would do" if ways else f"{where}; no larger one would do"

    def _other_turns(self, fabric: FabricSpec, shape: str) -> list[str]:
        turned = (candidate for candidate in _turned(fabric) if self.cutter.takes(candidate, shape))
        return [f'grain = "{candidate.grain.value}"' for candidate in turned][:1]

    def _of_width(self, fabric: FabricSpec, shape: str) -> str:
        across = f"{self._width(fabric)}{fabric.purchase.after_size}{_less_margins(fabric)}"
        ways = self._other_turns(fabric, shape)
        widths = sorted(max(fabric.width_mm, width) for width, _ in self._sizes(fabric, shape))
        wide_enough = (width for width in widths if self.cutter.takes(replace(fabric, width_mm=width), shape))
        width = next(wide_enough, None)
        if width is not None:
            to_buy = fabric.purchase.width_to_buy_mm(width, self.unit.rough_mark_mm)
            ways.append(f"fabric {shown(to_buy, self.unit)} wide{fabric.purchase.after_size}")
        does = f"{', or '.join(ways)} would do" if ways else "no wider fabric would do for this mat"
        return f"{fabric.name}: no {shape} fits across its {across}; {does}"

    def of_most(self, fabric: FabricSpec, shape: str, count: int, given: int) -> str:
        """Return the message where even the longest fabric is too short, or the most pieces too few."""
        most = f"{LONGEST_MM / 1000:g} m, the longest that a fabric may be"
        if fabric.pieces_as_needed:
            most = f"{fabric.pieces} pieces, the most that there may be"
        return (
            f"{fabric.name}: {count_of(count, shape)} asked, {given} {self._fit} on {most}; "
            "ask another fabric for some, or write another job"
        )

    def of_rest(self, shape: str, missing: int, offers: Sequence[Offer]) -> str:
        """Return the message where all fabrics together can't give the rest.

        Args:
            shape: what is short.
            missing: how many are short.
            offers: what each fabric can give.
        """
        total = sum(offer.count for offer in offers)
        gives = ", ".join(f"{offer.fabric.name} {offer.count}" for offer in offers)
        message = (
            f"{count_of(total + missing, shape)} still to be cut, {total} {self._fit} ({gives}): "
            f"{missing} short"
        )
        uneven = self._not_by_hand([offer.fabric for offer in offers], shape)
        if uneven:
            return f"{message}; {uneven}"
        giver = richest(offers)
        if any(offer.fabric.faces and self.cutter.takes(offer.fabric, shape) for offer in offers):
            message = f"{message}; a piece of cloth lies one side up, so each side takes pieces of its own"
        elif not giver.count and not self.cutter.is_cut_short:
            sizes = ", ".join(f"{offer.fabric.name} {self._size(offer.fabric)}" for offer in offers)
            message = f"{message}; no piece has room for one ({sizes})"
        asked = {**giver.besides, shape: giver.count + missing + giver.fabric.purchase.spare}
        remedy = self._of_all_short(giver, asked) or self._remedy(giver.fabric, asked, shape)
        return f"{message}; of {giver.fabric.name}, {remedy}"

    def _of_all_short(self, giver: Offer, asked: Mapping[str, int]) -> str:
        """How many more pieces give what is short of other shapes, too; nothing if no number is found to."""
        if not self.remedies or not giver.short:
            return ""
        pieces = self._pieces_that_do(giver.fabric, {**asked, **giver.short})
        if pieces is None or pieces == giver.fabric.pieces:
            return ""
        more = counted(pieces - giver.fabric.pieces, "more piece")
        return f"{more} would do, also for what is short above"

    def _not_by_hand(self, fabrics: Sequence[FabricSpec], shape: str) -> str:
        """Why some fabrics give none of a shape that is too large for the mat; nothing if that isn't so."""
        uneven = [
            fabric for fabric in fabrics if not fabric.is_rectangle and self.cutter.by_hand(fabric, shape)
        ]
        if not uneven:
            return ""
        names = " and ".join(fabric.name for fabric in uneven)
        keys = sorted(
            {key for fabric in uneven for key in ("outline", "avoid") if getattr(fabric, key)}, reverse=True
        )
        return (
            f"{shape} is too large for the mat, and cuts by hand are ruled on plain rectangles only, not on "
            f"{names} with {' or '.join(keys)}; use a larger mat, or give it a fabric without"
        )

    def _remedy(self, fabric: FabricSpec, asked: Mapping[str, int], shape: str) -> str:
        """What would do; each way was tried, with as many pieces as it says."""
        if not self.remedies:
            return ""
        ways = []
        pieces = self._pieces_that_do(fabric, asked)
        if pieces == fabric.pieces:  # a search cut short may find it when it is asked again
            return "a longer search would do"
        if pieces is not None:
            ways.append(counted(pieces - fabric.pieces, "more piece"))
        if fabric.margin_mm > 0 and self._does(replace(fabric, margin_mm=0.0), asked):
            ways.append("no margin")
        if pieces is None:
            ways += [way for way in (self._other_grain(fabric, asked, shape),) if way]
            ways += [way for way in (self._larger(fabric, asked, shape),) if way]
        if not ways and self.cutter.is_cut_short:
            return "more time may show what would do"
        if not ways:
            return "no number of pieces would do; give some to another fabric"
        return f"{', or '.join(ways)}, would do" if len(ways) > 1 else f"{ways[0]} would do"

    def _pieces_that_do(self, fabric: FabricSpec, asked: Mapping[str, int]) -> int | None:
        """How many pieces give what is asked, no fewer than there are; None if no number is found to."""
        if fabric.is_open:
            return None
        given = self.cutter.cut(fabric, asked).given
        least = fabric.pieces
        for shape, count in asked.items():
            if count < ALL and given[shape] < count:
                on_one = self._on_one(fabric, shape)
                if not on_one:
                    return None
                least = max(least, fabric.pieces + math.ceil((count - given[shape]) / on_one))
        # A mixture may need a piece or two more than its blades alone would.
        tried = (count for count in range(least, least + 5))
        return next((count for count in tried if self._does(replace(fabric, pieces=count), asked)), None)

    def _on_one(self, fabric: FabricSpec, shape: str) -> int:
        return self.cutter.cut(replace(fabric, pieces=1), {shape: ALL}).given[shape]

    def _other_grain(self, fabric: FabricSpec, asked: Mapping[str, int], shape: str) -> str:
        """The grain that would do, with how many more pieces; or nothing."""
        for turned in _turned(fabric):
            pieces = self._pieces_that_do(turned, asked)
            if pieces is not None:
                each = f"{self._on_one(turned, shape)} to a piece"
                more = (
                    f" and {counted(pieces - fabric.pieces, 'more piece')}" if pieces > fabric.pieces else ""
                )
                return f'grain = "{turned.grain.value}" ({each}){more}'
        return ""

    def _larger(self, fabric: FabricSpec, asked: Mapping[str, int], shape: str) -> str:
        """The least pieces that hold one of a shape, and how many of them give what is asked; or nothing."""
        if not fabric.is_rectangle:
            return ""
        for width, length in self._sizes(fabric, shape):
            large = replace(
                fabric,
                width_mm=max(fabric.width_mm, width),
                length_mm=max(fabric.length_mm, length),
            )
            pieces = self._pieces_that_do(large, asked)
            if pieces is not None:
                number = "pieces" if pieces == fabric.pieces > 1 else counted(pieces, "piece")
                return f"{number} of {self._size_to_buy(large)}"
        return ""

    def _sizes(self, fabric: FabricSpec, shape: str) -> list[tuple[float, float]]:
        """Pieces that may hold a shape at one of its turns, to the next mark; little cloth first.

        Where a print repeats, a piece that is larger by a repeat surely has the motif in reach.
        """
        mark_mm, margins = self.unit.rough_mark_mm, 2 * fabric.margin_mm
        repeat = fabric.repeat
        beside = (0.0, repeat.width_mm) if repeat else (0.0,)
        ahead = (0.0, repeat.length_mm) if repeat else (0.0,)
        sizes = {
            (
                rounded_up_mm(max(fabric.width_mm, width + margins + across), mark_mm),
                rounded_up_mm(max(fabric.length_mm, length + margins + along), mark_mm),
            )
            for width, length in self.cutter.sizes(fabric, shape)
            for across in beside
            for along in ahead
        }
        return sorted(sizes, key=lambda size: (round(size[0] * size[1], 6), size))

    def _does(self, fabric: FabricSpec, asked: Mapping[str, int]) -> bool:
        given = self.cutter.cut(fabric, asked).given
        return all(count >= ALL or given[shape] >= count for shape, count in asked.items())

    def _size(self, fabric: FabricSpec) -> str:
        """What the job says of a piece: its size as it is bought."""
        if fabric.as_needed:
            return f"{self._width(fabric)} wide{fabric.purchase.after_size}"
        length = shown(fabric.purchase.length_mm(fabric.length_mm), self.unit)
        return f"{self._width(fabric)} × {length}{fabric.purchase.after_size}"

    def _width(self, fabric: FabricSpec) -> str:
        return shown(fabric.purchase.width_mm(fabric.width_mm), self.unit)

    def _size_to_buy(self, fabric: FabricSpec) -> str:
        """A size that would do, to a mark of the rule before it is washed, too."""
        purchase, mark_mm = fabric.purchase, self.unit.rough_mark_mm
        width_mm = purchase.width_to_buy_mm(fabric.width_mm, mark_mm)
        length_mm = purchase.length_to_buy_mm(fabric.length_mm, mark_mm)
        return f"{shown(width_mm, self.unit)} × {shown(length_mm, self.unit)}{purchase.after_size}"


def richest(offers: Sequence[Offer]) -> Offer:
    """Return the offer of the fabric that gives most to a piece: more of that is proposed."""
    return max(offers, key=lambda offer: offer.count / offer.fabric.pieces)


def _less_margins(fabric: FabricSpec) -> str:
    return " less its margins" if fabric.margin_mm > 0 else ""


def _turned(fabric: FabricSpec) -> list[FabricSpec]:
    """The fabric with every other grain, as far as that lets pieces lie otherwise."""
    others = [replace(fabric, grain=grain) for grain in Grain]
    return [other for other in others if cloth_of(other).turns != cloth_of(fabric).turns]
