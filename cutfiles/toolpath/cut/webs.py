"""What stays between the cuts of one rigid part: thinner than a web, it breaks or melts."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import FLAT_ARC_MM, RULE_MM
from cutfiles.core.units import Unit, in_both
from cutfiles.geometry.distance import contours_apart
from cutfiles.geometry.edge import edges_of
from cutfiles.geometry.solid import Solid
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.cut.features import narrowest


def check_webs(shape: Shape, key: str, *, least_mm: float, unit: Unit) -> None:
    """Do nothing if all that stays of a part is wide enough.

    Args:
        shape: the part, with its holes.
        key: where to say so.
        least_mm: how wide at least; 0 for whatever it is.

    Raises:
        JobError: a web is thinner, or a hole is not inside the part.
    """
    for hole in shape.inner:
        if not Solid(shape.cut).outer.covers(Solid(hole).inner):
            raise JobError(key, f"a hole of {shape.name} is not inside it; make it smaller")
    if least_mm <= RULE_MM:
        return
    thinnest = min(_webs(shape, least_mm), default=least_mm)
    if thinnest < least_mm - max(RULE_MM, FLAT_ARC_MM):
        raise JobError(
            key,
            f"only {in_both(thinnest, unit)} of {shape.name} stay between its cuts, where the stock's web is "
            f"{in_both(least_mm, unit)}; make it wider, its hole smaller, or lower web in [stock]",
        )


def _webs(shape: Shape, least_mm: float) -> Iterator[float]:
    cuts = [edges_of(contour) for contour in (shape.cut, *shape.inner)]
    for first, second in combinations(cuts, 2):
        yield contours_apart(first, second, within_mm=least_mm)
    yield narrowest(shape.cut, below_mm=least_mm)
