"""What is wrong within a layout, before any file is looked at."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from cutfiles.check.context.context import Known
from cutfiles.check.layout.layout import (
    LAYOUT_TURN_DEG,
    WRONG_SIDE_UP,
    KnownFabric,
    KnownLayout,
    KnownLoad,
    KnownPiece,
    turn_words,
)
from cutfiles.check.layout_rules.cut_lines import hole_faults, kerf_faults
from cutfiles.check.layout_rules.plates import plate_faults
from cutfiles.check.layout_rules.strips import strip_faults
from cutfiles.check.rules.fabric import beyond_fabric
from cutfiles.check.rules.mat import beyond_reach
from cutfiles.check.rules.outlines import crossing_themselves
from cutfiles.check.shapes.contours import mirror_image, motion_of
from cutfiles.check.shapes.pairs import Spacing, between
from cutfiles.core.tolerance import GAP_CHECK_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Item, Layer
from cutfiles.geometry.outline import Path
from cutfiles.geometry.pose import off_turn_deg
from cutfiles.geometry.rectangles import beyond_mm, depth_mm

# Places and corners of the layout have six decimals, and so have turns: on a piece 300 mm long a turn
# moves the far end by 3e-6 mm.
LAYOUT_MM = 10 * GAP_CHECK_MM
# A bulge has six decimals, too: that is half a millionth of half the chord, for each of two outlines.
_OF_CHORD = 1e-6


def layout_faults(layout: KnownLayout) -> Iterator[Fault]:
    """Yield what contradicts itself in a layout."""
    slack = _slack(layout)
    yield from _same_names(layout)
    yield from kerf_faults(layout)
    yield from hole_faults(layout)
    for load in layout.loads:
        yield from _fabrics(load)
        for fabric in load.fabrics:
            yield from _forbidden_turns(fabric)
        yield from _pieces(layout, load, slack)
    yield from _mixed_mirrors(layout)
    yield from _counts(layout)
    yield from plate_faults(layout)
    yield from strip_faults(layout)


def _same_names(layout: KnownLayout) -> Iterator[Fault]:
    for name, count in Counter(load.name for load in layout.loads).items():
        if count > 1:
            yield Fault(Code.DUPLICATE_ID, name, f"{count} loads have this name")
    for name, count in Counter(piece.piece_id for _, piece in _all(layout)).items():
        if count > 1:
            yield Fault(Code.DUPLICATE_ID, name, f"{count} pieces have this id")


def _all(layout: KnownLayout) -> Iterator[tuple[KnownFabric, KnownPiece]]:
    for load in layout.loads:
        for fabric in load.fabrics:
            for piece in fabric.pieces:
                yield fabric, piece


def _fabrics(load: KnownLoad) -> Iterator[Fault]:
    for fabric in load.fabrics:
        over = beyond_mm(fabric.box, (0.0, 0.0, load.width_mm, load.height_mm))
        if over > LAYOUT_MM:
            yield Fault(Code.FABRIC_OFF_MAT, fabric.key, f"{fabric.fabric} leaves the mat by {over:.4g} mm")
    # Swept from left to right: only rectangles whose spans along x meet are compared.
    active: list[KnownFabric] = []
    for fabric in sorted(load.fabrics, key=lambda fabric: fabric.box):
        active = [earlier for earlier in active if earlier.box[2] > fabric.box[0]]
        for other in active:
            depth = depth_mm(fabric.box, other.box)
            if depth > LAYOUT_MM:
                words = f"{fabric.fabric} lies {depth:.4g} mm over {other.fabric} ({other.key})"
                yield Fault(Code.FABRICS_OVERLAP, fabric.key, words)
        active.append(fabric)


def _forbidden_turns(fabric: KnownFabric) -> Iterator[Fault]:
    for piece in fabric.pieces:
        if fabric.turns_deg is None:
            continue
        if off_turn_deg(piece.pose.turn_deg, fabric.turns_deg) > LAYOUT_TURN_DEG:
            yield Fault(Code.FORBIDDEN_TURN, piece.piece_id, turn_words(piece.pose.turn_deg, fabric))


def _slack(layout: KnownLayout) -> float:
    """How far outlines may be off by the rounding of the layout's numbers, mm."""
    longest = 0.0
    for shape in layout.shapes.values():
        if isinstance(shape, Path):
            bulged = [math.dist((start.x, start.y), end) for start, end in shape.edges() if start.bulge]
            longest = max(longest, *bulged, 0.0)
    return LAYOUT_MM + _OF_CHORD * longest


def _pieces(layout: KnownLayout, load: KnownLoad, slack: float) -> Iterator[Fault]:
    """The outlines where the layout puts them, measured like a file's."""
    placed = [
        (Item(Layer.CUT, "cut", piece.cut, piece.piece_id, piece.piece_id), fabric)
        for fabric in load.fabrics
        for piece in fabric.pieces
        if piece.cut is not None
    ]
    items = [item for item, _ in placed]
    yield from crossing_themselves(items)
    yield from between(items, Spacing(layout.gap_mm, slack)).faults
    reach = Known(layout, load).reach
    for item, fabric in placed:
        outside = [fault for _, fault in beyond_reach([item], reach, slack_mm=slack)]
        yield from outside or beyond_fabric(item, fabric, slack_mm=slack)


def _mixed_mirrors(layout: KnownLayout) -> Iterator[Fault]:
    """Lopsided pieces are mirrored where their fabric lies wrong side up.

    In a layout that doesn't say how a fabric lies, all of them are mirrored or none.
    """
    # Of a shape that can be turned onto its mirror image nobody sees which of the two was cut.
    lopsided = {name for name, cut in layout.shapes.items() if motion_of(cut, mirror_image(cut)) is None}
    ways: dict[str, Counter[bool]] = {}
    for fabric, piece in _all(layout):
        if piece.shape in lopsided and not fabric.face:
            ways.setdefault(fabric.fabric, Counter())[piece.pose.mirrored] += 1
    for fabric, piece in _all(layout):
        mirrored = piece.pose.mirrored
        if piece.shape not in lopsided:
            continue
        if fabric.face:
            if mirrored != (fabric.face == WRONG_SIDE_UP):
                words = f"is {'' if mirrored else 'not '}mirrored, though {fabric.fabric} lies {fabric.face}"
                yield Fault(Code.MIRRORED_PIECE, piece.piece_id, words)
        elif ways[fabric.fabric][not mirrored] > 0:
            # The smaller party is wrong; where they are equal, the mirrored.
            mine, others = ways[fabric.fabric][mirrored], ways[fabric.fabric][not mirrored]
            if mine < others or (mine == others and mirrored):
                words = f"is {'' if mirrored else 'not '}mirrored, unlike the other pieces of {fabric.fabric}"
                yield Fault(Code.MIRRORED_PIECE, piece.piece_id, words)


def _counts(layout: KnownLayout) -> Iterator[Fault]:
    if not layout.counts:
        return
    placed = Counter((fabric.fabric, piece.shape) for fabric, piece in _all(layout))
    for fabric_shape in sorted({*layout.counts, *placed, *layout.by_hand}):
        said = layout.counts.get(fabric_shape, 0)
        counted = placed[fabric_shape] + layout.by_hand.get(fabric_shape, 0)
        if said != counted:
            words = f"{said} {fabric_shape[1]} counted, {counted} on the loads and cut by hand"
            yield Fault(Code.WRONG_COUNT, fabric_shape[0], words)
