"""Whatever the tool and the machine: what `make` writes, `check` reads without a fault, in every format."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.check.check import check_paths
from cutfiles.pipeline import Options, make, save, size
from tests.conftest import with_insertion

Tool = dict[str, str]
FORMATS = ("svg", "dxf", "dxf-r12", "hpgl", "sewn-dxf", "pdf")
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
    keys = {"gap": mm(gap), "kerf": mm(kerf)}
    for key, values in {
        "swivel": ["0", "0", mm(0.25), mm(0.9), mm(2.0), mm(4.5)],
        "overcut": ["0", "0", mm(0.3), mm(1.0), mm(3.0)],
        "edge": ['"cut"', '"skip"'],
        "scale_x": ["1", "1", "1.01", "0.995"],
        "skew_deg": ["0", "0", "0.4", "-1.2"],
        "hpgl_arcs": ['"chords"', '"arcs"'],
        "register": ['"none"', '"cross"', '"ring"'],
    }.items():
        keys[key] = draw(st.sampled_from(values))
    keys["scale_y"] = draw(st.sampled_from(["1", "0.998", keys["scale_x"]]))
    return keys


def lines_of(tool: Tool) -> str:
    """Return the lines that say so."""
    return "\n".join(f"{key} = {value}" for key, value in tool.items())


KNIFE = {"gap": '"2 mm"', "kerf": '"0.1 mm"', "swivel": '"2 mm"', "overcut": '"1 mm"', "hpgl_arcs": '"arcs"'}
BEAM = {"gap": '"1.6 mm"', "kerf": '"0.3 mm"', "overcut": '"1 mm"', "scale_x": "1.01", "hpgl_arcs": '"arcs"'}
SHARED = {"gap": "0", "swivel": '"4.5 mm"', "overcut": '"3 mm"', "scale_x": "0.995", "scale_y": "0.998"}
LEANING = {"gap": '"0.1 mm"', "kerf": '"0.1 mm"', "swivel": '"4.5 mm"', "skew_deg": "-1.2"}
EDGE = {"gap": '"0.1 mm"', "kerf": '"0.1 mm"', "swivel": '"4.5 mm"', "edge": '"skip"'}


@settings(max_examples=3, deadline=None)
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
        save(folder / "cut", make(size(job), Options(FORMATS, around_search=with_insertion, calibrate=True)))
        report = check_paths([folder / "cut"])
    assert [finding.line() for finding in report.findings] == []


SHAPES = {
    "square": "[[0, 0], [2, 0], [2, 2], [0, 2]]",
    "half": "[[0, 0], [2, 0], [0, 2]]",
    "ell": "[[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]]",
}
TOUCHING = """
[plate]
blade_length = "1 3/4 in"
inner_radius = "3/4 in"

[[outline]]
name = "{shape}"
points = {points}
count = 2
seam = 0

[[fabric]]
name = "tide"
width = {width}
length = {length}
margin = 0
{cloth}
cuts = {{ {shape} = "fill" }}

[[fabric]]
name = "lantern"
width = 2
length = 2
margin = 0
cuts = {{ blade = "fill" }}

[machine]
gap = 0
{machine}
"""


@st.composite
def cloths(draw: st.DrawFn) -> dict[str, object]:
    """A cloth filled from edge to edge, whole, with a flaw or a slanted edge; cut all round or not."""
    width, length = draw(st.sampled_from([4, 6])), draw(st.sampled_from([4, 6]))
    at = draw(st.integers(0, width - 2))
    flaw = f"avoid = [{{ x = {at}, y = {draw(st.integers(0, length - 2))}, width = 1, length = 1 }}]"
    scrap = (
        f"outline = [[0, 0], [{width}, 0], [{width}, {length - 1}], [{width - 2}, {length}], [0, {length}]]"
    )
    return {
        "width": width,
        "length": length,
        "cloth": draw(st.sampled_from(["", flaw, scrap])),
        "shape": draw(st.sampled_from(sorted(SHAPES))),
        "edge": draw(st.sampled_from(["cut", "skip"])),
        "swivel": draw(st.sampled_from(["0", mm(0.9)])),
        "overcut": draw(st.sampled_from(["0", mm(1.0)])),
    }


def _cloth(shape: str, cloth: str = "", **others: object) -> dict[str, object]:
    return {
        "width": 6,
        "length": 4,
        "cloth": cloth,
        "shape": shape,
        "edge": "skip",
        "swivel": "0",
        "overcut": "0",
        **others,
    }


FLAWED = "avoid = [{ x = 1, y = 0, width = 1, length = 1 }]"
CLIPPED = "outline = [[0, 0], [6, 0], [6, 5], [4, 6], [0, 6]]"


@settings(max_examples=2, deadline=None)
@example(cloth=_cloth("square"))  # neighbours and the cloth's edge leave the last square no line of its own
@example(cloth=_cloth("ell", length=6, edge="cut"))  # the rests of two neighbours meet end to end
@example(cloth=_cloth("ell", CLIPPED, length=6, overcut=mm(1.0)))
@example(cloth=_cloth("half", FLAWED, overcut=mm(1.0)))  # halves along a slanted line, off by a double's bit
# A knife runs on straight along the neighbour's edge: without names, in DXF and HP-GL, that is one line.
@example(cloth=_cloth("half", swivel=mm(0.9)))
@given(cloth=cloths())
def test_pieces_that_touch_keep_their_names(cloth: dict[str, object]) -> None:
    """At gap 0, with flaws, scraps and skipped edges, file and layout name the same piece in every format."""
    tool = {"edge": f'"{cloth["edge"]}"', "swivel": str(cloth["swivel"]), "overcut": str(cloth["overcut"])}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        job = folder / "job.toml"
        points = SHAPES[str(cloth["shape"])]
        job.write_text(TOUCHING.format(machine=lines_of(tool), points=points, **cloth), encoding="utf-8")
        save(folder / "cut", make(size(job), Options(FORMATS, around_search=with_insertion)))
        report = check_paths([folder / "cut"])
    assert [finding.line() for finding in report.findings] == []
