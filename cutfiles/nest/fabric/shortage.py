"""What to say when a job can't be met: what is short, and what would do, tried before it is said."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutfiles.core.units import Unit, shown
from cutfiles.job.model.job import FabricSpec
from cutfiles.job.schema.field import LONGEST_MM
from cutfiles.nest.fabric.cutting import ALL, Cutter

_NOUNS = ("blade", "centre", "background")


@dataclass(frozen=True, slots=True)
class Shortage:
    """Writes the messages; `unit` is the job's."""

    cutter: Cutter
    unit: Unit

    def of_number(self, fabric: FabricSpec, asked: Mapping[str, int], shape: str) -> str:
        """Return the message where a fabric can't give its number of a shape."""
        given = self.cutter.cut(fabric, asked).given[shape]
        return (
            f"{fabric.name}: {_of(asked[shape], shape)} asked, {given} fit on "
            f"{_counted(fabric.pieces, 'piece')}; "
            f"{self._not_by_hand([fabric], shape) or self._remedy(fabric, asked, shape)}"
        )

    def of_width(self, fabric: FabricSpec, shape: str) -> str:
        """Return the message where a fabric of any length has no room for a shape."""
        across = f"{shown(fabric.width_mm, self.unit)}{' less its margins' if fabric.margin_mm > 0 else ''}"
        return f"{fabric.name}: no {shape} fits across its {across}; wider fabric would do"

    def of_roll(self, fabric: FabricSpec, shape: str, count: int, given: int) -> str:
        """Return the message where even the longest fabric is too short."""
        return (
            f"{fabric.name}: {_of(count, shape)} asked, {given} fit on {LONGEST_MM / 1000:g} m, the longest "
            "that a fabric may be; ask another fabric for some, or write another job"
        )

    def of_rest(
        self, shape: str, rest: int, offers: Sequence[tuple[FabricSpec, int, Mapping[str, int]]]
    ) -> str:
        """Return the message where all fabrics together can't give the rest.

        Args:
            shape: what is short.
            rest: how many were still to be cut.
            offers: each fabric, how many it can give, and what it was asked besides.
        """
        total = sum(count for _, count, _ in offers)
        gives = ", ".join(f"{fabric.name} {count}" for fabric, count, _ in offers)
        message = f"{_of(rest, shape)} still to be cut, {total} fit ({gives}): {rest - total} short"
        fabric, count, besides = max(offers, key=lambda offer: offer[1] / offer[0].pieces)
        uneven = self._not_by_hand([offer for offer, _, _ in offers], shape)
        if uneven:
            return f"{message}; {uneven}"
        if not count:
            sizes = ", ".join(f"{offer.name} {self._size(offer)}" for offer, _, _ in offers)
            bare = [replace(offer, margin_mm=0.0) for offer, _, _ in offers if offer.margin_mm > 0]
            roomy = any(self.cutter.cut(offer, {shape: 1}).given[shape] for offer in bare)
            ways = "larger pieces, or no margin, would do" if roomy else "larger pieces would do"
            return f"{message}; no piece has room for one ({sizes}); {ways}"
        wish = {**besides, shape: count + rest - total}
        return f"{message}; of {fabric.name}, {self._remedy(fabric, wish, shape)}"

    def _not_by_hand(self, fabrics: Sequence[FabricSpec], shape: str) -> str:
        """Why some fabrics give none of a shape that is too large for the mat; nothing if that isn't so."""
        uneven = [one for one in fabrics if not one.is_rectangle and self.cutter.by_hand(one, shape)]
        if not uneven:
            return ""
        names = " and ".join(one.name for one in uneven)
        keys = sorted(
            {key for one in uneven for key in ("outline", "avoid") if getattr(one, key)}, reverse=True
        )
        return (
            f"{shape} is too large for the mat, and cuts by hand are ruled on plain rectangles only, not on "
            f"{names} with {' or '.join(keys)}; use a larger mat, or give it a fabric without"
        )

    def _remedy(self, fabric: FabricSpec, asked: Mapping[str, int], shape: str) -> str:
        ways = []
        one = self.cutter.cut(replace(fabric, pieces=1), {shape: ALL}).given[shape]
        if one:
            short = asked[shape] - self.cutter.cut(fabric, asked).given[shape]
            more = max(1, math.ceil(short / one))
            # A mixture may need a piece or two more than its blades alone would.
            for extra in range(more, more + 5):
                if self._does(replace(fabric, pieces=fabric.pieces + extra), asked):
                    ways.append(_counted(extra, "more piece"))
                    break
        if fabric.margin_mm > 0 and self._does(replace(fabric, margin_mm=0.0), asked):
            ways.append("no margin")
        if not ways:
            return "larger pieces would do, or another fabric for some"
        return f"{', or '.join(ways)}, would do" if len(ways) > 1 else f"{ways[0]} would do"

    def _does(self, fabric: FabricSpec, asked: Mapping[str, int]) -> bool:
        given = self.cutter.cut(fabric, asked).given
        return all(count >= ALL or given[shape] >= count for shape, count in asked.items())

    def _size(self, fabric: FabricSpec) -> str:
        if fabric.as_needed:
            return f"{shown(fabric.width_mm, self.unit)} wide"
        return f"{shown(fabric.width_mm, self.unit)} × {shown(fabric.length_mm, self.unit)}"


def _of(count: int, shape: str) -> str:
    """A count of a plate's shapes as people say it; a user's own name is left as it is."""
    return _counted(count, shape) if shape in _NOUNS else f"{count} of {shape}"


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"
