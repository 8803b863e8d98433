"""How tight the nesting is: `python -m tests.bench.nest` prints yields beside bounds and a peer, and times.

Below each row stands when each count was reached. Sheets: the wedge has flat ends of 0.95 in and 2.53 in
and is 5 in long; margin 1/4 in, gap 0.05 in. "rows" is what rows of blades turned end for end give, in
closed form; "area" is the proven bound. "known" is the best that general solvers of irregular packing
were measured to reach in 30 s. The peer is `spyrrow` (MIT), a binding of the published heuristic of
Gardeyn, Vanden Berghe and Wauters (2025, arXiv 2509.13329); it packs strips, so it is asked how wide a
sheet of this length it needs for one piece more than was found here.

Strips: `python -m tests.bench.nest --strips FOLDER` reads the open instances of the literature (collected by
ESICUP; each a JSON file with `strip_height` and `items` of `demand`, `turns_deg` and `points`, beside a
`best_known.json`) and prints the density that cutfiles and the peer reach in the same time, in the same run,
one after the other, each on all cores. Both throw dice: `--runs N` gives the mean of N runs of each, from
seeds 0, 1, … and the least and the greatest.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import spyrrow

from cutfiles.core.units import MM_PER_INCH as IN
from cutfiles.geometry.outline import area, ring
from cutfiles.nest.base.clock import USUAL, Clock, cores
from cutfiles.nest.base.container import Container
from cutfiles.nest.search.solver import Solver
from cutfiles.nest.search.workers import Workers
from cutfiles.pieces.shape import Shape

NARROW, WIDE, LONG, GAP, MARGIN = 0.95, 2.53, 5.0, 0.05, 0.25
ONE_WAY, HALF, QUARTER = (0.0,), (0.0, 180.0), (0.0, 90.0, 180.0, 270.0)
CASES = (
    (12, 12, HALF, 12), (12, 12, QUARTER, 12), (12, 24, HALF, 26), (12, 24, QUARTER, 26),
    (18, 22, HALF, 37), (18, 22, QUARTER, 37), (24, 24, HALF, 54), (24, 24, QUARTER, 55),
    (18, 22, ONE_WAY, None), (24, 24, ONE_WAY, None),
)  # fmt: skip
STRIP_MM = 1000.0  # instances are scaled to strips this wide
WIDER_MM = 1e-3  # the peer refuses what is exactly as wide as its strip


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


@dataclass(frozen=True, slots=True)
class Question:
    """What the peer is asked: outlines with counts and turns, the strip's height and the least gap, mm."""

    items: tuple[tuple[list[tuple[float, float]], int, list[float]], ...]
    height_mm: float
    gap_mm: float


def peer_length(question: Question, *, seconds: int, workers: int, seed: int = 0) -> float:
    """Return the length of the strip that the peer finds."""
    items = [spyrrow.Item(str(i), points, n, turns) for i, (points, n, turns) in enumerate(question.items)]
    instance = spyrrow.StripPackingInstance("strip", question.height_mm + WIDER_MM, items)
    config = spyrrow.StripPackingConfig(
        early_termination=False,
        min_items_separation=question.gap_mm or None,
        total_computation_time=seconds,
        num_workers=workers,
        seed=seed,
    )
    return float(instance.solve(config).width)


class Curve:
    """How many pieces were found when, in this process: what a helper finds counts once it has answered."""

    def __init__(self, start_s: float) -> None:
        self._start_s = start_s
        self._steps: list[tuple[int, float]] = []

    def note(self, best: int) -> None:
        """Keep a count that is more than any before."""
        if best > (self._steps[-1][0] if self._steps else 0):
            self._steps.append((best, time.perf_counter() - self._start_s))

    def __str__(self) -> str:
        return ", ".join(f"{count} at {spent:.1f} s" for count, spent in self._steps)


