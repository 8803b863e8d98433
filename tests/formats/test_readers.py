"""SVG and DXF in the ways that others write them, and anything at all without a traceback."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutfiles.check.check import check_paths
from cutfiles.check.layout.layout import read_layout
from cutfiles.check.shapes.contours import same_outline
from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.formats.dxf.read import read_dxf
from cutfiles.formats.model.drawing import Reading
from cutfiles.formats.svg.read import read_svg
from cutfiles.geometry.outline import Circle, Contour, Vertex, arc_of, bounds, line, ring
from cutfiles.geometry.outline import Path as Chain
from tests.check.drawings import WRITTEN, drawing_of, usual_layout, write_folder

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="10cm" height="4in" viewBox="0 0 100 101.6">{}</svg>'


def _svg(body: str) -> Reading:
    return read_svg(SVG.format(body).encode())


def _seen_from_behind(reading: Reading) -> Contour:
    assert [fault.code for fault in reading.faults] == [Code.NOT_FLAT]
    (item,) = reading.drawing.items
    return item.path


def _only(reading: Reading) -> Contour:
    assert reading.faults == ()
    (item,) = reading.drawing.items
    return item.path


def _dxf(*pairs: tuple[int, object], header: tuple[tuple[int, object], ...] = ()) -> Reading:
    whole = [(0, "SECTION"), (2, "HEADER"), *header, (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"), *pairs]
    return read_dxf(
        "".join(f"{code}\n{value}\n" for code, value in [*whole, (0, "ENDSEC"), (0, "EOF")]).encode()
    )


def test_svg_is_read_with_y_up_and_in_any_absolute_unit() -> None:
    """10 cm by 4 in with a viewBox in mm is true size."""
    reading = _svg('<g id="cut"><line x1="1" y1="1.6" x2="3" y2="101.6"/></g>')
    assert reading.faults == ()
    assert (reading.drawing.width_mm, reading.drawing.height_mm) == (100, 101.6)
    assert _only(reading) == line((1, 100), (3, 0))


@pytest.mark.parametrize(
    "text",
    [
        "M10 1.6 L30 1.6 L30 21.6 L10 21.6 Z",
        "m10,1.6 20,0 0,20 -20,0z",
        "M10 1.6H30V21.6H10V1.6z",
        "M1e1 1.6h+20v20h-20z",
        "M10 1.6L30 1.6 30 21.6 10 21.6 10 1.6",
        "M0 0M10 1.6 30 1.6 30 21.6 10 21.6Z",
    ],
)
def test_one_square_in_all_the_ways_of_path_data(text: str) -> None:
    """Absolute or relative, with H and V, closed by Z or by its last point."""
    path = _only(_svg(f'<g id="cut"><path d="{text}"/></g>'))
    assert isinstance(path, Chain)
    assert path.closed
    assert same_outline(path, ring((10, 80), (30, 80), (30, 100), (10, 100)))


def test_a_chain_after_another_begins_where_that_one_began() -> None:
    """After Z the pen is back at the start: what is relative counts from there."""
    reading = _svg('<g id="cut"><path d="M10 1.6h20v20h-20zm40 0h5v5zl1 1"/></g>')
    first, second, third = (item.path for item in reading.drawing.items)
    assert same_outline(first, ring((10, 80), (30, 80), (30, 100), (10, 100)))
    assert same_outline(second, ring((50, 100), (55, 100), (55, 95)))
    assert third == line((50, 100), (51, 99))


@pytest.mark.parametrize("large", [0, 1])
@pytest.mark.parametrize("positive", [0, 1])
def test_each_of_the_four_arcs_through_two_points(large: int, positive: int) -> None:
    """The standard's picture of the flags: centre and sweep are what they say (y turned up)."""
    path = _only(_svg(f'<g id="cut"><path d="M40 51.6A20 20 0 {large}{positive}60 51.6"/></g>'))
    assert isinstance(path, Chain)
    arc = arc_of(path.vertices[0], path.vertices[1][:2])
    assert arc.radius == pytest.approx(20)
    assert (abs(arc.sweep_deg) > 180) == bool(large)
    # Positive is clockwise to the eye.
    assert (arc.sweep_deg < 0) == bool(positive)
    above = arc.at(0.5)[1] > 50
    assert above == bool(positive)


def test_a_circle_of_two_arcs_is_a_circle() -> None:
    """Some programs have no circle element."""
    text = "M40 51.6A10 10 0 0 0 60 51.6A10 10 0 0 0 40 51.6Z"
    path = _only(_svg(f'<g id="cut"><path d="{text}"/></g>'))
    assert isinstance(path, Circle)
    assert (path.x, path.y, path.radius) == pytest.approx((50, 50, 10))


