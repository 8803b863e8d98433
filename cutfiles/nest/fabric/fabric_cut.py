"""What comes of one fabric: its blanks with the pieces laid on them, and what is cut by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutfiles.job.model.job import Face
from cutfiles.nest.base.layout import Strip
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.reach import Rect
from cutfiles.nest.fabric.supply import Blank, ByHand


@dataclass(frozen=True, slots=True)
class Cut:
    """A blank with the pieces laid on it; positions count from the blank's lower left corner."""

    blank: Blank
    placed: tuple[PlacedItem, ...]
    face: Face  # how the blank lies


@dataclass(frozen=True, slots=True)
class FabricCut:
    """What comes of one fabric."""

    cuts: tuple[Cut, ...]
    by_hand: tuple[ByHand, ...]
    strips: tuple[Strip, ...] = ()  # of a job that is cut by ruler, and nothing else

    @property
    def given(self) -> Counter[str]:
        """How many pieces of each shape it gives."""
        counts = Counter(placed_item.item.shape for cut in self.cuts for placed_item in cut.placed)
        counts.update(hand.shape for hand in self.by_hand)
        for strip in self.strips:
            counts[strip.shape] += strip.count
        return counts

    @property
    def pieces_used(self) -> int:
        """How many of its pieces are cut into."""
        ruled = {hand.piece for hand in self.by_hand} | {strip.piece for strip in self.strips}
        return len({cut.blank.piece for cut in self.cuts} | ruled)

    @property
    def last_piece(self) -> int:
        """Which of its pieces is the last that is cut into; 0 where none is."""
        return max(
            (*(cut.blank.piece for cut in self.cuts), *(hand.piece for hand in self.by_hand)), default=0
        )


NOTHING = FabricCut((), ())


def joined(cuts: Sequence[FabricCut], *, on_the_same: bool = False) -> FabricCut:
    """Return what comes of one fabric in several goes, each on pieces of its own or all on the same."""
    blanks: list[Cut] = []
    by_hand: list[ByHand] = []
    before = 0
    for cut in cuts:
        blanks += (replace(c, blank=replace(c.blank, piece=c.blank.piece + before)) for c in cut.cuts)
        by_hand += (replace(hand, piece=hand.piece + before) for hand in cut.by_hand)
        before += 0 if on_the_same else cut.last_piece
    return FabricCut(tuple(blanks), tuple(by_hand))


def raised(cut: FabricCut, by_mm: float) -> FabricCut:
    """Return what comes of a fabric, so much further up its length."""

    def up(rect: Rect) -> Rect:
        return replace(rect, y_mm=rect.y_mm + by_mm)

    return FabricCut(
        tuple(replace(c, blank=replace(c.blank, rect=up(c.blank.rect))) for c in cut.cuts),
        tuple(replace(hand, rect=up(hand.rect)) for hand in cut.by_hand),
    )
