"""Why no fewer loads can do: bounds on how many mats some rectangles need, whatever the packing finds.

By area, and by dual feasible functions: a function f from lengths (as shares of the mat's) to 0..1 such that
what sums to 1 at most still does so after f. Where f is such a function for widths and g one for lengths, the
products f(width)·g(length) of what lies on one mat sum to 1 at most. Which way round a rectangle lies isn't
known beforehand: of the ways that fit, the one of the lesser product is counted.

Sources: S. P. Fekete and J. Schepers, "A general framework for bounds for higher-dimensional orthogonal
packing problems" (2004), which names the rounding function of S. Martello and P. Toth; written down from
memory and tested against all packings of small sets.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import shapely

from cutfiles.nest.base.oriented_item import Array
from cutfiles.nest.cutting_rules.reach import Rect

_HAIR = 1e-9  # slack of a share: rounding must never make a bound too high
_MOST_ROUNDED = 12  # divisions of a side that are tried
_MOST_LIMITS = 24  # lengths that are tried as the limit of "short"


def fewest_loads(sizes: Sequence[tuple[float, float]], free: Sequence[Rect]) -> int:
    """Return a number of mats that rectangles, turned by quarters at will, can't pass below.

    Args:
        sizes: width and length of each, the spacing included.
        free: the largest rectangles of the mat in which they may lie, grown by the spacing.
    """
    if not sizes:
        return 0
    area = sum(width * length for width, length in sizes)
    # Slightly less than the mat's area's count, so that an exact fit is not rounded up.
    by_area = math.ceil(area / _area(free) - _HAIR)
    return max(1, by_area, math.ceil(_dual_feasible(sizes, free) - 1e-6))


def _area(free: Sequence[Rect]) -> float:
    boxes = [shapely.box(r.x_mm, r.y_mm, r.x_mm + r.width_mm, r.y_mm + r.height_mm) for r in free]
    return float(shapely.union_all(boxes).area)


def _dual_feasible(sizes: Sequence[tuple[float, float]], free: Sequence[Rect]) -> float:
    """The greatest sum of products over pairs of functions."""
    width = max(r.x_mm + r.width_mm for r in free) - min(r.x_mm for r in free)
    height = max(r.y_mm + r.height_mm for r in free) - min(r.y_mm for r in free)
    sides = np.array(sizes)
    as_it_lies = np.array([any(r.holds(w, h) for r in free) for w, h in sizes])
    turned = np.array([any(r.holds(h, w) for r in free) for w, h in sizes])
    # Shares of the mat: across and up as it lies, and turned.
    across, up = sides[:, 0] / width, sides[:, 1] / height
    across_turned, up_turned = sides[:, 1] / width, sides[:, 0] / height
    ups = [(function(up), function(up_turned)) for function in _functions(up[as_it_lies], up_turned[turned])]
    best = 0.0
    for function in _functions(across[as_it_lies], across_turned[turned]):
        here, there = function(across), function(across_turned)
        for above, above_turned in ups:
            unturned = np.where(as_it_lies, here * above, np.inf)
            quarter_turned = np.where(turned, there * above_turned, np.inf)
            least = np.minimum(unturned, quarter_turned)
            best = max(best, float(least[np.isfinite(least)].sum()))
    return best


def _functions(*shares: Array) -> Iterator[Callable[[Array], Array]]:
    """Functions worth trying: the length itself, roundings, and long against short at limits that occur."""
    yield lambda share: share
    for parts in range(2, _MOST_ROUNDED + 1):
        yield lambda share, parts=parts: _rounded_share(share, parts)  # type: ignore[misc]
    lengths = np.unique(np.concatenate(shares).round(6))
    limits = np.unique(np.concatenate((lengths[lengths <= 0.5], 1.0 - lengths[lengths > 0.5], [0.5])))
    if len(limits) > _MOST_LIMITS:
        limits = limits[np.linspace(0, len(limits) - 1, _MOST_LIMITS).astype(int)]
    for limit in limits.tolist():
        yield lambda share, limit=limit: _long_and_short(share, limit)  # type: ignore[misc]


def _rounded_share(share: Array, parts: int) -> Array:
    """A share rounded down to (parts)ths of parts − 1; multiples of a part stay as they are."""
    times = share * parts
    whole = np.floor(times)
    # What is less than a multiple by a last bit is rounded down: too little proves nothing false.
    rounded: Array = np.where(times - whole <= _HAIR, share, whole / (parts - 1))
    return rounded


def _long_and_short(share: Array, limit: float) -> Array:
    """What leaves no room for `limit` beside it counts as all, what is shorter than that as nothing."""
    long = np.where(share > 1.0 - limit + _HAIR, 1.0, share)
    both: Array = np.where(share < limit - _HAIR, 0.0, long)
    return both
