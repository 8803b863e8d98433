"""Whatever the tool and the machine: what `make` writes, `check` reads without a fault, in every format."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.check.check import check_paths
from cutfiles.pipeline import Options, make, save, size

Tool = dict[str, str]
JOB = """
[plate]
blade_length = "3 in"
inner_radius = "1 in"
tip = "folded"

[centre]

[[fabric]]
name = "tide"
width = 6
length = 4
margin = 0
cuts = {{ blade = 4 }}

[[fabric]]
name = "lantern"
width = 4
length = 4
cuts = {{ centre = 1 }}

[[outline]]
name = "arch"
points = [[0, 0], [1, 0], [1.4, 1], [0.5, 0.6], [-0.4, 1]]
count = 1
seam = 0

[[fabric]]
name = "shingle"
width = 3
length = 3
cuts = {{ arch = 1, blade = "fill" }}

[mat]
width = 11
height = 12

[machine]
{machine}
"""


def mm(value: float) -> str:
    """Return a length as a job has it."""
    return f'"{value} mm"'


@st.composite
def tools(draw: st.DrawFn) -> Tool:
    """A beam or a knife, wide or narrow, trailing or not, on a machine that is true or not."""
    kerf = draw(st.sampled_from([0.0, 0.0, 0.1, 0.3, 1.5]))
    gap = max(kerf, draw(st.sampled_from([0.0, kerf, 1.6, 2.0])))
    found = {"gap": mm(gap), "kerf": mm(kerf)}
    for key, values in {
        "swivel": ["0", "0", mm(0.25), mm(0.9), mm(2.0), mm(4.5)],
        "overcut": ["0", "0", mm(0.3), mm(1.0), mm(3.0)],
        "edge": ['"cut"', '"skip"'],
        "scale_x": ["1", "1", "1.01", "0.995"],
        "skew_deg": ["0", "0", "0.4", "-1.2"],
        "hpgl_arcs": ['"chords"', '"arcs"'],
        "register": ['"none"', '"cross"', '"ring"'],
    }.items():
        found[key] = draw(st.sampled_from(values))
    found["scale_y"] = draw(st.sampled_from(["1", "0.998", found["scale_x"]]))
    return found


def lines_of(tool: Tool) -> str:
    """Return the lines that say so."""
    return "\n".join(f"{key} = {value}" for key, value in tool.items())


KNIFE = {"gap": '"2 mm"', "kerf": '"0.1 mm"', "swivel": '"2 mm"', "overcut": '"1 mm"', "hpgl_arcs": '"arcs"'}
BEAM = {"gap": '"1.6 mm"', "kerf": '"0.3 mm"', "overcut": '"1 mm"', "scale_x": "1.01", "hpgl_arcs": '"arcs"'}
SHARED = {"gap": "0", "swivel": '"4.5 mm"', "overcut": '"3 mm"', "scale_x": "0.995", "scale_y": "0.998"}
LEANING = {"gap": '"0.1 mm"', "kerf": '"0.1 mm"', "swivel": '"4.5 mm"', "skew_deg": "-1.2"}
EDGE = {"gap": '"0.1 mm"', "kerf": '"0.1 mm"', "swivel": '"4.5 mm"', "edge": '"skip"'}


@settings(max_examples=8, deadline=None)
@example(tool=KNIFE)
@example(tool=BEAM)
@example(tool=SHARED)
@example(tool=LEANING)
@example(tool=EDGE)
@given(tool=tools())
def test_our_own_files_are_sound(tool: Tool) -> None:
    """Blades, a disc and an outline with a bay, on fabric's edge, in six formats and calibrated."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        job = folder / "job.toml"
        job.write_text(JOB.format(machine=lines_of(tool)), encoding="utf-8")
        formats = ("svg", "dxf", "dxf-r12", "hpgl", "sewn-dxf", "pdf")
        save(folder / "cut", make(size(job), Options(formats, calibrate=True)))
        report = check_paths([folder / "cut"])
    assert [finding.line() for finding in report.findings] == []
