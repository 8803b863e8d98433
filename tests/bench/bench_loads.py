"""How few loads: `python -m tests.bench.bench_loads` prints loads beside what is proven, and times.

Sets of rectangles of fabric are drawn with fixed seeds; "in order" is what laying them one after the other,
lowest place first, needs.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable

from cutfiles.core.units import MM_PER_INCH as IN
from cutfiles.job.model.job import MatSpec, Register
from cutfiles.nest.cutting_rules.reach import Reach, Rect, reach_of
from cutfiles.nest.mat_loads.free_space import FreeSpace, lowest
from cutfiles.nest.mat_loads.loads import on_loads

Sizes = list[tuple[float, float]]
MATS = {"12 × 24": (12, 24), "24 × 24": (24, 24)}


def _any(dice: random.Random, count: int) -> Sizes:
    return [(dice.uniform(1, 8) * IN, dice.uniform(1, 10) * IN) for _ in range(count)]


def _usual(dice: random.Random, count: int) -> Sizes:
    """Squares, strips and what rough cuts leave."""
    kinds = ((5, 5), (10, 10), (2.5, 11), (9, 11), (4.5, 5), (3.25, 8.5))
    return [(w * IN, h * IN) for w, h in (dice.choice(kinds) for _ in range(count))]


def _large(dice: random.Random, count: int) -> Sizes:
    return [(dice.uniform(5, 11) * IN, dice.uniform(5, 11) * IN) for _ in range(count)]


SETS: dict[str, tuple[Callable[[random.Random, int], Sizes], tuple[int, ...]]] = {
    "any size": (_any, (20, 60, 500)),
    "usual cuts": (_usual, (20, 60, 500)),
    "large": (_large, (12, 40)),
}


def in_order(sizes: Sizes, reach: Reach, spacing: float) -> int:
    """Return how many loads the plainest way needs."""
    empty = [Rect(r.x_mm, r.y_mm, r.width_mm + spacing, r.height_mm + spacing) for r in reach.free]
    mats: list[FreeSpace] = []
    for width, length in sizes:
        for mat in [*mats, None]:
            if mat is None:
                mats.append(FreeSpace(empty))
            space = mat or mats[-1]
            spots = [
                space.best(*turned, lowest)
                for turned in ((width + spacing, length + spacing), (length + spacing, width + spacing))
            ]
            found = min((spot for spot in spots if spot), default=None, key=lambda spot: spot[0])
            if found:
                space.take(found[1])
                break
    return len(mats)


def main() -> None:
    """Print the table."""
    print("mat in    set          count  in order  found  proven  CPU s")
    for mat, (width, height) in MATS.items():
        reach = reach_of(MatSpec(width * IN, height * IN, 0.25 * IN), Register.CROSS)
        for name, (draw, counts) in SETS.items():
            for count in counts:
                sizes = draw(random.Random(count), count)
                start = time.process_time()
                spreads = on_loads(sizes, reach, gap_mm=1.5875)
                spent = time.process_time() - start
                plain = in_order(sizes, reach, 1.5875)
                print(
                    f"{mat:9} {name:12} {count:5} {plain:9} {spreads.loads:6} {spreads.at_least:7} "
                    f"{spent:6.2f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
