"""HP-GL in the ways that others write it. Commands and units: HP PCL 5 reference manual, part II."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.check.shapes.contours import same_outline
from cutfiles.core.errors import UnreadableError
from cutfiles.findings import limits
from cutfiles.findings.limits import TooMuchError
from cutfiles.formats.hpgl import read_plotter
from cutfiles.formats.hpgl.read import read_hpgl
from cutfiles.formats.model.drawing import Layer, Reading
from cutfiles.geometry.outline import Circle, arc_of, ring
from cutfiles.geometry.outline import Path as Chain


def _read(commands: str, pen: int = 2) -> Reading:
    return read_hpgl(f"IN;DF;SP{pen};{commands}PU;SP0;".encode())


def _cut(commands: str) -> Chain | Circle:
    reading = _read(commands)
    assert (reading.faults, reading.notes) == ((), ())
    (item,) = reading.drawing.items
    assert item.layer is Layer.CUT
    return item.path


SQUARES = [
    "PU400,400;PD800,400;PD800,800;PD400,800;PD400,400;",
    "PU400,400;PD800,400,800,800,400,800,400,400;",
    "PA400,400;PD;PA800,400,800,800;PA400,800,400,400;",
    "PU400,400;PR;PD400,0,0,400,-400,0,0,-400;PA;",
    "pu400 400 pd800 400 800 800 400 800 400 400;",
    "PU400,400PD800,400PD800,800PD400,800PD400,400",
    "VS20;FS80,2;PU 400.0 , 400.0 ;\nPD\n800,400,\n800,800,400,800,400,400;",
    "\x1b%0B PU400,400;PD800,400,800,800,400,800,400,400;",
]


@pytest.mark.parametrize("commands", SQUARES)
def test_one_square_in_all_the_ways_of_hpgl(commands: str) -> None:
    """400 plotter units are 10 mm: absolute or relative, with or without what may be left out."""
    assert same_outline(_cut(commands), ring((10, 10), (20, 10), (20, 20), (10, 20)), within_mm=1e-9)


def test_an_arc_about_a_point_sweeps_as_it_says() -> None:
    """AA 90 degrees from the right of its centre goes to its top; AR counts from where the pen is."""
    about = "PU800,400;PD;AA400,400,90;PD400,400,800,400;"
    beside = "PU800,400;PD;AR-400,0,90,5;PD400,400,800,400;"
    for commands in (about, beside):
        path = _cut(commands)
        assert isinstance(path, Chain)
        arc = arc_of(path.vertices[0], path.vertices[1][:2])
        assert arc.centre == pytest.approx((10, 10))
        assert (arc.radius, arc.sweep_deg) == pytest.approx((10, 90))
        assert path.vertices[1][:2] == pytest.approx((10, 20))


@pytest.mark.parametrize(
    "commands", ["PU400,400;CI200;", "PU600,400;PD;AA400,400,360;", "PU600,400;PD;AA400,400,-360,5;"]
)
def test_a_circle_is_a_circle(commands: str) -> None:
    """As CI with the pen up, or as an arc once round, either way."""
    path = _cut(commands)
    assert isinstance(path, Circle)
    assert (path.x, path.y, path.radius) == pytest.approx((10, 10, 5))


def test_pens_are_layers() -> None:
    """1 draws, 2 cuts; another is told as a layer that isn't known."""
    reading = read_hpgl(b"IN;SP1;PU0,0;PD40,0;SP2;PU0,0;PD80,0,80,80,0,0;SP3;PU0,0;PD40,40;PU;SP0;")
    assert len(reading.drawing.drawn) == 1
    assert reading.drawing.drawn.points.tolist() == [[0, 0], [1, 0]]
    assert [(item.layer, item.layer_name) for item in reading.drawing.items] == [
        (Layer.CUT, "cut"),
        (None, "pen 3"),
    ]


BAD = {
    "PU0,0;PD100;": "not-a-number",
    "PU0,0;PDnan,100;": "not-a-number",
    "PU0,0;PD1e3,100;": "not-a-number",
    "PU0,0;PD100,inf;": "not-a-number",
    "PU0,0;PD99999999,0;": "huge-number",
    "PU9,9;PD;": "zero-length",
    "PU0,0;PD9,9;PU1,1;PE<=:=;": "unknown-element",
    "LBharbour\x03;": "unknown-element",
    "LT4;PU0,0;PD9,9;": "dashed",
    "IW0,0,400,400;PU0,0;PD9,9;": "clipped",
    "SC0,1,0,1;": "transform",
    "RO90;": "transform",
    "PU0,0;PD9,9;%%%;": "not-a-number",
}