def test_words_and_foreign_elements_are_not_drawn() -> None:
    """Titles, metadata and other programs' notes are no faults."""
    foreign = '<x:note xmlns:x="urn:x"><x:path d="M"/></x:note>'
    reading = _svg(f"<title>tide</title>{foreign}<!-- c --><?pi x?><metadata><a/></metadata>")
    assert (reading.faults, reading.drawing.items) == ((), ())


def test_an_entity_bomb_is_refused_at_once() -> None:
    """A billion laughs in a few hundred bytes."""
    bomb = '<!DOCTYPE svg [<!ENTITY a "tide">' + "".join(
        f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9)
    )
    with pytest.raises(UnreadableError, match="entities"):
        read_svg((bomb + "]>" + SVG.format("&j;")).encode())


def test_no_file_of_the_disk_comes_in_through_an_entity(tmp_path: Path) -> None:
    """Not even in an encoding that hides the word from a search for bytes."""
    (tmp_path / "secret").write_text("<g id='cut'><line x2='9'/></g>")
    text = f'<?xml version="1.0" encoding="utf-16"?><!DOCTYPE svg [<!ENTITY a SYSTEM "{tmp_path}/secret">]>'
    try:
        reading = read_svg((text + SVG.format("&a;")).encode("utf-16"))
    except UnreadableError:
        return
    assert reading.drawing.items == ()


def test_old_polylines_are_read_with_their_bulges() -> None:
    """POLYLINE, VERTEX and SEQEND, as R12 has them; its unit can't be known, and a note says so."""
    vertices = [((10, 0), (20, 0)), ((10, 30), (20, 0), (42, 1)), ((10, 30), (20, 20)), ((10, 0), (20, 20))]
    pairs: list[tuple[int, object]] = [(0, "POLYLINE"), (8, "CUT"), (66, 1), (70, 1), (10, 0), (20, 0)]
    for vertex in vertices:
        pairs += [(0, "VERTEX"), (8, "CUT"), *vertex]
    reading = _dxf(*pairs, (0, "SEQEND"), header=((9, "$ACADVER"), (1, "AC1009")))
    assert _only(reading) == Chain(
        (Vertex(0, 0), Vertex(30, 0, 1), Vertex(30, 20), Vertex(0, 20)), closed=True
    )
    assert bounds(_only(reading)) == pytest.approx((0, 0, 40, 20))
    assert "unit" in reading.notes[0]


def test_an_arc_runs_counter_clockwise_and_may_pass_zero() -> None:
    """From 350 to 10 degrees is 20 degrees, not 340."""
    entity = ((0, "ARC"), (8, "CUT"), (10, 5), (20, 5), (40, 10), (50, 350), (51, 10))
    path = _only(_dxf(*entity, header=((9, "$INSUNITS"), (70, 4))))
    assert isinstance(path, Chain)
    arc = arc_of(path.vertices[0], path.vertices[1][:2])
    assert (arc.sweep_deg, arc.radius) == pytest.approx((20, 10))
    assert arc.at(0.5) == pytest.approx((15, 5))


def test_an_entity_seen_from_behind_is_mirrored() -> None:
    """Extrusion 0, 0, -1: x runs the other way, and so do arcs; not every program knows."""
    units = ((9, "$INSUNITS"), (70, 4))
    path = _seen_from_behind(
        _dxf((0, "ARC"), (8, "CUT"), (10, -5), (20, 5), (40, 10), (50, 0), (51, 90), (230, -1), header=units)
    )
    assert isinstance(path, Chain)
    arc = arc_of(path.vertices[0], path.vertices[1][:2])
    assert arc.at(0.5) == pytest.approx((5 - 10 * math.sqrt(0.5), 5 + 10 * math.sqrt(0.5)))
    corners: tuple[tuple[int, object], ...] = ((10, -1), (20, 0), (42, 0.5), (10, -9), (20, 0), (42, 0))
    corners = ((90, 2), *corners)
    outline = _seen_from_behind(
        _dxf((0, "LWPOLYLINE"), (8, "CUT"), (70, 1), *corners, (230, -1), header=units)
    )
    assert isinstance(outline, Chain)
    assert outline.vertices[0] == Vertex(1, 0, -0.5)


def test_a_tilted_entity_is_told_so() -> None:
    """It would be cut in another shape than it shows."""
    reading = _dxf((0, "CIRCLE"), (8, "CUT"), (40, 5), (210, 1), (230, 0), header=((9, "$INSUNITS"), (70, 4)))
    assert [fault.code.value for fault in reading.faults] == ["unknown-element"]


