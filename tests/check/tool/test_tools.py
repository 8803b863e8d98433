"""Files for a tool with a width, a trailing knife or an overcut: checked for what the tool leaves."""

from __future__ import annotations

import json
import math
import re
import shutil
from itertools import pairwise
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.pipeline import Options, make, save, size
from tests.conftest import briefly

JOB = """
[plate]
blade_length = "3 in"
inner_radius = "1 in"
tip = "{tip}"

[[fabric]]
name = "tide"
width = 6
length = 4
margin = "{margin}"
cuts = {{ blade = 4 }}

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
width = 10
height = 8

[machine]
{machine}
"""
TOOLS = {
    "kerf": ("folded", "1/8", 'kerf = "0.2 mm"'),
    "kerf as wide as the gap": ("folded", "1/8", 'kerf = "0.2 mm"\ngap = "0.2 mm"'),
    "overcut": ("round", "1/8", 'overcut = "1.5 mm"'),
    "swivel": ("round", "1/8", 'swivel = "1.5 mm"'),
    "swivel, overcut, no gap": ("flat", "1/8", 'swivel = "0.25 mm"\novercut = "1 mm"\ngap = 0'),
    "kerf, large swivel": ("folded", "1/8", 'kerf = "0.1 mm"\nswivel = "2 mm"'),
    "no gap": ("folded", "1/8", "gap = 0"),
    "no gap, fabric's edge left": ("folded", "0", 'gap = 0\nedge = "skip"\novercut = "0.5 mm"'),
    "scaled and kerf": ("folded", "1/8", 'kerf = "0.2 mm"\nscale_x = 1.002\nscale_y = 0.999'),
    "skewed and swivel": ("folded", "1/8", 'swivel = "0.3 mm"\nskew_deg = 0.4'),
    "scaled, round, large swivel": ("round", "1/8", 'swivel = "1.2 mm"\nscale_x = 1.01\novercut = "1 mm"'),
    "swivel, no gap, fabric's edge left": ("flat", "0", 'swivel = "0.4 mm"\ngap = 0\nedge = "skip"'),
}


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("tools")


def made(out: Path, kind: str) -> Path:
    """Make a job once; tests that break files copy the folder."""
    folder = out / re.sub(r"\W+", "-", kind)
    if not folder.exists():
        tip, margin, machine = TOOLS[kind]
        folder.mkdir()
        job = folder / "job.toml"
        job.write_text(JOB.format(tip=tip, margin=margin, machine=machine), encoding="utf-8")
        formats = ("svg", "dxf", "dxf-r12", "hpgl", "sewn-dxf", "pdf")
        save(folder / "cut", make(size(job), Options(formats, around_search=briefly)))
    return folder / "cut"


def broken(out: Path, kind: str, tmp_path: Path) -> Path:
    """A copy to spoil."""
    copy = tmp_path / "cut"
    shutil.copytree(made(out, kind), copy)
    return copy


def with_machine(folder: Path, key: str, value: float) -> None:
    """Have a folder's layout.json say something else of the machine, and nothing of its own sum."""
    path = folder / "layout.json"
    layout = json.loads(path.read_text(encoding="utf-8"))
    layout["machine"][key] = value
    del layout["seal"]
    path.write_text(json.dumps(layout), encoding="utf-8")


def codes(path: Path) -> set[str]:
    return {finding.code for finding in check_paths([path]).findings} - {"changed-file"}


@pytest.mark.parametrize("kind", TOOLS)
def test_our_own_files_have_no_fault_and_nothing_is_cut_twice(out: Path, kind: str) -> None:
    """In both formats, with every tool."""
    report = check_paths([made(out, kind)])
    assert [finding.line() for finding in report.findings] == []
    assert report.pieces == 5
    assert not [note for note in report.notes if "twice" in note]


