"""Strips measured anew: on their fabric, clear of each other, and every piece the size of its shape."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise

from cutfiles.core.tolerance import GAP_CHECK_MM
from cutfiles.geometry.outline import Bounds, bounds
from cutfiles.geometry.rectangles import beyond_mm, depth_mm
from cutfiles.job.model.job import FabricSpec
from cutfiles.nest.base.layout import Layout, Lie, Strip
from cutfiles.nest.verify.verify import WrongLayoutError
from cutfiles.pieces.shape import CutList, Shape


def verify_strips(layout: Layout, cut_list: CutList, fabrics: Mapping[str, FabricSpec]) -> None:
    """Do nothing if every strip can be cut, and holds what is said.

    Args:
        layout: its strips.
        cut_list: the shapes as they are to be.
        fabrics: by name, with the length or the number of pieces that was found where that is open.

    Raises:
        WrongLayoutError: a strip breaks a law; the message names it.
    """
    faults = tuple(strip_faults(layout.strips, cut_list, fabrics))
    if faults:
        raise WrongLayoutError(faults)


def strip_faults(
    strips: Sequence[Strip], cut_list: CutList, fabrics: Mapping[str, FabricSpec]
) -> Iterator[str]:
    """Yield every law that strips break, in words."""
    by_piece: dict[tuple[str, int], list[tuple[Strip, Bounds]]] = {}
    for strip in strips:
        name, fabric = f"a strip of {strip.shape} on {strip.fabric} {strip.piece}", fabrics[strip.fabric]
        width, length = strip.sides_mm
        taken = (strip.x_mm, strip.y_mm, strip.x_mm + width, strip.y_mm + length)
        margin = fabric.margin_mm
        room = (margin, margin, fabric.width_mm - margin, fabric.length_mm - margin)
        if not 1 <= strip.piece <= fabric.pieces or beyond_mm(taken, room) > GAP_CHECK_MM:
            yield f"{name} leaves its fabric"
        yield from _piece_faults(name, strip, cut_list.shape(strip.shape))
        by_piece.setdefault((strip.fabric, strip.piece), []).append((strip, taken))
    for placed in by_piece.values():
        for (strip, taken), (_, other) in combinations(placed, 2):
            if depth_mm(taken, other) > GAP_CHECK_MM:
                yield f"a strip of {strip.shape} on {strip.fabric} {strip.piece} overlaps another"


def _piece_faults(name: str, strip: Strip, shape: Shape) -> Iterator[str]:
    """Pieces between neighbouring cuts against the bounds of the shape itself."""
    left, low, right, high = bounds(shape.cut)
    # What is cut round by a template comes from a rectangle that may be larger.
    more = strip.height_mm - (high - low)
    if more < -GAP_CHECK_MM or (strip.lie is not Lie.SIDE_BY_SIDE and more > GAP_CHECK_MM):
        yield f"{name} is not as high as its pieces"
    cuts = list(zip(strip.top_mm, strip.bottom_mm, strict=True))
    pairs = list(pairwise(cuts))
    if strip.lie is Lie.ONE_WAY:
        pairs = pairs[::2]  # between them lies waste
    if len(pairs) != strip.count:
        yield f"{name} is marked for {len(pairs)} pieces, not {strip.count}"
    wide = [max(second[0] - first[0], second[1] - first[1]) for first, second in pairs]
    # A round tip's arc begins below the strip's edge, where the blade is narrower.
    if min(wide) < right - left - GAP_CHECK_MM or max(wide) > min(wide) + GAP_CHECK_MM:
        yield f"{name} has pieces of other widths than their shape"