@pytest.mark.parametrize("commands", BAD)
def test_what_cannot_be_measured_is_told(commands: str) -> None:
    """Each by its code, none by a crash."""
    assert BAD[commands] in {fault.code.value for fault in _read(commands).faults}


def test_settings_are_passed_over() -> None:
    """Speed, force, page and pen width change no line; nor do SC, RO, IW and LT that take things back."""
    settings = "VS9,1;FS10;AS2;PG;PS4000,4000;PW.3;SC;RO0;RO;IW;LT;IP0,0,9,9;"
    assert _read(f"{settings}PU0,0;PD40,0,0,40,0,0;").faults == ()


@pytest.mark.parametrize("end", ["PU400,400;PD800,400,8", "PU400,400;PD800,400;"])
def test_an_end_with_the_tool_down_is_cut_short(end: str) -> None:
    """Whole files put the tool up; whether one without SP0 is whole a note doubts."""
    reading = read_hpgl(f"IN;SP2;{end}".encode())
    assert "unreadable" in {fault.code.value for fault in reading.faults}
    assert any("put away" in note for note in read_hpgl(b"IN;SP2;PU0,0;PD9,9,0,9,0,0;PU;").notes)


@pytest.mark.parametrize("content", [b"", b"tide and shingle?", b"\0\1\2", b"12345;678"])
def test_what_is_no_hpgl_is_refused(content: bytes) -> None:
    """Before anything is measured."""
    with pytest.raises(UnreadableError, match="HP-GL"):
        read_hpgl(content)


def test_a_stranger_s_file_says_what_cannot_be_known(tmp_path: Path) -> None:
    """No layout: neither mat nor pieces; but crossings, and what lies beside is taken for marks."""
    path = tmp_path / "any.plt"
    squares = "PU0,0;PD400,0,400,400,0,400,0,0;PU200,200;PD600,200,600,600,200,600,200,200;"
    path.write_text(f"IN;SP1;PU2000,2000;PD2040,2000;SP2;{squares}PU;SP0;")
    report = check_paths([path])
    assert [finding.code for finding in report.findings] == ["crossing-cuts"]
    assert any("how large the mat is" in note for note in report.notes)
    assert any("no layout.json" in note for note in report.notes)


def test_far_coordinates_are_a_note() -> None:
    """Readers of 16 bits end at 32767 units."""
    assert not any("819" in note for note in _read("PU0,0;PD32767,0,0,9,0,0;").notes)
    assert any("819" in note for note in _read("PU0,0;PD32768,0,0,9,0,0;").notes)


STROKES = "PU0,0;PD400,0;\nPU -400,40;PD0,0,40,-40,80,80;PU1,2;PD3,4;"


@pytest.mark.parametrize("few", [0, 1_000_000])
@pytest.mark.parametrize(
    "between",
    [
        "",
        "PA;",
        "PU;PD7,7;PU;",
        "PU5,5;PD6;PU;",
        "SP2;PU0,0;PD9,9;PU;SP1;",
        "PR;PU4,4;PD4,4;PU;PA;",
        "PD7,7;",
    ],
)
def test_strokes_in_a_row_are_those_that_come_one_by_one(
    few: int, between: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Read as arrays or as single commands, whatever stands between them: lines, order, faults and notes."""
    monkeypatch.setattr(read_plotter, "_FEW_SIGNS", few)
    commands = STROKES * 3 + between + STROKES
    in_rows = _read(commands, pen=1)
    with monkeypatch.context() as alone:
        alone.setattr(read_plotter.Plotter, "may_add_strokes", lambda _: False)
        one_by_one = _read(commands, pen=1)
    assert in_rows.drawing.drawn.points.tolist() == one_by_one.drawing.drawn.points.tolist()
    assert in_rows.drawing.drawn.starts.tolist() == one_by_one.drawing.drawn.starts.tolist()
    assert in_rows.drawing.drawn.order.tolist() == one_by_one.drawing.drawn.order.tolist()
    assert (in_rows.drawing.items, in_rows.faults) == (one_by_one.drawing.items, one_by_one.faults)


@pytest.mark.parametrize("few", [0, 1_000_000])
@pytest.mark.parametrize("commands", ["PU0,0;PD1,1;" * 9, "PU0,0;PD" + ",".join(["2,2"] * 20) + ";PU9,9;"])
def test_more_corners_than_can_be_measured_are_refused_before_they_are_read(
    few: int, commands: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of many strokes as of one."""
    monkeypatch.setattr(read_plotter, "_FEW_SIGNS", few)
    monkeypatch.setattr(limits, "MOST_CORNERS", 8)
    with pytest.raises(TooMuchError, match="more than 8 corners"):
        _read(commands, pen=1)
