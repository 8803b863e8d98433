"""What is not one simple closed outline is refused in one line that names the drawing; nothing crashes."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from ezdxf.layouts import Modelspace
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutfiles.core.errors import GeometryError
from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Circle, Contour, area
from cutfiles.job.model.template import SewnOrCut
from cutfiles.pieces.drawings.outline import drawn_outline
from cutfiles.pieces.own_outline import outline_shape
from tests.pieces.drawings.samples import dxf, outline_of, spec_of, svg

FIXTURES = Path(__file__).parents[3] / "fixtures/outlines"
BOX = "M 0 0 H 9 V 9 H 0 Z"


def refused(folder: Path, text: str | bytes, *, name: str = "leaf.svg") -> str:
    """The message, which names the drawing and is one line."""
    with pytest.raises(GeometryError) as caught:
        outline_of(folder, text, name=name)
    message = str(caught.value)
    assert message.startswith(f'"{name}" ')
    assert message.isprintable()
    return message.removeprefix(f'"{name}" ')


@pytest.mark.parametrize(
    ("inside", "says"),
    [
        ("", "holds no outline"),
        ('<text x="1" y="9">leaf</text><image/>', "holds no outline"),
        ('<circle r="0"/><rect width="0" height="9"/><path d="M 3 3 L 3 3 Z"/>', "holds no outline"),
        ('<path d="M 0 0 H 9 V 9 H 0 V 2"/>', "holds an open outline, with 2 mm missing at least"),
        ('<polyline points="0 0 9 0 9 9"/>', "holds an open outline, with 12.7 mm missing"),
        ('<line x2="9"/><line x1="9.5" x2="9.5" y2="9"/>', "holds 2 open lines, with 0.5 mm missing"),
        (f'<path d="{BOX}"/><line x1="20" x2="30"/>', "holds other lines beside its outline"),
        (f'<path d="{BOX} M 20 20 h 5 v 5 Z"/>', "holds 2 outlines"),
        (f'<path d="{BOX}"/><path d="{BOX}"/>', "holds an outline inside another"),  # drawn twice
        (f'<path d="{BOX} M 2 2 v 5 h 5 z"/>', "holds an outline inside another"),
        ('<path d="M 0 0 H 9 Z"/>', "holds an outline of no area"),
        ('<path d="M 0 0 L 9 9 H 0 L 9 0 Z"/>', "crosses or touches itself, 4.5 mm from its left and 4.5 mm"),
        ('<path d="M 0 0 H 9 V 9 L 4 0 L 0 9 Z"/>', "crosses or touches itself"),
        ('<path d="M 0 0 C 60 40 -30 40 30 0 Z"/>', "crosses or touches itself"),
        ('<path d="M 0 0 L 1e400 0 L 9 9 Z"/>', "a coordinate that is not a number"),
        ('<path d="M 0 0 L NaN 0 L 9 9 Z"/>', 'path data that can\'t be read at "NaN 0 L 9 9 "'),
        ('<path d="L 9 9"/>', "path data that can't be read"),
        ('<path d="M 0 0 A 5 5 0 2 0 9 9"/>', "path data that can't be read"),
        ('<path d="M 0 0 H"/>', "path data that can't be read at its end"),
        ('<polygon points="0,0 9,0 9,9 1"/>', "points with a number missing"),
        ('<polygon points="0,0 9,0 9,x"/>', "points that can't be read"),
        ('<circle r="9em"/>', "r in em; write it in mm"),
        ('<circle r="9%"/>', "r in %; write it in mm"),
        ('<circle r="big"/>', 'r "big", which is no length'),
        ('<circle r="9" transform="turn(4)"/>', 'a transform that can\'t be read at "turn(4)"'),
        ('<circle r="9" transform="scale(1 2 3)"/>', "a transform that can't be read"),
        ('<circle r="9" transform="scale(1e400)"/>', "a transform that can't be read"),
        ('<circle r="9" style="transform: scale(2)"/>', "moves a shape in its style"),
        ('<circle r="9" transform="scale(1e9)"/>', "reaches further than 100 m"),
        ('<circle id="a" r="9"/><use href="#a"/>', "holds a clone"),
        ('<svg><circle r="9"/></svg>', "holds an <svg> within"),
        (f'<path d="M 0 0 {"h 1 v 1 " * 3000}"/>', "more than 5000 lines and curves"),
        (
            f'<path d="M 0 0 {"l 2 1 l 0 -1 " * 1100} v -9 H 0 Z"/>',
            "is of 2203 lines and arcs; 1000 at most are allowed",
        ),
        ('<line x2="9"/>' * 30, "many lines that meet in one point"),
    ],
)
def test_an_svg_that_holds_no_outline_is_refused(tmp_path: Path, inside: str, says: str) -> None:
    """With what was found and what to do."""
    assert says in refused(tmp_path, svg(inside))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"", "no well-formed SVG"),
        (b"<svg>", "no well-formed SVG"),
        (b"<html/>", "is XML, but no SVG"),
        (b"\xff\xfe\x00", "no well-formed SVG"),
        (b'<?xml version="1.0" encoding="leaf"?><svg/>', "no well-formed SVG"),
        (b'<!DOCTYPE svg [<!ENTITY a "9">]><svg><circle r="&a;"/></svg>', "declares entities"),
        ('<!DOCTYPE svg [<!ENTITY a "9">]><svg/>'.encode("utf-16"), "declares entities"),
        (b"<g>" * 400, "no well-formed SVG"),
        (svg("<circle r='9'/>", attributes='viewBox="0 0 9"').encode(), "a viewBox that is not four numbers"),
        (svg("<circle r='9'/>", attributes='width="0" viewBox="0 0 9 9"').encode(), 'width "0"'),
    ],
)
def test_what_is_no_svg_is_refused(tmp_path: Path, text: bytes, says: str) -> None:
    """Nothing is fetched or expanded."""
    assert says in refused(tmp_path, text)


def _recursive(space: Modelspace) -> None:
    block = space.doc.blocks.new("A")
    block.add_blockref("A", (1, 1))
    space.add_blockref("A", (0, 0))


def _many(space: Modelspace) -> None:
    block = space.doc.blocks.new("A")
    block.add_point((0, 0))
    space.add_blockref("A", (0, 0), dxfattribs={
        "row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1
    })  # fmt: skip


def _leaning(space: Modelspace) -> None:
    space.add_circle((0, 0), 9, dxfattribs={"extrusion": (0, 1, 1)})


def _open(space: Modelspace) -> None:
    space.add_lwpolyline([(0, 0), (9, 0), (9, 9), (0, 9)])


def _hole(space: Modelspace) -> None:
    space.add_circle((0, 0), 9)
    space.add_circle((1, 0), 3)


def _pole(space: Modelspace) -> None:
    spline = space.add_spline()
    spline.dxf.degree = 3
    spline.control_points = [(0, 0, 0), (9, 9, 0), (20, -9, 0), (30, 0, 0)]
    spline.knots = [0, 0, 0, 0, 1, 1, 1, 1]
    spline.weights = [1, -1, -1, 1]
    space.add_line((0, 0), (30, 0))


@pytest.mark.parametrize(
    ("draw", "says"),
    [
        (_pole, "reaches further than 100 m"),
        (_recursive, "holds blocks within blocks"),
        (_many, "holds more than 20000 things"),
        (_leaning, "is not flat"),
        (_open, "holds an open outline, with 9 mm missing"),
        (_hole, "holds an outline inside another"),
    ],
)
def test_a_dxf_that_holds_no_outline_is_refused(tmp_path: Path, draw: object, says: str) -> None:
    """As an SVG is."""
    assert says in refused(tmp_path, dxf(draw), name="a.dxf")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "holds no outline"),
        (b"a leaf\n", "is no DXF that can be read"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00", "is a binary DXF"),
        (dxf(lambda space: space.add_circle((0, 0), 9), insunits=21).encode(), "is drawn in unit 21"),
    ],
)
def test_what_is_no_dxf_is_refused(tmp_path: Path, content: bytes, says: str) -> None:
    """Whatever the library for it says."""
    assert says in refused(tmp_path, content, name="a.dxf")


def test_a_file_that_is_none_is_refused(tmp_path: Path) -> None:
    """Not there, a folder, a pipe that nobody writes to, of another kind, too large."""
    (tmp_path / "folder.svg").mkdir()
    os.mkfifo(tmp_path / "pipe.svg")
    (tmp_path / "leaf.png").write_bytes(b"")
    (tmp_path / "huge.svg").write_bytes(b" " * 20_000_001)
    for name, says in {
        "none.svg": "is not there",
        "x" * 300 + ".svg": "can't be read",
        "folder.svg": "is not a file",
        "pipe.svg": "is not a file",
        "leaf.png": r"ends in \.png; give an \.svg or \.dxf file",
        "leaf": "has no ending",
        "huge.svg": "is larger than 20 MB",
    }.items():
        with pytest.raises(GeometryError, match=says):
            drawn_outline(tmp_path / name, Unit.MM)


def _wellformed(outline: Contour) -> bool:
    return area(outline) > 0 and (isinstance(outline, Circle) or outline.closed)


@given(content=st.binary(max_size=300), ending=st.sampled_from(["svg", "dxf"]))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
def test_random_bytes_never_crash(tmp_path: Path, content: bytes, ending: str) -> None:
    """They are refused."""
    refused(tmp_path, content, name=f"leaf.{ending}")


@given(
    name=st.sampled_from(["leaf.svg", "heart.svg", "wave.svg", "heart.dxf", "leaf.dxf", "pennant.dxf"]),
    edits=st.lists(
        st.tuples(st.floats(0, 1), st.integers(0, 12), st.sampled_from(
            [b"", b"0", b"9", b"-", b"e", b"1e9", b"nan", b"Z", b"<", b"\n", b"\xff", b" 42\n0\n", b"A", b"C"]
        )),
        min_size=1, max_size=4,
    ),
)  # fmt: skip
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=120, deadline=None)
def test_damaged_drawings_never_crash(
    tmp_path: Path, name: str, edits: list[tuple[float, int, bytes]]
) -> None:
    """Either they still hold an outline, or they are refused in one line."""
    content = (FIXTURES / name).read_bytes()
    for share, cut, put in edits:
        at = int(share * len(content))
        content = content[:at] + put + content[at + cut :]
    outline, message = _outcome(tmp_path, content, name)
    if outline is None:
        assert message.startswith(f'"{name}" ')
        assert message.isprintable()
    else:
        assert _wellformed(outline)


def _outcome(folder: Path, content: str | bytes, name: str) -> tuple[Contour | None, str]:
    try:
        return outline_of(folder, content, name=name), ""
    except GeometryError as error:
        return None, str(error)


_NUMBERS = st.one_of(st.integers(-50, 50).map(str), st.sampled_from(["1e-9", "1e5", "0.0001", "33.3"]))


_LETTERS = st.sampled_from([*"MmLlHhVvCcSsQqTtAaZz", "0", "1"])


@given(words=st.lists(st.one_of(_NUMBERS, _LETTERS), max_size=40))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=150, deadline=None)
def test_random_paths_never_crash(tmp_path: Path, words: list[str]) -> None:
    """They mean something, or are refused."""
    outline, message = _outcome(tmp_path, svg(f'<path d="M 0 0 {" ".join(words)}"/>'), "leaf.svg")
    assert _wellformed(outline) if outline else message.isprintable()


@given(
    letters=st.text("LCQA", min_size=2, max_size=5),
    numbers=st.lists(st.integers(-40, 40), min_size=40, max_size=40),
    by=st.sampled_from([SewnOrCut.SEWN, SewnOrCut.CUT]),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
def test_whatever_outline_is_read_has_a_seam_or_none(
    tmp_path: Path, letters: str, numbers: list[int], by: SewnOrCut
) -> None:
    """A seam that leaves nothing is said to; the geometry never fails in another way."""
    left = iter(numbers)
    path = "M 0 0 " + " ".join(_step(kind, left) for kind in letters) + " Z"
    outline, _ = _outcome(tmp_path, svg(f'<path d="{path}"/>'), "leaf.svg")
    if outline is None:
        return
    says = ""
    try:
        shape = outline_shape(spec_of(Path("leaf.svg"), line=by, seam_mm=3.0), outline)
        assert _wellformed(shape.cut)
    except GeometryError as error:
        says = str(error)
    assert says == "" or "leaves no single sewn shape inside leaf" in says


def _step(kind: str, left: Iterator[int]) -> str:
    if kind == "A":
        radii = f"{abs(next(left)) + 1} {abs(next(left)) + 1}"
        return f"A {radii} {next(left)} {next(left) % 2} 1 {next(left)} {next(left)}"
    return f"{kind} {' '.join(str(next(left)) for _ in range({'L': 2, 'Q': 4, 'C': 6}[kind]))}"
