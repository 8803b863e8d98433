"""How tight the nesting is: `python -m tests.bench.bench_nest` prints yields beside bounds, and times.

The wedge has flat ends of 0.95 in and 2.53 in and is 5 in long; margin 1/4 in, gap 0.05 in. "rows" is what
rows of blades turned end for end give, in closed form; "area" is the proven bound. The yields in the last
column are the best that general solvers of irregular packing were measured to reach in 30 s.
"""

from __future__ import annotations

import math
import time

from cutfiles.core.outline import ring
from cutfiles.core.units import MM_PER_INCH as IN
from cutfiles.nest.clock import USUAL, Clock
from cutfiles.nest.fill import Filler
from cutfiles.nest.ground import Ground
from cutfiles.pieces.shape import Shape

NARROW, WIDE, LONG, GAP, MARGIN = 0.95, 2.53, 5.0, 0.05, 0.25
ONE_WAY, HALF, QUARTER = (0.0,), (0.0, 180.0), (0.0, 90.0, 180.0, 270.0)
CASES = (
    (12, 12, HALF, 12), (12, 12, QUARTER, 12), (12, 24, HALF, 26), (12, 24, QUARTER, 26),
    (18, 22, HALF, 37), (18, 22, QUARTER, 37), (24, 24, HALF, 54), (24, 24, QUARTER, 55),
    (18, 22, ONE_WAY, None), (24, 24, ONE_WAY, None),
)  # fmt: skip


def wedge() -> Shape:
    """Return the wedge that the table is about."""
    narrow, wide, long = NARROW / 2 * IN, WIDE / 2 * IN, LONG * IN
    return Shape("blade", ring((-narrow, 0), (narrow, 0), (wide, long), (-wide, long)), (), symmetric=True)


def in_rows(width: float, height: float, turns: tuple[float, ...]) -> int:
    """Return what plain rows hold: neighbours turned end for end share slanted edges a gap apart."""
    room_width, room_height = width - 2 * MARGIN, height - 2 * MARGIN
    rows = math.floor((room_height + GAP) / (LONG + GAP))
    if turns == ONE_WAY:
        return rows * math.floor((room_width + GAP) / (WIDE + GAP))
    slant = math.hypot(LONG, (WIDE - NARROW) / 2) / LONG
    step = (NARROW + WIDE) / 2 + GAP * slant
    return rows * (1 + math.floor((room_width - WIDE) / step + 1e-9))


def main() -> None:
    """Print the table."""
    print("sheet in   turns    rows  found  area bound      s  known")
    for width, height, turns, known in CASES:
        start = time.perf_counter()
        filler = Filler((wedge(),), gap_mm=GAP * IN, clock=Clock(effort=USUAL))
        ground = Ground(width * IN, height * IN, MARGIN * IN, turns, mirrored=False)
        found = len(filler.full(ground, "blade"))
        spent = time.perf_counter() - start
        bound = filler.bound(ground, "blade")
        words = {1: "one way", 2: "half", 4: "quarter"}[len(turns)]
        rows = in_rows(width, height, turns)
        print(
            f"{width} × {height}  {words:8} {rows:4} {found:6} {bound:11} {spent:6.1f}  {known or '–'}",
            flush=True,
        )


if __name__ == "__main__":
    main()
