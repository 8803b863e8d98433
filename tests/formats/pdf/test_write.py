"""PDF for paper, its text taken apart by hand: curves, layers, places of objects, marks that meet."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.style import DEFAULT_STYLE
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.formats.paper.sizes import PaperSpec
from cutfiles.formats.pdf.write import left_out_notes, write_pdf
from cutfiles.formats.pdf.write_ink import drawn
from cutfiles.geometry.edge import edge
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, ring
from tests.formats.plans import plan

Point = tuple[float, float]
WITHIN_MM = 0.002


def points_of(content: str, share: int = 32) -> list[Point]:
    """Points on the lines and curves of a path's text, curves by de Casteljau's halving weights."""
    points: list[Point] = []
    stack: list[float] = []
    for word in content.split():
        if word in ("m", "l"):
            points.append((stack[0], stack[1]))
        elif word == "c":
            ends = [points[-1], (stack[0], stack[1]), (stack[2], stack[3]), (stack[4], stack[5])]
            for step in range(1, share + 1):
                t = step / share
                weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
                points.append(
                    (
                        sum(weight * end[0] for weight, end in zip(weights, ends, strict=True)),
                        sum(weight * end[1] for weight, end in zip(weights, ends, strict=True)),
                    )
                )
        elif word not in ("h", "S"):
            stack.append(float(word))
            continue
        stack = []
    return points


@given(bulge=st.floats(-20, 20), size=st.floats(0.05, 3000), x=st.floats(-500, 500), turn=st.floats(0, 6.28))
@example(bulge=1.0, size=600.0, x=0.0, turn=0.0)
@example(bulge=0.01, size=3000.0, x=0.0, turn=1.0)
@example(bulge=-0.4142135623730951, size=1.0, x=5.0, turn=2.0)
def test_curves_lie_on_their_arcs(bulge: float, size: float, x: float, turn: float) -> None:
    """Every point within 0.002 mm of the arc, the ends where they belong."""
    start = Vertex(x, 7.0, bulge)
    end = (x + size * math.cos(turn), 7.0 + size * math.sin(turn))
    points = points_of(drawn(Path((start, Vertex(*end)), closed=False)))
    assert math.dist(points[0], start[:2]) < 1e-4
    assert math.dist(points[-1], end) < 1e-4
    assert max(edge(start, end).distance_to(point) for point in points) < WITHIN_MM


@given(radius=st.floats(0.05, 2000))
def test_circles_are_round(radius: float) -> None:
    """Within 0.002 mm, and they go all the way round."""
    points = points_of(drawn(Circle(10, 20, radius)))
    assert max(abs(math.dist(point, (10, 20)) - radius) for point in points) < WITHIN_MM
    quarters = {(x > 10, y > 20) for x, y in points}
    assert len(quarters) == 4


def test_every_object_is_where_the_table_says() -> None:
    """ISO 32000-1, 7.5.4: ten digits, five, n, and an end of line of two bytes; startxref finds the table."""
    content = write_pdf(plan())
    table = int(content.rsplit(b"startxref\n", 1)[1].split()[0])
    assert content[table:].startswith(b"xref\n0 ")
    entries = content[table:].split(b"trailer")[0].split(b"\n", 2)[2]
    assert len(entries) % 20 == 0
    for number in range(1, len(entries) // 20):
        entry = entries[20 * number : 20 * number + 20]
        assert re.fullmatch(rb"\d{10} 00000 n \n", entry)
        assert content[int(entry[:10]) :].startswith(f"{number} 0 obj\n".encode())
    for said, stream in re.findall(rb"/Length (\d+) >>\nstream\n(.*?)\nendstream", content, re.DOTALL):
        assert int(said) == len(stream)


def pages_of(load: LoadPlan, paper: PaperSpec) -> list[str]:
    """The content of each page."""
    text = write_pdf(load, style=replace(DEFAULT_STYLE, paper=paper)).decode("latin-1")
    return re.findall(r"<< /Length \d+ >>\nstream\n(.*?)\nendstream", text, re.DOTALL)


def layer_of(page: str, layer: str) -> str:
    """All that a page has on one layer."""
    return "".join(re.findall(rf"/OC /{layer} BDC\n(.*?)EMC\n", page, re.DOTALL))


def corner_of(page: str) -> Point:
    """Where on the page the mat's corner lies."""
    match = re.search(r"1 0 0 1 (\S+) (\S+) cm", page)
    assert match is not None
    return float(match[1]), float(match[2])


def test_each_line_is_on_its_layer_and_every_stroke_is_there() -> None:
    """Each stroke as often as pages show it, nothing besides."""
    load = plan()
    pages = pages_of(load, PaperSpec())[1:]
    for tool in Tool:
        wanted = {drawn(stroke.path) for stroke in load.strokes_of(tool)}
        content = "".join(layer_of(page, tool.value) for page in pages)
        lines = {f"{line}\n" for line in content.splitlines() if line.endswith("S")}
        assert lines == wanted
    layers = set(re.findall(rb"/Name \(([^)]*)\)", write_pdf(load)))
    named = {*(tool.value.encode() for tool in load.tools), b"page"}
    assert layers == {*named, b"all"}  # what a viewer calls the list of them


