"""The items of a job's shapes, each made once; layouts as plain values that other processes understand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cutfiles.nest.base.container import Container
from cutfiles.nest.base.oriented_item import OrientedItem, oriented_item
from cutfiles.nest.base.placed_item import PlacedItem
from cutfiles.nest.cutting_rules.turns import tried
from cutfiles.pieces.shape import Shape

# Shape, turn, whether mirrored, x, y. Items are compared by identity, which another process doesn't share.
PlainLayout = tuple[tuple[str, float, bool, float, float], ...]


class Orientations:
    """Makes items when they are first asked for; the same question gives the same item."""

    def __init__(self, shapes: Sequence[Shape]) -> None:
        self.shapes = {shape.name: shape for shape in shapes}
        self._orientations: dict[tuple[str, float, bool], OrientedItem] = {}

    def item(self, shape: str, turn_deg: float, mirrored: bool) -> OrientedItem:
        """Return a shape's item at a turn."""
        key = (shape, turn_deg, mirrored)
        if key not in self._orientations:
            self._orientations[key] = oriented_item(self.shapes[shape], turn_deg=turn_deg, mirrored=mirrored)
        return self._orientations[key]

    def on(self, container: Container, *shapes: str) -> tuple[OrientedItem, ...]:
        """Return each shape at each allowed turn, once where turns make no difference, as with a circle."""
        distinct: list[OrientedItem] = []
        for shape in shapes:
            for turn in tried(container.turns):
                item = self.item(shape, turn, container.mirrored)
                if not any(item.alike(earlier) for earlier in distinct):
                    distinct.append(item)
        return tuple(distinct)

    def placed(self, plain: PlainLayout) -> tuple[PlacedItem, ...]:
        """Return a layout from plain values."""
        return tuple(
            PlacedItem(self.item(shape, turn, mirrored), x, y) for shape, turn, mirrored, x, y in plain
        )


def plain(placed: Iterable[PlacedItem]) -> PlainLayout:
    """Return a layout as plain values."""
    return tuple(
        (
            placed_item.item.shape,
            placed_item.item.turn_deg,
            placed_item.item.mirrored,
            placed_item.x_mm,
            placed_item.y_mm,
        )
        for placed_item in placed
    )


def moved(placed: Iterable[PlacedItem], by_mm: float) -> tuple[PlacedItem, ...]:
    """Return a layout moved along both axes: into a container from its room, or back."""
    return tuple(
        PlacedItem(placed_item.item, placed_item.x_mm + by_mm, placed_item.y_mm + by_mm)
        for placed_item in placed
    )


def standing_for(placed: Iterable[PlacedItem], items: Sequence[OrientedItem]) -> tuple[PlacedItem, ...]:
    """Return a layout with items that occupy the same as its own: a circle has one for all turns."""
    return tuple(
        PlacedItem(
            next(item for item in items if item is placed_item.item or item.alike(placed_item.item)),
            placed_item.x_mm,
            placed_item.y_mm,
        )
        for placed_item in placed
    )
