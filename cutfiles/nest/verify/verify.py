"""A finished layout measured anew before it leaves the nest: every law, with none of the search's own code.

Distances are exact for lines and arcs, to the rounding of doubles; what is off by less than GAP_CHECK_MM is
right. What is found here is a bug of ours: the error keeps its traceback.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from cutfiles.core.tolerance import GAP_CHECK_MM, SAME_TURN_DEG
from cutfiles.geometry.outline import Bounds, ring
from cutfiles.geometry.pose import off_turn_deg
from cutfiles.geometry.rectangles import beyond_mm, depth_mm
from cutfiles.geometry.solid import Solid, outside_mm
from cutfiles.job.model.job import FabricSpec, Face, MachineSpec, MatSpec, Share
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric
from cutfiles.nest.cutting_rules.reach import MARK_ZONE_MM, reach_of
from cutfiles.nest.cutting_rules.turns import allowed_turns
from cutfiles.nest.verify.pieces import Piece, PlacedPieces, too_near
from cutfiles.nest.verify.print import print_faults
from cutfiles.nest.verify.rough import rough_faults
from cutfiles.pieces.shape import CutList

_MOST_SAID = 5


class WrongLayoutError(Exception):
    """A layout breaks a law: our bug, never the user's."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        more = len(faults) - _MOST_SAID
        says = "; ".join(faults[:_MOST_SAID]) + (f"; and {more} more" if more > 0 else "")
        super().__init__(f"the layout is wrong: {says}")


@dataclass(frozen=True, slots=True)
class Law:
    """What a layout is measured against: the job's own, not what the layout says of it."""

    cut_list: CutList
    mat: MatSpec
    machine: MachineSpec

    def fabric(self, name: str) -> FabricSpec:
        """Return the fabric of that name."""
        return next(demand.fabric for demand in self.cut_list.demands if demand.fabric.name == name)


def verify(layout: Layout, law: Law) -> None:
    """Do nothing if a layout keeps every law.

    Raises:
        WrongLayoutError: it doesn't; the message names the pieces.
    """
    faults = tuple(faults_of(layout, law))
    if faults:
        raise WrongLayoutError(faults)


def faults_of(layout: Layout, law: Law) -> Iterator[str]:
    """Yield every law that a layout breaks, in words."""
    pieces = PlacedPieces(law.cut_list.shapes)
    for load in layout.loads:
        yield from _on_mat(load, law)
        yield from too_near(
            [pieces.piece(placement) for laid in load.fabrics for placement in laid.placements],
            law.machine.gap_mm,
        )
        for laid in load.fabrics:
            fabric = law.fabric(laid.fabric)
            placed = [pieces.piece(placement) for placement in laid.placements]
            yield from _turned(laid, fabric, law)
            yield from _on_fabric(laid, placed)
            yield from _uneven(laid, placed)
    yield from rough_faults(layout, law.cut_list)
    yield from print_faults(layout, law.cut_list)
    yield from _ids(layout)
    yield from _counts(layout, law.cut_list)


def _rect(laid: PlacedFabric) -> Bounds:
    return (laid.x_mm, laid.y_mm, laid.x_mm + laid.across_mm, laid.y_mm + laid.up_mm)


def _on_mat(load: Load, law: Law) -> Iterator[str]:
    """Fabric inside what the machine reaches, off the marks, none on another."""
    mat = law.mat
    reach = (mat.margin_mm, mat.margin_mm, mat.width_mm - mat.margin_mm, mat.height_mm - mat.margin_mm)
    half = MARK_ZONE_MM / 2
    zones = [(x - half, y - half, x + half, y + half) for x, y in reach_of(mat, law.machine.register).marks]
    for laid in load.fabrics:
        name = f"{laid.fabric} {laid.piece} on {load.name}"
        if beyond_mm(_rect(laid), reach) > GAP_CHECK_MM:
            yield f"{name} leaves the mat's reach"
        if any(depth_mm(_rect(laid), zone) > GAP_CHECK_MM for zone in zones):
            yield f"{name} lies on a register mark"
    for first, second in combinations(load.fabrics, 2):
        if depth_mm(_rect(first), _rect(second)) > GAP_CHECK_MM:
            yield f"{first.fabric} {first.piece} and {second.fabric} {second.piece} overlap on {load.name}"


