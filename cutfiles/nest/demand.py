"""Who gives how many: fixed numbers, then "fill", then "rest" shared out."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.core.errors import UnmetError
from cutfiles.core.outline import area
from cutfiles.job.model import FabricSpec, Share
from cutfiles.nest.cutting import ALL, Cutter, FabricCut
from cutfiles.nest.share import even_shares, in_whole_pieces
from cutfiles.nest.shortage import Shortage
from cutfiles.pieces.shape import CutList

Asked = dict[str, dict[str, int]]  # fabric, then shape, then how many


@dataclass(frozen=True, slots=True)
class Settled:
    """A fabric, cut."""

    fabric: FabricSpec
    cut: FabricCut


def settle(cut_list: CutList, cutter: Cutter, shortage: Shortage) -> tuple[Settled, ...]:
    """Return what each fabric gives.

    Raises:
        UnmetError: a fabric can't give its number, or all together can't give what the plates need.
    """
    fabrics = [demand.fabric for demand in cut_list.demands]
    asked = {
        demand.fabric.name: {
            shape: ALL if count is Share.FILL else count
            for shape, count in demand.counts
            if count is Share.FILL or not isinstance(count, Share)
        }
        for demand in cut_list.demands
    }
    for fabric in fabrics:
        _check_numbers(fabric, asked[fabric.name], cutter, shortage)
    given = [cutter.cut(fabric, asked[fabric.name]).given for fabric in fabrics]
    largest_first = sorted(cut_list.needs, key=lambda need: -area(cut_list.shape(need[0]).cut))
    for shape, need in largest_first:
        offers = [demand.fabric for demand in cut_list.demands if (shape, Share.REST) in demand.counts]
        rest = need - sum(counts[shape] for counts in given)
        if rest <= 0 or not offers:
            continue
        capacities = [cutter.cut(one, {**asked[one.name], shape: ALL}).given[shape] for one in offers]
        if sum(capacities) < rest:
            asks = [asked[fabric.name] for fabric in offers]
            trio = list(zip(offers, capacities, asks, strict=True))
            raise UnmetError(shortage.of_rest(shape, rest, trio))
        for fabric, share in zip(offers, _shared(rest, offers, capacities, asked), strict=True):
            if share:
                asked[fabric.name][shape] = share
    return tuple(Settled(fabric, cutter.cut(fabric, asked[fabric.name])) for fabric in fabrics)


def _check_numbers(fabric: FabricSpec, asked: dict[str, int], cutter: Cutter, shortage: Shortage) -> None:
    fixed = {shape: count for shape, count in asked.items() if count < ALL}
    given = cutter.cut(fabric, fixed).given
    for shape, count in fixed.items():
        if given[shape] < count:
            raise UnmetError(shortage.of_number(fabric, fixed, shape))


def _shared(rest: int, offers: list[FabricSpec], capacities: list[int], asked: Asked) -> tuple[int, ...]:
    shares = even_shares(rest, capacities)
    # A piece's yield is only known where the fabric gives nothing else.
    yields = [
        1 if asked[fabric.name] else max(1, capacity // fabric.pieces)
        for fabric, capacity in zip(offers, capacities, strict=True)
    ]
    return in_whole_pieces(shares, capacities, yields)
