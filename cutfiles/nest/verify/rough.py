"""Whether what lies on the mat can come from the fabric there is: whole pieces, rough cuts, hand cuts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations

from cutfiles.core.tolerance import GAP_CHECK_MM
from cutfiles.geometry.outline import Bounds, Point, bounds
from cutfiles.geometry.pose import Pose, placed
from cutfiles.geometry.rectangles import beyond_mm, depth_mm
from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.base.layout import Layout, PlacedFabric, RoughCut
from cutfiles.nest.cutting_rules.turns import allowed_turns, tried
from cutfiles.pieces.shape import CutList


def rough_faults(layout: Layout, cut_list: CutList) -> Iterator[str]:
    """Yield where a piece of fabric is used twice, isn't there, or isn't what the job says."""
    cut_up = {(cut.fabric, cut.piece) for cut in layout.rough_cuts}
    laid_out = [(load.name, laid) for load in layout.loads for laid in load.fabrics]
    for demand in cut_list.demands:
        fabric = demand.fabric
        own = [(name, laid) for name, laid in laid_out if laid.fabric == fabric.name]
        cuts = [cut for cut in layout.rough_cuts if cut.fabric == fabric.name]
        for number in sorted({laid.piece for _, laid in own} | {cut.piece for cut in cuts}):
            if not 1 <= number <= fabric.pieces:
                yield f"{fabric.name} has no piece {number}"
        whole = Counter(laid.piece for _, laid in own if (fabric.name, laid.piece) not in cut_up)
        yield from (
            f"{fabric.name} {piece} is laid {count} times" for piece, count in whole.items() if count > 1
        )
        for _, laid in own:
            if laid.margin_mm != fabric.margin_mm:
                yield f"{fabric.name} {laid.piece} has a margin of {laid.margin_mm:g} mm"
            if (fabric.name, laid.piece) not in cut_up:
                yield from _as_in_the_job(laid, fabric)
        yield from _within(fabric, cuts)
        if fabric.as_needed:
            yield from _on_bought(layout, fabric, cuts)
        yield from _gone_to(fabric.name, own, cuts)
        yield from _by_hand(layout, cut_list, fabric, cuts)


def _as_in_the_job(laid: PlacedFabric, fabric: FabricSpec) -> Iterator[str]:
    name = f"{fabric.name} {laid.piece}"
    if (laid.width_mm, laid.length_mm) != (fabric.width_mm, fabric.length_mm):
        yield f"{name} is not its own size"
    if not _same_points(laid.outline, _on_mat(laid, fabric.outline)):
        yield f"the outline of {name} is not its own"


def _on_mat(laid: PlacedFabric, points: Sequence[Point]) -> list[Point]:
    """Where points of a whole piece of fabric lie: turned, its upper left corner is at its lower left."""
    shift = laid.length_mm if laid.turn_deg else 0.0
    pose = Pose(laid.x_mm + shift, laid.y_mm, laid.turn_deg)
    return [pose.point(point) for point in points]


def _same_points(first: Sequence[Point], second: Sequence[Point]) -> bool:
    return len(first) == len(second) and all(
        abs(a[axis] - b[axis]) <= GAP_CHECK_MM for a, b in zip(first, second, strict=True) for axis in (0, 1)
    )


def _within(fabric: FabricSpec, cuts: Sequence[RoughCut]) -> Iterator[str]:
    """Rough cuts lie on their piece and apart."""
    for cut in cuts:
        over = beyond_mm(_box(cut), (0.0, 0.0, fabric.width_mm, fabric.length_mm))
        if over > GAP_CHECK_MM:
            yield f"the rough cut of {fabric.name} {cut.piece} for {cut.goes_to} leaves it by {over:.4g} mm"
    for first, second in combinations(cuts, 2):
        if first.piece == second.piece and depth_mm(_box(first), _box(second)) > GAP_CHECK_MM:
            yield f"two rough cuts of {fabric.name} {first.piece} overlap: {first.goes_to}, {second.goes_to}"


def _box(cut: RoughCut) -> Bounds:
    return (cut.x_mm, cut.y_mm, cut.x_mm + cut.width_mm, cut.y_mm + cut.length_mm)


def _on_bought(layout: Layout, fabric: FabricSpec, cuts: Sequence[RoughCut]) -> Iterator[str]:
    """What is to be bought is long enough; shapes cut by hand keep the margin, as rough cuts hold theirs."""
    bought = next((tally.bought for tally in layout.tallies if tally.fabric == fabric.name), None)
    by_hand = {hand.shape for hand in layout.hand_cuts}
    for cut in cuts:
        top = cut.y_mm + cut.length_mm + (fabric.margin_mm if cut.goes_to in by_hand else 0.0)
        if bought is None or top > min(bought.length_mm, bought.buy_mm) + GAP_CHECK_MM:
            yield f"the rough cut of {fabric.name} for {cut.goes_to} ends beyond what is to be bought"


def _gone_to(name: str, own: Sequence[tuple[str, PlacedFabric]], cuts: Sequence[RoughCut]) -> Iterator[str]:
    """Each rectangle that is cut roughly for a load lies on it, and nothing else of such a piece."""
    cut_up = {cut.piece for cut in cuts}
    laid = Counter(
        (load, placed_fabric.piece, placed_fabric.width_mm, placed_fabric.length_mm)
        for load, placed_fabric in own
        if placed_fabric.piece in cut_up
    )
    loads = {load for load, _ in own}
    cut = Counter(
        (rough_cut.goes_to, rough_cut.piece, rough_cut.width_mm, rough_cut.length_mm)
        for rough_cut in cuts
        if rough_cut.goes_to in loads
    )
    for load, piece, _, _ in sorted((laid - cut) + (cut - laid)):
        yield f"what is cut roughly of {name} {piece} is not what lies on {load}"


def _by_hand(
    layout: Layout, cut_list: CutList, fabric: FabricSpec, cuts: Sequence[RoughCut]
) -> Iterator[str]:
    """As many rectangles as shapes, each large enough and clear of the margin."""
    wanted = Counter(
        {hand_cut.shape: hand_cut.count for hand_cut in layout.hand_cuts if hand_cut.fabric == fabric.name}
    )
    loads = {load.name for load in layout.loads}
    own = [cut for cut in cuts if cut.goes_to in wanted]
    for cut in cuts:
        if cut.goes_to not in wanted and cut.goes_to not in loads:
            yield f"the rough cut of {fabric.name} {cut.piece} for {cut.goes_to} goes nowhere"
    if Counter(cut.goes_to for cut in own) != wanted:
        yield f"the rough cuts of {fabric.name} are not for what is cut by hand from it"
    margin = fabric.margin_mm
    for cut in own:
        inside = -beyond_mm(_box(cut), (0.0, 0.0, fabric.width_mm, fabric.length_mm))
        if inside < margin - GAP_CHECK_MM:
            yield f"{cut.goes_to}, cut by hand from {fabric.name} {cut.piece}, lies in its margin"
        sizes = [
            bounds(placed(cut_list.shape(cut.goes_to).cut, Pose(turn_deg=turn)))
            for turn in tried(allowed_turns(fabric.print_, fabric.grain, cut.face))
        ]
        if not any(
            right - left <= cut.width_mm + GAP_CHECK_MM and top - low <= cut.length_mm + GAP_CHECK_MM
            for left, low, right, top in sizes
        ):
            yield f"{cut.goes_to} is larger than what is cut for it by hand from {fabric.name} {cut.piece}"