def _turned(laid: PlacedFabric, fabric: FabricSpec, law: Law) -> Iterator[str]:
    """Turns that print, grain and face allow; mirrored where the wrong side is up."""
    turns = allowed_turns(fabric.print_, fabric.grain, laid.face)
    for placement in laid.placements:
        if laid.face is not fabric.face_of(placement.shape):
            yield f"{placement.piece_id} lies on {laid.fabric} {laid.piece} with its {laid.face.value}"
        own = placement.pose.turn_deg - laid.turn_deg
        if turns is not None and off_turn_deg(own, turns) > SAME_TURN_DEG:
            yield f"{placement.piece_id} may not lie turned by {placement.pose.turn_deg:g} degrees"
        symmetric = law.cut_list.shape(placement.shape).symmetric
        if placement.pose.mirrored != (laid.face is Face.WRONG_SIDE_UP and not symmetric):
            yield f"{placement.piece_id} is {'' if placement.pose.mirrored else 'not '}mirrored"


def _on_fabric(laid: PlacedFabric, placed: Sequence[Piece]) -> Iterator[str]:
    left, low, right, high = _rect(laid)
    margin = laid.margin_mm
    room = (left + margin, low + margin, right - margin, high - margin)
    for piece in placed:
        over = beyond_mm(piece.bounds, room)
        if over > GAP_CHECK_MM:
            yield f"{piece.piece_id} leaves {laid.fabric} {laid.piece} less its margin by {over:.4g} mm"


def _uneven(laid: PlacedFabric, placed: Sequence[Piece]) -> Iterator[str]:
    """Inside an edge of its own less the margin, and out of what is to be avoided."""
    if laid.outline:
        cloth = Solid(ring(*laid.outline))
        for piece in placed:
            over = outside_mm(piece.solid, cloth)
            apart = piece.distance_mm(cloth, within_mm=laid.margin_mm) if over <= 0 else -over
            if max(over, laid.margin_mm - apart) > GAP_CHECK_MM:
                yield f"{piece.piece_id} leaves the edge of {laid.fabric} less its margin"
    avoided = [Solid(ring(*points)) for points in laid.avoid]
    for piece in placed:
        if any(piece.enters(zone) for zone in avoided):
            yield f"{piece.piece_id} enters what is to be avoided on {laid.fabric} {laid.piece}"


def _ids(layout: Layout) -> Iterator[str]:
    ids = Counter(
        placement.piece_id for load in layout.loads for laid in load.fabrics for placement in laid.placements
    )
    for name, count in ids.items():
        if count > 1:
            yield f"{name} is there {count} times"


def _counts(layout: Layout, cut_list: CutList) -> Iterator[str]:
    """What lies on the mats and is cut by hand is what was asked, and what the tallies say."""
    given = Counter(
        (laid.fabric, placement.shape)
        for load in layout.loads
        for laid in load.fabrics
        for placement in laid.placements
    )
    given.update({(hand.fabric, hand.shape): hand.count for hand in layout.hand_cuts})
    told = Counter({(tally.fabric, shape): n for tally in layout.tallies for shape, n in tally.counts})
    for fabric, shape in sorted({*given, *told}):
        if given[fabric, shape] != told[fabric, shape]:
            yield f"{fabric} gives {given[fabric, shape]} of {shape}, its tally says {told[fabric, shape]}"
    asked = {
        (demand.fabric.name, shape): count for demand in cut_list.demands for shape, count in demand.counts
    }
    for (fabric, shape), count in given.items():
        if (fabric, shape) not in asked:
            yield f"{fabric} gives {count} of {shape} and was asked for none"
    spares = {demand.fabric.name: demand.fabric.purchase.spare for demand in cut_list.demands}
    numbers = {key: count for key, count in asked.items() if isinstance(count, int)}
    for (fabric, shape), count in numbers.items():
        with_spare = count + spares[fabric]
        if given[fabric, shape] != with_spare:
            yield f"{fabric} gives {given[fabric, shape]} of {shape}, asked for {with_spare}"
    for shape, need in cut_list.needs:
        shares = {count for (_, name), count in asked.items() if name == shape} & set(Share)
        # What is cut to spare is no part of what is needed.
        total = sum(
            count - (0 if asked.get((fabric, name)) is Share.FILL else spares.get(fabric, 0))
            for (fabric, name), count in given.items()
            if name == shape
        )
        fixed = sum(count for (_, name), count in numbers.items() if name == shape)
        if Share.REST in shares and total < need:
            yield f"{total} of {shape} are cut, {need} are needed"
        if shares == {Share.REST} and total > max(need, fixed):
            yield f"{total} of {shape} are cut, {max(need, fixed)} are asked for"