def test_lines_differ_by_width_and_dashes() -> None:
    """In black a cut can still be told from a seam and a fold."""
    straight = Path((Vertex(20, 20), Vertex(60, 20)), closed=False)
    strokes = [Stroke(Tool.DRAW, straight, "a", kind) for kind in (Drawn.SEW, Drawn.FOLD, Drawn.LABEL)]
    strokes += [Stroke(Tool.REGISTER, straight, ""), Stroke(Tool.CUT, straight, "b")]
    page = pages_of(LoadPlan("load-01", 100, 100, tuple(strokes)), PaperSpec())[1]
    pens = re.findall(
        r"^(\S+) w \[(.*?)\]", "".join(layer_of(page, tool.value) for tool in Tool), re.MULTILINE
    )
    assert len(set(pens)) == 5
    assert pens[-1][1] == ""
    assert float(pens[-1][0]) > max(float(width) for width, _ in pens[:-1])


def test_people_cut_along_the_piece_and_not_along_the_tools_way() -> None:
    """Outlines as they are to come out; cuts inside them and cuts of no known piece as the plan has them."""
    piece, way = ring((20, 20), (60, 20), (40, 80)), ring((19, 19), (61, 19), (40, 82))
    hole, loose = Circle(40, 35, 3), Circle(80, 80, 5)
    strokes = (
        Stroke(Tool.CUT, hole, "tide-blade-001", part="inner-1"),
        Stroke(Tool.CUT, way, "tide-blade-001"),
        Stroke(Tool.CUT, loose, "strange"),
    )
    load = LoadPlan("load-01", 100, 100, strokes, outlines=(("tide-blade-001", piece),))
    cut = layer_of(pages_of(load, PaperSpec())[1], "cut")
    assert {f"{line}\n" for line in cut.splitlines() if line.endswith("S")} == {
        drawn(path) for path in (piece, hole, loose)
    }


def diamonds_of(page: str) -> set[Point]:
    """Middles of the marks to join pages by, on the mat, to a hundredth."""
    x, y = corner_of(page)
    closed = re.findall(r"^(\S+) (\S+) m (?:\S+ \S+ l ){3}\1 \2 l S$", layer_of(page, "page"), re.MULTILINE)
    crosses = re.findall(r"^(\S+) (\S+) m (\S+) \2 l S$", layer_of(page, "page"), re.MULTILINE)
    middles = {
        (round((float(left) + float(right)) / 2, 2), round(float(level), 2)) for left, level, right in crosses
    }
    assert len(closed) == len(middles)
    assert (x, y) != (0, 0)
    return middles


def test_marks_of_neighbours_are_the_same_place_of_the_mat() -> None:
    """Each diamond is on the two pages that meet there, and inside what both show."""
    load = plan()
    everywhere = Stroke(Tool.DRAW, Path((Vertex(0, 0), Vertex(load.width_mm, load.height_mm)), False), "")
    load = replace(load, strokes=(everywhere, *load.strokes))
    pages = pages_of(load, PaperSpec())[1:]
    assert len(pages) == 2
    first, second = (diamonds_of(page) for page in pages)
    assert first == second
    assert len(first) >= 2


def test_what_is_left_out_is_said() -> None:
    """In a note, and on the first page; of many loads in one sentence."""
    corner: Contour = ring((250, 20), (280, 20), (280, 60))
    load = LoadPlan("load-01", 305, 610, (Stroke(Tool.CUT, corner, "a"),))
    (note,) = left_out_notes([load], style=DEFAULT_STYLE)
    assert note.endswith("left out, by row and column: load-01 1-1, 1-2, 2-1, 2-2, 3-1")
    assert "(Left out, for nothing is on them: 1-1, 1-2, 2-1, 2-2, 3-1." in pages_of(load, PaperSpec())[0]
    (many,) = left_out_notes(
        [replace(load, name=f"load-{number}") for number in range(9)], style=DEFAULT_STYLE
    )
    assert "left out of 9 loads" in many
    assert list(left_out_notes([plan()], style=replace(DEFAULT_STYLE, paper=PaperSpec(margin_mm=3)))) == []


def test_a_load_without_lines_is_a_first_page() -> None:
    """Nothing to print is no error."""
    (page,) = pages_of(LoadPlan("load-01", 305, 610, ()), PaperSpec())
    assert "There is nothing on this load to print." in page


@pytest.mark.parametrize("paper", [PaperSpec(), PaperSpec(overlap_mm=5.0), PaperSpec(overlap_mm=50.0)])
def test_it_is_the_same_each_time(paper: PaperSpec) -> None:
    """And differs where the load does: its name is made from what it holds."""
    style = replace(DEFAULT_STYLE, paper=paper)
    assert write_pdf(plan(), style=style) == write_pdf(plan(), style=style)
    other = replace(plan(), strokes=plan().strokes[1:])
    ids = {re.search(rb"/ID \[<(\w+)>", write_pdf(load, style=style)) for load in (plan(), other)}
    assert len({match[1] for match in ids if match}) == 2