def sheets(seconds: int) -> None:
    """Print the table of sheets; the peer has so many seconds a sheet, 0 leaves it out."""
    peer = f"peer, {seconds} s" if seconds else ""
    print(f"sheet in   turns    rows  found  area bound      s  known  {peer}")
    for width, height, turns, known in CASES:
        start = time.perf_counter()
        container = Container(width * IN, height * IN, MARGIN * IN, turns, mirrored=False)
        clock, curve = Clock(effort=USUAL), Curve(start)
        clock.watch(curve.note)
        with Workers((wedge(),), gap_mm=GAP * IN, clock=clock) as helpers:
            solver = Solver((wedge(),), gap_mm=GAP * IN, clock=clock, helpers=helpers)
            found = len(solver.maximise(container, "blade"))
        spent = time.perf_counter() - start
        words = {1: "one way", 2: "half", 4: "quarter"}[len(turns)]
        row = f"{width} × {height}  {words:8} {in_rows(width, height, turns):4} {found:6}"
        row += f" {solver.proven_bound(container, 'blade'):11} {spent:6.1f}  {known or '–':>5}"
        if seconds:
            points = [(vertex.x, vertex.y) for vertex in wedge().cut.vertices]  # type: ignore[union-attr]
            room = container.room
            question = Question(((points, found + 1, list(turns)),), room[1], GAP * IN)
            over = (peer_length(question, seconds=seconds, workers=cores()) - room[0]) / IN
            row += f"  {found + 1} need {over:.2f} in more" if over > 0 else f"  fits {found + 1}"
        print(f"{row}\n    count over time: {curve}", flush=True)


def strips(folder: Path, seconds: int, runs: int) -> None:
    """Print density of instances of the literature, as reached here and by the peer in the same time."""
    best = json.loads((folder / "best_known.json").read_text(encoding="utf-8"))
    limits = f"with {seconds} s (least, greatest)  peer {seconds} s (least, greatest)"
    print(f"strip      pieces  without limit      s  {limits}  ratio  best known")
    for name in sorted(best):
        question, shapes, wanted = _instance(json.loads((folder / f"{name}.json").read_text("utf-8")))
        cloth = sum(area(shape.cut) * count for shape, (_, count) in zip(shapes, wanted, strict=True))
        turns = tuple(sorted(question.items[0][2]))
        container = Container(STRIP_MM, 1e5, 0.0, turns, mirrored=False)

        def own(limit: int | None, seed: int) -> float:
            solver = Solver(shapes, gap_mm=0.0, clock=Clock(limit, effort=USUAL))  # noqa: B023
            placed = solver.shortest(container, wanted, share=1.0, seed=seed)  # noqa: B023
            assert placed is not None
            return cloth / STRIP_MM / max(one.y_mm + one.item.bounds[3] for one in placed)  # noqa: B023

        start = time.perf_counter()
        unlimited, spent = own(None, 0), time.perf_counter() - start
        ours, peers = [], []
        for seed in range(runs):
            ours.append(own(seconds, seed))
            long = peer_length(question, seconds=seconds, workers=cores(), seed=seed)
            peers.append(cloth / STRIP_MM / long)
        print(
            f"{name:10} {sum(n for _, n in wanted):6} {unlimited:14.4f} {spent:6.1f}"
            f"  {_mean(ours)}  {_mean(peers)}  {sum(ours) / sum(peers):.3f}"
            f"  {best[name]['best_known_density']:10.4f}",
            flush=True,
        )


def _mean(densities: Sequence[float]) -> str:
    """The mean, with the least and the greatest."""
    return f"{sum(densities) / len(densities):.4f} ({min(densities):.4f}, {max(densities):.4f})"


def _instance(data: dict[str, object]) -> tuple[Question, tuple[Shape, ...], tuple[tuple[str, int], ...]]:
    """An instance scaled, as the peer's question, and turned by a quarter as shapes and counts of ours."""
    scale = STRIP_MM / float(str(data["strip_height"]))
    items, shapes, wanted = [], [], []
    for number, item in enumerate(data["items"]):  # type: ignore[arg-type, var-annotated]
        points = [(x * scale, y * scale) for x, y in item["points"][:-1]]
        items.append((points, item["demand"], item["turns_deg"]))
        turned = [(-y, x) for x, y in points]
        outline = ring(*turned)
        shapes.append(
            Shape(f"s{number}", outline if area(outline) > 0 else outline.backwards(), (), symmetric=False)
        )
        wanted.append((f"s{number}", int(item["demand"])))
    return Question(tuple(items), STRIP_MM, 0.0), tuple(shapes), tuple(wanted)


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description="Yields beside bounds and a peer.")
    parser.add_argument(
        "--strips", type=Path, help="folder of strip instances; without it sheets are printed"
    )
    parser.add_argument("--seconds", type=int, default=20, help="for the peer, and for both on strips")
    parser.add_argument("--runs", type=int, default=1, help="of each strip, by both; the mean is printed")
    options = parser.parse_args()
    if options.strips:
        strips(options.strips, options.seconds, options.runs)
    else:
        sheets(options.seconds)


if __name__ == "__main__":
    main()
