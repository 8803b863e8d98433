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
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import TypeVar

from cutfiles.check.check import check_paths
from cutfiles.cli.collector import collect_seldom
from cutfiles.findings.codes import Code
from cutfiles.formats.model.style import DEFAULT_STYLE
from cutfiles.formats.registry import FORMATS
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.base.layout import Layout, Load
from cutfiles.nest.nest import Bed, nest
from cutfiles.output.layout_json import layout_json, sealed
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pipeline import Sized, size
from cutfiles.sheet.html import job_sheet
from cutfiles.toolpath.toolpath import plan_cuts

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "fixtures/jobs/harbour-runner/job.toml"
RUNS = 5
TIMES = 3  # the steps after the nest: the least of these runs
PIECES = (600, 1200, 2400)
CHECKED = ("svg", "dxf", "hpgl")
CHECK = f"check of {', '.join(CHECKED)}"
BOUND_S = 5.0  # for the most pieces
BOUNDED = {"plan and " + ", ".join(CHECKED): ("plan of strokes", *CHECKED), CHECK: (CHECK,)}

T = TypeVar("T")


def least_s(*words: str) -> tuple[float, float]:
    """Return the least wait for a Python command of a few runs, and the least CPU time, seconds."""
    wait = cpu = float("inf")
    for _ in range(RUNS):
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
        after, end = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        wait = min(wait, end - start)
        cpu = min(cpu, after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime)
    return wait, cpu


def commands() -> None:
    """Print how long each command makes wait, its bound, its CPU time and the ratio to a bare start."""
    bare, _ = least_s("-c", "pass")
    print(f"{'python -c pass':34} {bare:6.2f} s")
    with tempfile.TemporaryDirectory() as folder:
        for words, bound_s in (
            (("--help",), 0.3),
            (("size", str(DEMO)), 0.6),
            (("make", str(DEMO), "--out", os.path.join(folder, "demo")), 6.0),
        ):
            wait, cpu = least_s("-m", "cutfiles", *words)
            name = f"cutfiles {words[0]}"
            print(
                f"{name:34} {wait:6.2f} s, bound {bound_s:g} s,"
                f" {wait / bare:5.1f} × a bare start; CPU {cpu:.2f} s"
            )


def of_many(layout: Layout, pieces: int) -> Layout:
    """Return a layout's loads over and over, until they hold so many pieces, each with its own number."""
    loads: list[Load] = []
    count = 0
    while count < pieces:
        for load in layout.loads:
            laid = []
            for fabric in load.fabrics:
                placements = []
                for placement in fabric.placements:
                    count += 1
                    name = f"{fabric.fabric}-{placement.shape}-{count:04d}"
                    placements.append(replace(placement, piece_id=name, label=f"{fabric.fabric} {count}"))
                laid.append(replace(fabric, placements=tuple(placements)))
            loads.append(replace(load, name=f"load-{len(loads) + 1:03d}", fabrics=tuple(laid)))
    return replace(layout, loads=tuple(loads))


def spent_s(step: Callable[[], T]) -> tuple[float, T]:
    """Return the CPU time of a step in seconds, and what it returns."""
    start = time.process_time()
    result = step()
    return time.process_time() - start, result


def growth() -> None:
    """Print what each step after the nest takes, and how much more of it for twice the pieces."""
    sized = size(DEMO)
    job = sized.job
    layout = nest(cut_list(job, sized.plate), Bed(job.mat, job.machine, job.unit), clock=Clock(None))
    times: dict[str, list[float]] = {}
    for pieces in PIECES:
        runs = []
        for _ in range(TIMES):
            with tempfile.TemporaryDirectory() as folder:
                runs.append(steps(sized, of_many(layout, pieces), Path(folder)))
        for name in runs[0]:
            times.setdefault(name, []).append(min(run[name] for run in runs))
    for name, parts in BOUNDED.items():
        times[name] = [sum(row) for row in zip(*(times[part] for part in parts), strict=True)]
    print(f"{'CPU s for pieces':24}{''.join(f'{pieces:8d}' for pieces in PIECES)}   for twice the pieces")
    for name, row in times.items():
        times_more = ", ".join(f"{b / a:.1f} ×" for a, b in pairwise(row) if a > 0)
        bound = f"; bound {BOUND_S:g} s" if name in BOUNDED else ""
        print(f"{name:24}{''.join(f'{one:8.2f}' for one in row)}   {times_more}{bound}")


def steps(sized: Sized, layout: Layout, folder: Path) -> dict[str, float]:
    """Return the CPU time in seconds of each step from a layout to its files, and of their check."""
    job = sized.job
    times: dict[str, float] = {}
    times["plan of strokes"], plan = spent_s(lambda: plan_cuts(layout, job.mat, job.machine))
    files: dict[str, bytes] = {}
    for name, writer in FORMATS.items():
        times[name], written = spent_s(
            lambda writer=writer: [writer.write(load, style=DEFAULT_STYLE) for load in plan.loads]
        )
        if name in CHECKED:
            files |= {
                f"{one.name}{writer.suffix}": text for one, text in zip(plan.loads, written, strict=True)
            }
    times["job sheet"], _ = spent_s(lambda: job_sheet(job, sized.plate, layout, plan, files=tuple(files)))
    times["layout.json"], text = spent_s(lambda: sealed(layout_json(job, sized.json(), layout, plan), files))
    for file, content in {**files, "layout.json": text}.items():
        (folder / file).write_bytes(content)
    times[CHECK], report = spent_s(lambda: check_paths([folder]))
    # The fabrics' counts are still those of the one layout.
    faults = [one for one in report.findings if one.code != Code.WRONG_COUNT.value]
    if faults:
        raise SystemExit(f"faults, so the times say nothing: {faults[:3]}")
    return times


if __name__ == "__main__":
    collect_seldom()
    commands()
    growth()
