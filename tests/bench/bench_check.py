"""How long `check` takes, and how that grows: `python -m tests.bench.bench_check`.

Blades with their sew and fold lines and sixty strokes of lettering each, all in one load, as files of our own
writers. Times are CPU seconds of the check alone. A second row has long labels in their place, as the pen
writes them: some forty strokes of two hundred and fifty edges a blade.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from cutfiles.check.check import check_paths
from cutfiles.cli.collector import collect_seldom
from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import bounds, line
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import MatSpec
from cutfiles.job.parse.read import read_job
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.output.layout_json import layout_json, sealed
from cutfiles.output.machine_files import machine_files
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.plate.sizes import sizes_json
from cutfiles.toolpath.toolpath import plan_cuts

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
draw = ["sew", "fold"{label}]
[output]
files = ["svg"]
"""
FORMATS = ("svg", "dxf", "hpgl")
FILES = ("load-01.svg", "load-01.dxf", "load-01.plt")
LABEL = "samphire {} harbour side"  # fills a blade with strokes


def laid_out(folder: Path, *, pieces: int, loads: int, long_labels: bool) -> Path:
    """Write a folder as `make` would, its blades on a grid in place of a nest."""
    path = folder / "job.toml"
    text = JOB.replace("{label}", ', "label", "grain", "notch"' if long_labels else "")
    path.write_text(text, encoding="utf-8")
    job = read_job(path)
    plate = plate_of(job)
    shapes = tuple(piece for piece in cut_list(job, plate).shapes)
    blade = next(shape for shape in shapes if shape.name == "blade")
    left, low, right, high = bounds(blade.cut)
    # As tight as the gap allows: neighbours have to be measured.
    step = (right - left + job.machine.gap_mm, high - low + job.machine.gap_mm)
    each = -(-pieces // loads)
    columns = max(1, round((each * step[1] / step[0]) ** 0.5))
    width, height = columns * step[0] + 80, -(-each // columns) * step[1] + 80
    mat = MatSpec(width, height, job.mat.margin_mm)
    whole = []
    number = 0
    for load in range(loads):
        placements = []
        for index in range(min(each, pieces - number)):
            number += 1
            x, y = 70 + index % columns * step[0], index // columns * step[1] + 10
            placements.append(
                Placement(f"samphire-blade-{number:04d}", "blade", number, LABEL.format(number), Pose(x, y))
            )
        cloth = PlacedFabric(
            "samphire", load + 1, 30, 30, width - 60, height - 60, 0, 0, None, tuple(placements)
        )
        whole.append(Load(f"load-{load + 1:02d}", (cloth,)))
    layout = Layout(shapes, tuple(whole), (), (), (), ())
    job = replace(job, mat=mat)
    plan = plan_cuts(layout, mat, job.machine)
    if not long_labels:
        plan = replace(plan, loads=tuple(_lettered(load) for load in plan.loads))
    files = machine_files(plan, FORMATS)
    files["layout.json"] = sealed(layout_json(job, sizes_json(plate, ()), layout, plan), files)
    for name, content in files.items():
        (folder / name).write_bytes(content)
    strokes = sum(len(one.strokes) for one in plan.loads)
    print(json.dumps({"pieces": pieces, "strokes": strokes, "kB": sum(map(len, files.values())) // 1000}))
    return folder


def _lettered(load: LoadPlan) -> LoadPlan:
    """The load with sixty strokes of 2 mm in each blade."""
    strokes = []
    for stroke in load.strokes_of(Tool.CUT):
        left, low, right, high = bounds(stroke.path)
        x, y = (left + right) / 2 - 6, (low + high) / 2
        spots = [(x + step % 10 * 1.2, y + step // 10 * 3) for step in range(60)]
        strokes += [Stroke(Tool.DRAW, line((a, b), (a + 0.7, b + 2)), stroke.piece_id) for a, b in spots]
    return replace(load, strokes=(*strokes, *load.strokes))


def spent_s(paths: list[Path]) -> float:
    """Return the CPU time of one check, seconds."""
    start = time.process_time()
    report = check_paths(paths)
    spent = time.process_time() - start
    if report.findings:
        print(report.findings[:5])
    return spent


if __name__ == "__main__":
    collect_seldom()
    for pieces in map(int, sys.argv[1:] or ("300", "600", "1200", "2400")):
        for long_labels in (False, True):
            with tempfile.TemporaryDirectory() as name:
                folder = laid_out(Path(name), pieces=pieces, loads=1, long_labels=long_labels)
                for file in FILES:
                    print(f"  {file:14} {spent_s([folder / file]):6.2f} s")
                print(f"  {'the folder':14} {spent_s([folder]):6.2f} s")
