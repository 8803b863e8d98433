"""How long `check` takes, and how that grows: `python -m tests.bench.bench_check`.

Blades with their sew lines and about sixty strokes of lettering each, in one load and in many, as files of
our own writers. Times are CPU seconds of the check alone.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from cutfiles.check.check import check_paths
from cutfiles.core.pose import Pose
from cutfiles.files.layout_json import layout_json, sealed
from cutfiles.files.writers import WRITERS, machine_files
from cutfiles.job.model import MatSpec
from cutfiles.job.read import read_job
from cutfiles.nest.layout import LaidFabric, Layout, Load, Placement
from cutfiles.passes.passes import plan_cuts
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.plate.sizes import sizes_json

JOB = """
[plate]
count = 1
blades = 20
blade_length = "4 3/4"
inner_radius = "1 1/4"
[[fabric]]
name = "samphire"
width = 400
length = 400
grain = "any"
cuts = { blade = "fill" }
[mat]
width = 400
height = 400
[machine]
gap = "1/16"
draw = ["sew", "fold", "label", "grain", "notch"]
[output]
files = ["svg"]
"""
STEP_MM = (70.0, 130.0)
LABEL = "samphire {} harbour side"  # fills a blade with strokes


def laid_out(folder: Path, *, pieces: int, loads: int) -> Path:
    """Write a folder as `make` would, its blades on a grid in place of a nest."""
    path = folder / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    job = read_job(path)
    plate = plate_of(job)
    shapes = tuple(piece for piece in cut_list(job, plate).shapes)
    blade = next(shape for shape in shapes if shape.name == "blade")
    each = -(-pieces // loads)
    columns = max(1, round((each * STEP_MM[1] / STEP_MM[0]) ** 0.5))
    width, height = columns * STEP_MM[0] + 80, -(-each // columns) * STEP_MM[1] + 80
    mat = MatSpec(width, height, job.mat.margin_mm)
    whole = []
    number = 0
    for load in range(loads):
        placements = []
        for index in range(min(each, pieces - number)):
            number += 1
            x, y = 70 + index % columns * STEP_MM[0], index // columns * STEP_MM[1] + 10
            placements.append(
                Placement(f"samphire-blade-{number:04d}", "blade", number, LABEL.format(number), Pose(x, y))
            )
        cloth = LaidFabric(
            "samphire", load + 1, 30, 30, width - 60, height - 60, 0, 0, None, tuple(placements)
        )
        whole.append(Load(f"load-{load + 1:02d}", (cloth,)))
    layout = Layout(shapes, tuple(whole), (), (), (), ())
    job = replace(job, mat=mat)
    plan = plan_cuts(layout, mat, job.machine)
    files = machine_files(plan, tuple(WRITERS))
    del blade
    files["layout.json"] = sealed(layout_json(job, sizes_json(plate, ()), layout, plan), files)
    for name, content in files.items():
        (folder / name).write_bytes(content)
    strokes = sum(len(one.strokes) for one in plan.loads)
    print(json.dumps({"pieces": pieces, "strokes": strokes, "kB": sum(map(len, files.values())) // 1000}))
    return folder


def spent_s(paths: list[Path]) -> float:
    """Return the CPU time of one check, seconds."""
    start = time.process_time()
    report = check_paths(paths)
    spent = time.process_time() - start
    if report.findings:
        print(report.findings[:5])
    return spent


if __name__ == "__main__":
    for pieces in map(int, sys.argv[1:] or ("300", "600", "1200", "2400")):
        with tempfile.TemporaryDirectory() as name:
            folder = laid_out(Path(name), pieces=pieces, loads=1)
            for suffix in sorted({one.suffix for one in WRITERS.values()}):
                print(f"  {suffix:10} {spent_s(sorted(folder.glob(f'*{suffix}'))):6.2f} s")
            print(f"  {'folder':10} {spent_s([folder]):6.2f} s")
