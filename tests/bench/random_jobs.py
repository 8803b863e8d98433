"""How long random jobs search: `python -m tests.bench.random_jobs 40 --time 1` prints the times of 40 jobs.

Each number is a job: plates of any kind beside own outlines, on fabrics with and without flaws, prints that
repeat and lengths to find, up to a hundred pieces in all. Times are of the search alone, with and without the
limit: as they pass, and what all processes together computed for, which others on the machine change little.
What goes over is listed last: without a limit by what was computed. `--first N` begins at another job,
`--only N` runs one.
"""

from __future__ import annotations

import argparse
import math
import os
import random
import tempfile
import time
from pathlib import Path

from cutfiles.core.errors import CutfilesError
from cutfiles.job.model.job import Job
from cutfiles.job.parse.read import read_job
from cutfiles.nest.base.clock import Clock, effort_for
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of

LONGEST_S, BEYOND_S = 60.0, 2.0  # without a limit, and past one
MOST_PIECES = 100


def job_text(number: int) -> str:
    """Return the job of that number, always the same."""
    dice = random.Random(number)
    blades = dice.choice((6, 8, 10, 12, 16, 20, 24))
    tip = dice.choice(("folded", "round", "flat"))
    parts = [
        f"[plate]\ncount = {dice.randint(1, 3)}\nblades = {blades}\n"
        f"blade_length = {dice.choice((3, 4, 4.75, 6))}\n"
        f'inner_radius = {dice.choice((1.5, 2, 2.5))}\ntip = "{tip}"\n'
    ]
    shapes = ["blade"]
    if dice.random() < 0.4:
        parts.append('[centre]\ncover = "1/4"\n')
        shapes.append("centre")
    left = MOST_PIECES - 3 * blades - 6
    for outline in range(dice.choice((0, 0, 1, 2, 3))):
        count = dice.randint(1, max(1, min(15, left)))
        left -= count
        name = f"sail-{outline + 1}"
        parts.append(f'[[outline]]\nname = "{name}"\npoints = {_outline(dice)}\ncount = {count}\n')
        shapes.append(name)
    fabrics = dice.randint(1, 3)
    for fabric in range(fabrics):
        parts.append(_fabric(dice, fabric, fabrics, shapes))
    if dice.random() < 0.3:
        parts.append(f"[mat]\nwidth = {dice.choice((12, 24))}\nheight = {dice.choice((12, 24, 36))}\n")
    return "\n".join(parts)


def _outline(dice: random.Random) -> str:
    """A star-shaped outline with bays, or a convex one."""
    corners, bays = dice.randint(3, 14), dice.random() < 0.6
    radius = dice.uniform(1.0, 3.0)
    points = []
    for corner in range(corners):
        angle = 2 * math.pi * corner / corners
        reach = radius * (dice.uniform(0.45, 1.0) if bays else 1.0)
        points.append([round(reach * math.cos(angle), 3), round(reach * math.sin(angle), 3)])
    return str(points)


def _fabric(dice: random.Random, number: int, fabrics: int, shapes: list[str]) -> str:
    width = dice.choice((18, 22, 42, 44))
    needed = dice.random() < 0.4
    length: float = dice.choice((18, 22, 36, 60))
    lines = ["[[fabric]]", f'name = "cloth-{number + 1}"', f"width = {width}"]
    lines.append('length = "as needed"' if needed else f"length = {length}")
    lines.append(f'print = "{dice.choice(("plain", "two-way", "one-way", "four-way"))}"')
    lines.append(f'grain = "{dice.choice(("lengthwise", "straight", "any"))}"')
    lines.append(f'margin = "{dice.choice(("0", "1/8", "1/4"))}"')
    if not needed:
        lines.append(f"pieces = {dice.randint(1, 3)}")
        if dice.random() < 0.35:
            x, y = dice.uniform(0, width - 4), dice.uniform(0, length - 4)
            lines.append(f"avoid = [{{ x = {x:.2f}, y = {y:.2f}, width = 2.5, length = 3 }}]")
    if not needed and dice.random() < 0.2:
        lines.append(f"repeat = {{ width = {dice.choice((2, 4))}, length = {dice.choice((3, 6))} }}")
    count = '"rest"' if number == fabrics - 1 or dice.random() < 0.5 else str(dice.randint(1, 8))
    lines.append("cuts = { " + ", ".join(f'"{shape}" = {count}' for shape in shapes) + " }\n")
    return "\n".join(lines)


def searched(job: Job, limit_s: float | None) -> tuple[float, float, str]:
    """Return the seconds that the search of a job takes and computes for, and what came of it."""
    pieces = cut_list(job, plate_of(job))
    start, computed = time.perf_counter(), _computed_s()
    clock = Clock(limit_s, effort=effort_for(job.fabrics))
    try:
        layout = nest(pieces, Bed(job.mat, job.machine, job.unit), clock=clock)
        placed = sum(len(fabric.placements) for load in layout.loads for fabric in load.fabrics)
        outcome = f"{placed} pieces on {len(layout.loads)} loads"
    except CutfilesError as error:
        outcome = str(error)
    return time.perf_counter() - start, _computed_s() - computed, outcome


def _computed_s() -> float:
    """Seconds of processor time so far, of this process and of those that it started and that have ended."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def main() -> None:
    """Print the times."""
    parser = argparse.ArgumentParser(description="Times of random jobs.")
    parser.add_argument("jobs", type=int, nargs="?", default=40)
    parser.add_argument("--first", type=int, default=0, help="number of the first job")
    parser.add_argument("--only", type=int)
    parser.add_argument("--time", type=float, help="limit in seconds; left out, only counted work is timed")
    parser.add_argument("--text", action="store_true", help="print the job too")
    options = parser.parse_args()
    numbers = (
        [options.only] if options.only is not None else range(options.first, options.first + options.jobs)
    )
    most = LONGEST_S if options.time is None else options.time + BEYOND_S
    slow = []
    for number in numbers:
        text = job_text(number)
        if options.text:
            print(text)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "job.toml"
            path.write_text(text, encoding="utf-8")
            try:
                spent, computed, outcome = searched(read_job(path), options.time)
            except CutfilesError as error:
                spent, computed, outcome = 0.0, 0.0, str(error).removeprefix(str(path))[:60]
        print(f"{number:5} {spent:7.1f} s, computed {computed:7.1f} s  {outcome[:60]}", flush=True)
        if (computed if options.time is None else spent) > most:
            slow.append(number)
    print(f"over {most:g} s: {slow or 'none'}")


if __name__ == "__main__":
    main()