def test_lines_with_carriage_returns_are_read() -> None:
    """As written on another system."""
    text = WRITTEN["dxf"](drawing_of(usual_layout()))
    with_returns, plain = read_dxf(text.replace("\n", "\r\n").encode()), read_dxf(text.encode())
    assert with_returns.faults == plain.faults == ()
    assert with_returns.drawing.items == plain.drawing.items
    assert with_returns.drawing.drawn.points.tolist() == plain.drawing.drawn.points.tolist() != []


VALID = {suffix: written(drawing_of(usual_layout())).encode() for suffix, written in WRITTEN.items()}
VALID["json"] = json.dumps(usual_layout()).encode()


@st.composite
def _damaged(draw: st.DrawFn) -> tuple[str, bytes]:
    """A valid file with pieces cut out, doubled, or overwritten."""
    suffix = draw(st.sampled_from(sorted(VALID)))
    content = VALID[suffix]
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(content)))
        end = min(len(content), start + draw(st.integers(0, 60)))
        put = draw(
            st.one_of(
                st.binary(max_size=12),
                st.sampled_from([b"", b"1e308", b"-0", b"NaN", b"\n", b" ", b'"', b">", b"9" * 400, b"<g>"]),
                st.just(content[start:end] * 2),
            )
        )
        content = content[:start] + put + content[end:]
    return suffix, content


def _survives(folder: Path, suffix: str, content: bytes) -> None:
    write_folder(folder, usual_layout(), {})
    name = "layout.json" if suffix == "json" else f"load-01.{suffix}"
    (folder / "load-01.svg").write_bytes(VALID["svg"])
    (folder / "load-01.dxf").write_bytes(VALID["dxf"])
    (folder / name).write_bytes(content)
    report = check_paths([folder])
    assert json.loads(json.dumps(report.json())) == report.json()
    assert all(finding.line().isprintable() for finding in report.findings)


@settings(max_examples=150, deadline=None)
@given(damaged=_damaged())
@example(damaged=("svg", VALID["svg"][:-8]))
@example(damaged=("json", b'{"format":' * 5000))
@example(damaged=("json", VALID["json"].replace(b"tide-tab-001", b"\\ud800\\n")))
def test_a_damaged_file_gives_a_report(
    tmp_path_factory: pytest.TempPathFactory, damaged: tuple[str, bytes]
) -> None:
    """Cut short, doubled or overwritten: never a traceback."""
    _survives(tmp_path_factory.mktemp("damaged"), *damaged)


@settings(max_examples=150, deadline=None)
@given(content=st.binary(max_size=400), reader=st.sampled_from([read_svg, read_dxf, read_layout]))
def test_any_bytes_give_a_reading_or_a_clear_word(content: bytes, reader: object) -> None:
    """UnreadableError is the only error there is."""
    assert callable(reader)
    try:
        outcome = reader(content)
    except UnreadableError as error:
        outcome = str(error)
    assert outcome


@settings(max_examples=200, deadline=None)
@given(text=st.text(alphabet="MmLlHhVvAaZzCc0123456789.,-+eE \n", max_size=40))
@example(text="M0 0A1 1 0 1 1 1e-7 0Z")
@example(text="M0 0A1e5 1e5 0 1 1 1 0Z")
def test_any_path_data_gives_lines_or_faults(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    """And what is read can be measured."""
    path = tmp_path_factory.mktemp("path") / "any.svg"
    path.write_text(SVG.format(f'<g id="cut"><path d="{text}"/><path d="M1 1H9V9z{text}"/></g>'))
    assert check_paths([path]).files == 1


_CODES = st.sampled_from([0, 8, 10, 20, 11, 21, 40, 42, 50, 51, 66, 67, 70, 230])
_VALUES = st.sampled_from(
    ["0", "1", "-1", "4", "1e5", "1e-7", "99999", "0.5", "nan", "x", "CUT", "DRAW", "LINE", "ARC"]
)
_KINDS = st.sampled_from(["LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "VERTEX", "SEQEND"])


@settings(max_examples=200, deadline=None)
@given(
    pairs=st.lists(st.tuples(_CODES, _VALUES), max_size=25),
    entity_types=st.lists(_KINDS, max_size=4),
)
@example(pairs=[(10, "1")], entity_types=["LINE", "LINE", "LINE"])
def test_any_pairs_give_lines_or_faults(
    tmp_path_factory: pytest.TempPathFactory, pairs: list[tuple[int, str]], entity_types: list[str]
) -> None:
    """Entities with values missing, doubled or senseless."""
    path = tmp_path_factory.mktemp("pairs") / "any.dxf"
    body = "".join(
        f"0\n{entity_type}\n8\nCUT\n" + "".join(f"{c}\n{v}\n" for c, v in pairs)
        for entity_type in entity_types
    )
    path.write_text(f"0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n")
    assert check_paths([path]).files == 1
