"""Where fabric is laid is drawn, never cut, in all formats with layers; what of it is wrong is found."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cutfiles.check.check import check_paths
from cutfiles.formats.model.drawing import Layer
from cutfiles.formats.registry import FORMATS
from cutfiles.geometry.outline import Path as Outline
from cutfiles.output.layout_json import LAYOUT_NAME
from tests.conftest import MakeJob

JOB = """
[plate]
blades = 20
sewn = 3
blade_length = "4 3/4"
inner_radius = "1 1/4"

[[fabric]]
name = "tide"
width = 6
length = 5
cuts = {{ blade = 2 }}

[[fabric]]
name = "shingle"
outline = [[0, 0], [4, 0], [5, 6], [0.5, 6.5]]
cuts = {{ blade = 1 }}

[mat]
width = 12
height = 12

[machine]
place = {place}
{machine}

[output]
split = {split}
"""
WITH_LAYERS = ("svg", "dxf", "dxf-r12", "pdf")
WITHOUT = ("hpgl", "sewn-dxf")


def _job(*, place: bool = True, machine: str = "", split: bool = False) -> str:
    return JOB.format(place=str(place).lower(), machine=machine, split=str(split).lower())


def _layout(folder: Path) -> Any:
    return json.loads((folder / LAYOUT_NAME).read_text(encoding="utf-8"))


def _found(folder: Path, layout: Any, name: str) -> list[str]:
    """Which codes a file has against a layout that was changed; its sum isn't asked for."""
    layout.pop("seal", None)
    layout.pop("files", None)
    (folder / LAYOUT_NAME).write_text(json.dumps(layout), encoding="utf-8")
    findings = check_paths([folder / f"load-01{FORMATS[name].suffix}"]).findings
    return [finding.code for finding in findings]


@pytest.mark.parametrize("machine", ["", "scale_x = 1.01\nskew_deg = 0.5", 'register = "none"\ndraw = []'])
def test_every_fabric_has_its_outline_just_where_it_lies(make_job: MakeJob, machine: str) -> None:
    """By the layout's own numbers, also on a machine that isn't true; without faults in any format."""
    folder = make_job(_job(machine=machine), (*WITH_LAYERS, *WITHOUT))
    assert list(check_paths([folder]).findings) == []
    if machine.startswith("scale"):
        return
    fabrics = _layout(folder)["loads"][0]["fabrics"]
    for name in (*WITH_LAYERS, *WITHOUT):
        kind = FORMATS[name]
        drawing = kind.read((folder / f"load-01{kind.suffix}").read_bytes(), layers={}).drawing
        outlines = [item.path for item in drawing.on(Layer.PLACE)]
        assert len(outlines) == (len(fabrics) if name in WITH_LAYERS else 0)
        if name in WITHOUT:
            continue
        for fabric in fabrics:
            corners = fabric.get("outline") or _corners(fabric)
            assert any(_has(outline, corners, kind=name) for outline in outlines)


def _corners(fabric: Any) -> list[tuple[float, float]]:
    wide, long = fabric["width_mm"], fabric["length_mm"]
    wide, long = (long, wide) if fabric["turn_deg"] else (wide, long)
    x, y = fabric["x_mm"], fabric["y_mm"]
    return [(x, y), (x + wide, y), (x + wide, y + long), (x, y + long)]


def _has(outline: Any, corners: list[tuple[float, float]], *, kind: str) -> bool:
    assert isinstance(outline, Outline)
    near = 0.003 if kind == "pdf" else 1e-4
    return outline.closed and all(
        any(abs(x - vertex.x) < near and abs(y - vertex.y) < near for vertex in outline.vertices)
        for x, y in corners
    )


def test_in_two_files_it_is_in_the_pen_s(make_job: MakeJob) -> None:
    """Also where the pen has nothing else to draw."""
    for machine in ("", "draw = []"):
        folder = make_job(_job(split=True, machine=machine), ("svg", "dxf"))
        assert list(check_paths([folder]).findings) == []
        read = FORMATS["svg"].read
        pen, knife = (
            read((folder / f"load-01-{part}.svg").read_bytes(), layers={}).drawing for part in ("draw", "cut")
        )
        assert len(pen.on(Layer.PLACE)) == 2
        assert not knife.on(Layer.PLACE)


def _moved(layout: Any) -> None:
    """The scrap's edge a hundredth of a mm elsewhere; its pieces stay on it."""
    scrap = next(laid for laid in layout["loads"][0]["fabrics"] if laid["fabric"] == "shingle")
    scrap["outline"][0][0] -= 0.01


FAULTS: dict[str, tuple[bool, Callable[[Any], None]]] = {
    "missing": (False, lambda layout: layout["machine"].update(place=True)),
    "not asked for": (True, lambda layout: layout["machine"].pop("place")),
    "moved": (True, _moved),
}


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("name", [*WITH_LAYERS, *WITHOUT])
def test_what_is_wrong_with_it_is_found(make_job: MakeJob, fault: str, name: str) -> None:
    """Files of one job beside the layout of the other; in HP-GL and by the piece there is none to find."""
    place, change = FAULTS[fault]
    folder = make_job(_job(place=place), (*WITH_LAYERS, *WITHOUT))
    layout = _layout(folder)
    assert _found(folder, layout, name) == []
    change(layout)
    found = _found(folder, layout, name)
    assert set(found) == ({"wrong-placing"} if name in WITH_LAYERS else set())


def test_it_comes_before_all_that_is_drawn(make_job: MakeJob) -> None:
    """Run after the pen's own lines it would be drawn on the fabric."""
    folder = make_job(_job(machine='draw = ["sew"]'), ("svg",))
    file = folder / "load-01.svg"
    text = file.read_text(encoding="utf-8")
    begin, end = text.index('<g fill="none" id="place"'), text.index('<g fill="none" id="draw"')
    cut = text.index('<g fill="none" id="register"')
    file.write_text(text[:begin] + text[end:cut] + text[begin:end] + text[cut:], encoding="utf-8")
    assert _found(folder, _layout(folder), "svg") == ["wrong-order"]
