"""Files of templates, broken on purpose, in every format that a machine opens."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cutfiles.check.check import check_paths
from cutfiles.pipeline import Options, make, save, size
from tests.check.drawings import codes_of
from tests.conftest import briefly

Json = dict[str, Any]

JOB = """
[plate]
blade_length = "4 3/4"
inner_radius = "1 1/4"
[centre]
[[template]]
shape = "blade"
[[template]]
shape = "centre-ring"
[stock]
width = "300 mm"
height = "200 mm"
kerf = "0.2 mm"
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a sheet of templates in five formats."""
    folder = tmp_path_factory.mktemp("templates")
    job = folder / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    save(
        folder / "out",
        make(size(job), Options(("svg", "dxf", "dxf-r12", "hpgl", "pdf"), around_search=briefly)),
    )
    return folder / "out"


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    """A copy to break."""
    copy = tmp_path / "out"
    shutil.copytree(made, copy)
    return copy


def _edit(path: Path, change: Callable[[str], str]) -> None:
    text = path.read_text(encoding="utf-8")
    changed = change(text)
    assert changed != text
    path.write_text(changed, encoding="utf-8")


def _layout(folder: Path, change: Callable[[Json], None]) -> None:
    path = folder / "layout.json"
    whole = json.loads(path.read_text(encoding="utf-8"))
    change(whole["templates"])
    path.write_text(json.dumps(whole), encoding="utf-8")


def test_templates_are_sound_as_they_are(folder: Path) -> None:
    """Two parts in each of five files, their holes among them; nothing to find."""
    report = check_paths([folder])
    assert report.findings == ()
    assert (report.files, report.pieces) == (5, 2)


def _hole(text: str) -> str:
    circle = re.search(r'<circle [^>]*id="stock-blade-001-inner-1"[^>]*/>', text)
    assert circle is not None
    return circle[0]


BROKEN: dict[str, tuple[set[str], Callable[[str], str]]] = {
    "hole left out": ({"missing-piece"}, lambda text: text.replace(_hole(text), "")),
    "hole moved": (
        {"missing-piece", "extra-piece", "piece-in-piece"},
        lambda text: text.replace(_hole(text), re.sub(r'cy="([0-9]+)', r'cy="9', _hole(text))),
    ),
    "hole cut last": (
        {"inner-after-outer"},
        lambda text: text.replace(_hole(text), "").replace("</g></svg>", f"{_hole(text)}</g></svg>"),
    ),
    "hole of another name": (
        {"wrong-id"},
        lambda text: text.replace("stock-blade-001-inner-1", "stock-blade-001-inner-7"),
    ),
    "engraved through a hole": (
        {"stray-mark"},
        lambda text: text.replace("</g>", _through(text) + "</g>", 1),
    ),
    "engraved beside every part": (
        {"stray-mark"},
        lambda text: text.replace("</g>", '<line x1="298" x2="299" y1="1" y2="2" /></g>', 1),
    ),
}  # fmt: skip


def _through(text: str) -> str:
    values = dict(re.findall(r'(cx|cy|r)="([0-9.]+)"', _hole(text)))
    x, y = float(values["cx"]), float(values["cy"])
    return f'<line x1="{x - 1}" x2="{x + 1}" y1="{y}" y2="{y}" />'


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_broken_is_found(folder: Path, name: str) -> None:
    """With its own code; the sum tells, too."""
    wanted, change = BROKEN[name]
    file = folder / "template-01.svg"
    _edit(file, change)
    codes_told = codes_of(file)
    assert wanted & codes_told
    assert "changed-file" in codes_told
    assert codes_told - {"changed-file", "formats-differ"} <= wanted


def test_a_hole_gone_from_a_dxf_is_missed(folder: Path) -> None:
    """There it has no name; its place and size tell."""
    file = folder / "template-01.dxf"
    text = file.read_text(encoding="ascii")
    circles = [
        circle
        for circle in re.finditer(r"  0\nCIRCLE\n.*?(?=  0\n)", text, re.DOTALL)
        if "\n2.4\n" in circle[0]
    ]
    assert len(circles) == 1
    file.write_text(text.replace(circles[0][0], ""), encoding="ascii")
    assert "missing-piece" in codes_of(file)


def test_holes_without_a_layout_are_known_by_name(folder: Path) -> None:
    """In SVG; DXF has no names, so there a hole is an outline in another."""
    (folder / "layout.json").unlink()
    assert codes_of(folder / "template-01.svg") == set()
    assert "piece-in-piece" in codes_of(folder / "template-01.dxf")
    _edit(folder / "template-01.svg", BROKEN["hole cut last"][1])
    assert codes_of(folder / "template-01.svg") == {"inner-after-outer"}


def _set(*keys: str | int, to: float) -> Callable[[Json], None]:
    def change(templates: Json) -> None:
        within = templates
        for key in keys[:-1]:
            within = within[key]
        within[keys[-1]] = to

    return change


def _move_hole(templates: Json, to: float) -> None:
    """With what is cut for it, so that nothing but its place is wrong."""
    for key in ("inner", "inner_lines"):
        templates["shapes"][0][key][0]["circle"][0] = to


# The blade's shape comes first.
IN_LAYOUT: dict[str, tuple[str, Callable[[Json], None]]] = {
    "a hole off its kerf": ("bad-layout", _set("shapes", 0, "inner_lines", 0, "circle", 2, to=2.5)),
    "a hole outside": ("bad-layout", lambda layout: _move_hole(layout, 90.0)),
    "too thin a web": ("too-near", _set("stock", "web_mm", to=7.0)),
    "holes and lines": ("bad-layout", lambda layout: layout["shapes"][0]["inner_lines"].clear()),
    "a part too many": ("wrong-count", _set("fabrics", 0, "counts", 0, "count", to=2)),
    "gap": ("too-near", _set("machine", "gap_mm", to=150.0)),
    "margin": ("off-fabric", _set("loads", 0, "fabrics", 0, "margin_mm", to=60.0)),
}


@pytest.mark.parametrize("name", IN_LAYOUT)
def test_the_layouts_own_part_is_measured(folder: Path, name: str) -> None:
    """Holes, webs, counts, gap and margin of the stock."""
    code, change = IN_LAYOUT[name]
    _layout(folder, change)
    findings = check_paths([folder]).findings
    assert code in {finding.code for finding in findings if finding.file.endswith("layout.json")}


def test_a_sheet_that_is_gone_is_missed(folder: Path) -> None:
    """And one that is left over is told."""
    (folder / "template-01.svg").rename(folder / "template-07.svg")
    assert {"missing-file", "extra-file"} <= codes_of(folder)
