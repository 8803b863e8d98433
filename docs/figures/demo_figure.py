"""The README's picture: `python docs/figures/demo_figure.py > docs/figures/harbour-runner.svg`."""

from __future__ import annotations

import sys
from pathlib import Path

from lxml import etree

from cutfiles.nest.base.clock import Clock
from cutfiles.nest.kitting.plates import with_plates
from cutfiles.nest.nest import Bed, nest
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pipeline import size
from cutfiles.sheet.markup.markup import svg
from cutfiles.sheet.pictures.cloth import Cloths
from cutfiles.sheet.pictures.load import Bench, load_drawing
from cutfiles.sheet.pictures.plate import plate_drawing
from cutfiles.sheet.sections.order import plate_fills
from cutfiles.toolpath.toolpath import plan_cuts

DEMO = Path(__file__).parents[2] / "fixtures/jobs/harbour-runner/job.toml"
LOAD = 2  # samphire, the fat quarter
HIGH = 420


def figure() -> bytes:
    """Return the plate beside one load, as SVG on white."""
    sized = size(DEMO)
    job = sized.job
    layout = nest(cut_list(job, sized.plate), Bed(job.mat, job.machine, job.unit), clock=Clock(None))
    layout = with_plates(layout, sized.plate, job.plate.order)
    cloths = Cloths.of(job, {})
    plan = plan_cuts(layout, job.mat, job.machine)
    bench = Bench(layout, job.mat, job.machine.register, cloths)
    pictures = [
        plate_drawing(sized.plate, job.unit, plate_fills(sized.plate, layout, cloths)),
        load_drawing(layout.loads[LOAD], plan.loads[LOAD], bench),
    ]
    x = 0.0
    for picture in pictures:
        _, _, width, height = map(float, picture.get("viewBox", "").split())
        shown = HIGH * width / height
        picture.set("x", f"{x:g}")
        picture.set("y", "0")
        picture.set("width", f"{shown:.0f}")
        picture.set("height", str(HIGH))
        x += round(shown) + 24
    wide = f"{x - 24:g}"
    page = svg(
        "svg",
        svg("rect", width=wide, height=str(HIGH), fill="#fff"),
        *pictures,
        viewBox=f"0 0 {wide} {HIGH}",
        width=wide,
        height=str(HIGH),
    )
    return bytes(etree.tostring(page)) + b"\n"


if __name__ == "__main__":
    sys.stdout.buffer.write(figure())
