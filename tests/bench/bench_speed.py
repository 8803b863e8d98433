"""How long the commands take, beside a bare interpreter: `python -m tests.bench.bench_speed`.

The machine's mood moves seconds, so the figure to quote is the ratio to `python -c pass` run in between.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from cutfiles.files.writers import WRITERS
from cutfiles.nest.clock import Clock
from cutfiles.nest.nest import Bed, nest
from cutfiles.passes.passes import plan_cuts
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pipeline import size

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "fixtures/jobs/harbour-runner/job.toml"
RUNS = 5
PIECES = 1000


def cpu_s(*words: str) -> float:
    """Return the least CPU time of a few runs of a Python command, seconds."""
    best = float("inf")
    for _ in range(RUNS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)
    return best


def commands() -> None:
    """Print each command's CPU time, its bound and its ratio to a bare start."""
    bare = cpu_s("-c", "pass")
    print(f"{'python -c pass':34} {bare:6.2f} s")
    with tempfile.TemporaryDirectory() as folder:
        for words, bound_s in (
            (("--help",), 0.3),
            (("size", str(DEMO)), 0.6),
            (("make", str(DEMO), "--out", os.path.join(folder, "demo")), 6.0),
        ):
            spent = cpu_s("-m", "cutfiles", *words)
            name = f"cutfiles {words[0]}"
            print(f"{name:34} {spent:6.2f} s, bound {bound_s:g} s, {spent / bare:5.1f} × a bare start")


def writers() -> None:
    """Print the time of each writer per 1,000 pieces, and of writing the same bytes to a file."""
    sized = size(DEMO)
    job = sized.job
    layout = nest(cut_list(job, sized.plate), Bed(job.mat, job.machine, job.unit), clock=Clock(None))
    plan = plan_cuts(layout, job.mat, job.machine)
    pieces = sum(len(laid.placements) for load in layout.loads for laid in load.laid)
    times = -(-PIECES // pieces)
    loads = [replace(load) for _ in range(times) for load in plan.loads]
    for name, writer in WRITERS.items():
        start = time.perf_counter()
        written = [writer.write(load) for load in loads]
        spent = (time.perf_counter() - start) * PIECES / (times * pieces)
        start = time.perf_counter()
        with tempfile.NamedTemporaryFile() as file:
            file.writelines(written)
            file.flush()
        plain = (time.perf_counter() - start) * PIECES / (times * pieces)
        size_kb = sum(map(len, written)) / 1000 * PIECES / (times * pieces)
        print(f"{name:6} {spent:6.2f} s per 1,000 pieces ({size_kb:.0f} kB; to disk alone {plain:.3f} s)")


if __name__ == "__main__":
    commands()
    writers()
