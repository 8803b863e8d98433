"""Which position is best: pushed to one end of the rectangle first, then to one side of it."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.nest.base.oriented_item import Array, OrientedItem


@dataclass(frozen=True, slots=True)
class Pushed:
    """A score that grows along one axis and, more slowly, along the other.

    Args:
        axis: 0 pushes to the left, 1 to the bottom.
        far: 0 counts where a piece begins, 1 where it ends: then the shortest growth wins.
        slope: how much a mm along the other axis counts.
        sense: along x and y; -1 pushes to the right or the top instead.
    """

    axis: int
    far: int
    slope: float
    sense: tuple[float, float] = (1.0, 1.0)

    def __call__(self, item: OrientedItem, positions: Array) -> Array:
        """Return one score a position, least is best."""
        sign, other_sign = self.sense[self.axis], self.sense[1 - self.axis]
        # Seen from the other side a piece begins where it ends.
        far = self.far if sign > 0 else 1 - self.far
        along = sign * (positions[:, self.axis] + item.bounds[self.axis + 2 * far])
        aside = other_sign * (
            positions[:, 1 - self.axis] + item.bounds[1 - self.axis + (0 if other_sign > 0 else 2)]
        )
        scores: Array = along + self.slope * aside
        return scores


# In the order in which they are tried; the first best is kept.
RULES = tuple(Pushed(axis, far, slope) for slope in (0.01, 0.1) for far in (0, 1) for axis in (1, 0))
# Besides, where fabric has bays and holes: from the other sides too, as nothing is the same all round.
AROUND = tuple(
    Pushed(axis, far, 0.01, sense)
    for sense in ((-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0))
    for far in (0, 1)
    for axis in (1, 0)
)
# A strip fills along itself; a few rules do.
ALONG_X = tuple(Pushed(0, far, slope) for slope in (0.01, 0.3) for far in (0, 1))
ALONG_Y = tuple(Pushed(1, far, slope) for slope in (0.01, 0.3) for far in (0, 1))