def test_in_hpgl_too_a_shared_edge_that_nobody_cuts_is_found(out: Path, tmp_path: Path) -> None:
    """With a knife that is walked, a piece cut on three sides only isn't taken for whole."""
    folder = broken(out, "swivel, overcut, no gap", tmp_path)
    plt = folder / "load-01.plt"
    head, pen, cuts = plt.read_text(encoding="ascii").partition("SP2;")
    lines = cuts.strip().splitlines()
    whole = next(line for line in lines if line.startswith("PU"))
    plt.write_text(head + pen + cuts.replace(whole + "\n", ""), encoding="ascii")
    assert {"missing-piece", "open-outline"} <= codes(plt)


def cut_group(text: str) -> tuple[str, str]:
    """What stands before the group of cuts, and the group."""
    head, mark, group = text.partition('id="cut"')
    return head + mark, group


@pytest.mark.parametrize("kind", TOOLS)
@pytest.mark.parametrize("by", [0.05, -0.4])
def test_a_corner_elsewhere_is_found_whatever_the_tool(
    out: Path, kind: str, by: float, tmp_path: Path
) -> None:
    """A single coordinate of the longest cut line in an SVG; only drawings of straight lines are spoiled."""
    folder = broken(out, kind, tmp_path)
    svg = folder / "load-01.svg"
    head, group = cut_group(svg.read_text(encoding="utf-8"))
    lines = re.findall(r'(?:points|d)="([^"]+)"', group)
    line = max(lines, key=len)
    numbers = list(re.finditer(r"(?<=[ ,ML])-?\d+\.\d+", line))
    coordinate = numbers[len(numbers) // 2 // 2 * 2]
    moved = f"{line[: coordinate.start()]}{float(coordinate[0]) + by:.4f}{line[coordinate.end() :]}"
    svg.write_text(head + group.replace(line, moved), encoding="utf-8")
    assert codes(svg)


def test_a_shared_edge_that_nobody_cuts_is_found(out: Path, tmp_path: Path) -> None:
    """With one piece's line gone, its own outline is missing and its neighbours' are open."""
    folder = broken(out, "no gap", tmp_path)
    svg = folder / "load-01.svg"
    head, group = cut_group(svg.read_text(encoding="utf-8"))
    whole = re.search(r'<polygon id="tide-blade-\d+"[^>]*>', group)
    assert whole
    svg.write_text(head + group.replace(whole[0], ""), encoding="utf-8")
    assert {"missing-piece", "open-outline"} <= codes(svg)
    part = re.search(r'<polyline id="tide-blade-\d+"[^>]*>', group)
    assert part
    svg.write_text(head + group.replace(part[0], ""), encoding="utf-8")
    assert "missing-piece" in codes(svg)


def test_a_part_under_a_wrong_name_is_found(out: Path, tmp_path: Path) -> None:
    """A shared outline's own line carries the piece's id."""
    folder = broken(out, "no gap", tmp_path)
    svg = folder / "load-01.svg"
    head, group = cut_group(svg.read_text(encoding="utf-8"))
    renamed = re.sub(r'(<polyline id=")tide-blade-\d+"', r'\1tide-leaf-001"', group, count=1)
    assert renamed != group
    svg.write_text(head + renamed, encoding="utf-8")
    assert codes(svg) == {"wrong-id"}


@pytest.mark.parametrize(("key", "value"), [("kerf_mm", 0.3), ("swivel_mm", 0.1), ("overcut_mm", 0.0)])
def test_files_for_another_tool_are_found(out: Path, key: str, value: float, tmp_path: Path) -> None:
    """A layout that says another kerf, swivel or overcut than the files were written for."""
    tool_of_key = {"kerf_mm": "kerf", "swivel_mm": "swivel", "overcut_mm": "overcut"}
    folder = broken(out, tool_of_key[key], tmp_path)
    with_machine(folder, key, value)
    codes_told = codes(folder)
    assert codes_told & {"bad-layout", "open-outline", "wrong-shape"}


def test_a_line_not_half_a_kerf_outside_is_a_fault_of_the_layout(out: Path, tmp_path: Path) -> None:
    """Where the cut line lies is compared with the shape, by a geometry library."""
    folder = broken(out, "kerf", tmp_path)
    path = folder / "layout.json"
    layout = json.loads(path.read_text(encoding="utf-8"))
    (blade,) = (shape for shape in layout["shapes"] if shape["name"] == "blade")
    blade["line"]["vertices"][0][1] -= 0.02
    del layout["seal"]
    path.write_text(json.dumps(layout), encoding="utf-8")
    lines = [finding.line() for finding in check_paths([folder]).findings]
    assert any("bad-layout" in line and "half the kerf" in line for line in lines)


SWIVELS = [kind for kind, (_, _, machine) in TOOLS.items() if "swivel" in machine]


def hpgl_cuts(text: str) -> list[re.Match[str]]:
    """The coordinates of what pen 2 draws."""
    start = text.index("SP2")
    return list(re.finditer(r"(?<=[DA,])(-?\d+),(-?\d+)", text[start:]))


@pytest.mark.parametrize("kind", SWIVELS)
@pytest.mark.parametrize("by", [12, -40])
def test_a_corner_elsewhere_is_found_where_arcs_are_chords(
    out: Path, kind: str, by: int, tmp_path: Path
) -> None:
    """The end of a long edge of the knife's way in an HP-GL, 0.3 or 1 mm off: its tip misses the outline."""
    folder = broken(out, kind, tmp_path)
    plt = folder / "load-01.plt"
    text = plt.read_text(encoding="ascii")
    start, moves = text.index("SP2"), hpgl_cuts(text)
    places = [(int(move[1]), int(move[2])) for move in moves]
    longest = max(range(1, len(moves)), key=lambda n: math.dist(places[n - 1], places[n]))
    end = moves[longest]
    moved = f"{int(end[1]) + by},{int(end[2]) + by}"
    plt.write_text(text[: start + end.start()] + moved + text[start + end.end() :], encoding="ascii")
    assert codes(plt) & {"wrong-shape", "open-outline", "missing-piece"}


def test_a_knife_that_goes_round_twice_is_found(out: Path, tmp_path: Path) -> None:
    """An HP-GL in which the last line's way is given twice over."""
    folder = broken(out, "skewed and swivel", tmp_path)
    plt = folder / "load-01.plt"
    head, pen, cuts = plt.read_text(encoding="ascii").partition("SP2;")
    last = [line for line in cuts.splitlines() if line.startswith("PU") and "PD" in line][-1]
    way = last.rpartition("PD")[2].rstrip(";")
    plt.write_text(head + pen + cuts.replace(last, last.replace(way, f"{way},{way}")), encoding="ascii")
    assert codes(plt) == {"self-crossing"}


def test_more_than_a_knife_can_be_walked_along_is_refused(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One fault that says so, and no piece is counted."""
    monkeypatch.setattr("cutfiles.findings.limits.MOST_WALKED", 50)
    report = check_paths([made(out, "skewed and swivel") / "load-01.plt"])
    assert [finding.code for finding in report.findings] == ["too-much"]
    assert report.pieces == 0


@pytest.mark.parametrize("swivel_mm", [1e-310, 1e-12])
def test_a_swivel_of_next_to_nothing_never_hangs(out: Path, swivel_mm: float, tmp_path: Path) -> None:
    """A layout that somebody changed: the outlines are told to be open or wrong, and soon."""
    folder = broken(out, "skewed and swivel", tmp_path)
    with_machine(folder, "swivel_mm", swivel_mm)
    assert codes(folder / "load-01.plt") & {"wrong-shape", "open-outline"}


@pytest.mark.parametrize("name", ["load-01.plt", "load-01.svg", "load-01.r12.dxf"])
def test_a_way_for_another_knife_is_found_where_arcs_are_chords(out: Path, name: str, tmp_path: Path) -> None:
    """A layout that says 0.5 mm where the files were written for 0.3: every corner is missed."""
    folder = broken(out, "skewed and swivel", tmp_path)
    with_machine(folder, "swivel_mm", 0.5)
    assert codes(folder / name) & {"wrong-shape", "open-outline"}


def test_a_knifes_way_of_needless_points_is_found_in_hpgl(out: Path, tmp_path: Path) -> None:
    """A long edge of the way in an HP-GL, given anew every tenth of a mm: all its other faults stay away."""
    folder = broken(out, "swivel", tmp_path)
    plt = folder / "load-01.plt"
    text = plt.read_text(encoding="ascii")
    start, spots = text.index("SP2"), hpgl_cuts(text)
    places = [(int(spot[1]), int(spot[2])) for spot in spots]
    longest = max(range(1, len(spots)), key=lambda n: math.dist(places[n - 1], places[n]))
    first, last = places[longest - 1], places[longest]
    steps = math.ceil(math.dist(first, last) / 4)
    between = [
        ",".join(
            str(round(one + (other - one) * step / steps)) for one, other in zip(first, last, strict=True)
        )
        for step in range(1, steps)
    ]
    at = start + spots[longest].start()
    plt.write_text(text[:at] + ",".join(between) + "," + text[at:], encoding="ascii")
    assert codes(plt) == {"needless-points"}


def between(start: tuple[float, float], end: tuple[float, float]) -> list[tuple[float, float]]:
    """Thirty points in a row on the way from one point to another."""
    return [
        tuple(round(one + (other - one) * step / 31, 4) for one, other in zip(start, end, strict=True))
        for step in range(1, 31)
    ]


def test_a_knifes_way_of_needless_points_is_found_in_svg(out: Path, tmp_path: Path) -> None:
    """The longest straight edge of the way, given in thirty-one steps: all its other faults stay away."""
    folder = broken(out, "swivel", tmp_path)
    svg = folder / "load-01.svg"
    head, group = cut_group(svg.read_text(encoding="utf-8"))
    edges = list(re.finditer(r"([-.\d]+)[ ,]([-.\d]+) L([-.\d]+)[ ,]([-.\d]+)", group))
    longest = max(edges, key=lambda edge: math.dist(*ends(edge)))
    points = "".join(f" L{x} {y}" for x, y in between(*ends(longest)))
    at = longest.start(3) - 2
    svg.write_text(head + group[:at] + points + group[at:], encoding="utf-8")
    assert codes(svg) == {"needless-points"}


def ends(edge: re.Match[str]) -> tuple[tuple[float, float], tuple[float, float]]:
    x, y, to_x, to_y = map(float, edge.groups())
    return (x, y), (to_x, to_y)


@pytest.mark.parametrize("name", ["load-01.dxf", "load-01.r12.dxf"])
def test_a_knifes_way_of_needless_points_is_found_in_dxf(out: Path, name: str, tmp_path: Path) -> None:
    """The longest line of the way, given as thirty-one that follow each other."""
    folder = broken(out, "swivel", tmp_path)
    text = (folder / name).read_text(encoding="ascii")
    group = r"\n *{0}\n(?P<x{0}>[-.\d]+)\n *{1}\n(?P<y{0}>[-.\d]+)"
    line = re.compile(
        r"  0\nLINE\n(?:(?!  0\n).*\n)*?  8\nCUT(?:\n100\nAcDbLine)?"
        + group.format(10, 20)
        + r"(?:\n *30\n[.0]+)?"
        + group.format(11, 21)
        + r"(?:\n *31\n[.0]+)?\n"
    )

    def reach(edge: re.Match[str]) -> tuple[tuple[float, float], tuple[float, float]]:
        x, y, to_x, to_y = map(float, edge.group("x10", "y10", "x11", "y11"))
        return (x, y), (to_x, to_y)

    longest = max(line.finditer(text), key=lambda edge: math.dist(*reach(edge)))
    start, end = reach(longest)
    entities = ""
    for number, steps in enumerate(pairwise([start, *between(start, end), end])):
        entity = re.sub(r"\n  5\n(.*)\n", rf"\n  5\nF{number:02X}\1\n", longest.group())
        for code, value in zip((10, 20, 11, 21), (*steps[0], *steps[1]), strict=True):
            entity = re.sub(rf"\n {code}\n.*\n", f"\n {code}\n{value}\n", entity)
        entities += entity
    changed = text[: longest.start()] + entities + text[longest.end() :]
    (folder / name).write_text(changed, encoding="ascii")
    assert codes(folder / name) == {"needless-points"}
