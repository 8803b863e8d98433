"""SVG files: the structure that the contract promises, and every line at its place."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest
from lxml import etree

from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.svg.write import write_svg
from cutfiles.geometry.outline import Circle, Path, Vertex, arc_of
from cutfiles.geometry.pose import Pose, placed
from tests.formats.plans import HEIGHT, WIDTH, plan

SVG = "{http://www.w3.org/2000/svg}"
STROKES = {"stroke", "stroke-width", "fill"}
OWN = {
    "path": {"d", "id"},
    "circle": {"cx", "cy", "r", "id"},
    "line": {"x1", "y1", "x2", "y2", "id"},
    "polyline": {"points", "id"},
    "polygon": {"points", "id"},
}


def root_of(load: LoadPlan) -> etree._Element:
    """Return the root of a load's SVG, read by a parser that isn't ours."""
    return etree.fromstring(write_svg(load))


def of_group(name: str) -> list[etree._Element]:
    """Return the strokes of one group of the plan."""
    group = next(group for group in root_of(plan()) if group.get("id") == name)
    return [child for child in group if child.tag != f"{SVG}title"]


def test_the_root_has_the_mats_size_in_mm_and_a_view_box_of_the_same_numbers() -> None:
    """Whatever dpi a reader assumes, a mm is a mm."""
    root = root_of(plan())
    assert root.tag == f"{SVG}svg"
    assert (root.get("width"), root.get("height")) == ("304.8mm", "200.5mm")
    assert root.get("viewBox") == "0 0 304.8 200.5"


def test_three_groups_with_titles_stand_in_order_and_nothing_outside() -> None:
    """Draw, register and cut, each with its title first; no definitions, no style sheet."""
    root = root_of(plan())
    assert [child.tag for child in root] == [f"{SVG}g"] * 3
    assert [child.get("id") for child in root] == ["draw", "register", "cut"]
    for group in root:
        assert group[0].tag == f"{SVG}title"
        assert group[0].text
        assert set(group.attrib) <= {"id", *STROKES}


def test_groups_are_there_when_they_are_empty() -> None:
    """A load without drawing still has the group, so that machines find the same layers."""
    root = root_of(LoadPlan("load-01", 10, 10, ()))
    assert [child.get("id") for child in root] == ["draw", "register", "cut"]


def test_only_plain_elements_with_their_own_attributes_are_written() -> None:
    """No transform, no style, no text: five kinds of line and what they need."""
    for group in root_of(plan()):
        for element in group[1:]:
            kind = str(element.tag).removeprefix(SVG)
            assert len(element) == 0
            assert not (element.text or "").strip()
            assert set(element.attrib) <= OWN[kind] | STROKES


def test_every_cut_outline_has_its_pieces_id_and_nothing_else_has_one() -> None:
    """An id stands once in a file, as XML wants it."""
    cut = [element.get("id") for element in of_group("cut")]
    assert cut == ["tide-blade-001", "tide-centre-001", "tide-blade-002", "tide-leaf-001"]
    assert all(element.get("id") is None for name in ("draw", "register") for element in of_group(name))


def test_strokes_keep_their_order_and_kind() -> None:
    """Straight outlines are polygons, curved ones paths, circles circles, in the order of the plan."""
    element_names = {
        name: [str(e.tag).removeprefix(SVG) for e in of_group(name)] for name in ("draw", "register", "cut")
    }
    assert element_names == {
        "draw": ["line", "polyline", "path", "path", "circle"],
        "register": ["line", "circle"],
        "cut": ["polygon", "circle", "path", "path"],
    }


def test_y_runs_down_from_the_mats_upper_edge() -> None:
    """The plan's y points up: the mat's height less y is written."""
    first = of_group("draw")[0]
    assert [first.get(key) for key in ("x1", "y1", "x2", "y2")] == ["10", "180.5", "30", "175.3765"]
    circle = of_group("cut")[1]
    assert [circle.get(key) for key in ("cx", "cy", "r")] == ["100", "150.5", "20"]
    assert of_group("cut")[0].get("points") == "5,185.5 45,185.5 35,100.5 15,100.5"


def arcs_of(text: str) -> list[tuple[complex, complex, float, int, int]]:
    """Return start, end, radius and flags of each arc of a path's text."""
    arcs, here = [], 0j
    for command, words in re.findall(r"([MLAZ])([^MLAZ]*)", text):
        numbers = [float(word) for word in words.replace(",", " ").split()]
        if command == "A":
            end = complex(*numbers[5:])
            assert numbers[0] == numbers[1]
            arcs.append((here, end, numbers[0], int(numbers[3]), int(numbers[4])))
        if numbers:
            here = complex(*numbers[-2:])
    return arcs


def middle(start: complex, end: complex, radius: float, large: int, positive: int) -> complex:
    """Return the middle of an SVG arc, y down (SVG 1.1, appendix F.6.5, for circles)."""
    half = abs(end - start) / 2
    away = math.sqrt(max(0.0, radius**2 - half**2))
    along = (end - start) / abs(end - start)
    # Turned by a quarter with y down, 1j points to the right of the way: there a positive arc's centre is,
    # if it is the small one.
    side = 1j * along if large != positive else -1j * along
    centre = (start + end) / 2 + side * away
    out = (start + end) / 2 - centre
    if abs(out) < 1e-9:
        out = (-1j if positive else 1j) * along
    return centre + radius * out / abs(out) * (-1 if large else 1)


@pytest.mark.parametrize("index", [2, 3, 9, 10])
def test_arcs_stay_arcs_and_bend_the_right_way(index: int) -> None:
    """Each arc of the path passes through the middle of the arc that was meant."""
    stroke = plan().strokes[index]
    assert isinstance(stroke.path, Path)
    wanted = [arc_of(start, end) for start, end in stroke.path.edges() if start.bulge]
    element = of_group(stroke.tool.value)[[s for s in plan().strokes if s.tool is stroke.tool].index(stroke)]
    written = arcs_of(str(element.get("d")))
    assert len(written) == len(wanted) == 1
    x, y = wanted[0].at(0.5)
    assert abs(middle(*written[0]) - complex(x, HEIGHT - y)) < 2e-3
    assert str(element.get("d")).endswith("Z") == stroke.path.closed


@pytest.mark.parametrize("sweep_deg", [170.0, 179.9, 179.999, 180.0, 180.001, 180.1, 198.0, 300.0])
@pytest.mark.parametrize("sign", [1, -1])
def test_an_arc_near_half_a_circle_stays_where_it_is(sweep_deg: float, sign: int) -> None:
    """Its middle doesn't wander, although its centre follows from rounded numbers."""
    start, end = (
        Vertex(40.12345, 60.98765, sign * math.tan(math.radians(sweep_deg) / 4)),
        (71.34567, 83.45678),
    )
    path = Path((start, Vertex(*end)), closed=False)
    element = root_of(LoadPlan("load-01", WIDTH, HEIGHT, (Stroke(Tool.DRAW, path, "a"),)))[0][1]
    x, y = arc_of(start, end).at(0.5)
    assert abs(middle(*arcs_of(str(element.get("d")))[0]) - complex(x, HEIGHT - y)) < 4e-4


def test_an_arc_without_a_rise_is_a_straight_line() -> None:
    """Its radius would be beyond all numbers."""
    path = Path((Vertex(10, 10, 1e-300), Vertex(40, 10), Vertex(40, 50, 0.5)), closed=True)
    element = root_of(LoadPlan("load-01", WIDTH, HEIGHT, (Stroke(Tool.CUT, path, "a"),)))[2][1]
    assert re.findall("[A-Z]", str(element.get("d"))) == ["M", "L", "L", "A", "Z"]


def test_a_mirrored_outline_keeps_its_bends() -> None:
    """Mirrored and run backwards, an arc that bulged out still does."""
    stroke = plan().strokes[9]
    assert isinstance(stroke.path, Path)
    mirrored = placed(stroke.path, Pose(300.0, 0.0, 0.0, mirrored=True))
    element = root_of(LoadPlan("load-01", WIDTH, HEIGHT, (Stroke(Tool.CUT, mirrored, "a"),)))[2][1]
    x, y = next(arc_of(start, end) for start, end in stroke.path.edges() if start.bulge).at(0.5)
    assert abs(middle(*arcs_of(str(element.get("d")))[0]) - complex(300 - x, HEIGHT - y)) < 2e-3


def test_a_path_runs_through_every_corner() -> None:
    """No corner is lost between the straight edges and the arcs."""
    stroke = plan().strokes[9]
    assert isinstance(stroke.path, Path)
    corners = {(round(v.x, 4), round(HEIGHT - v.y, 4)) for v in stroke.path.vertices}
    numbers = re.findall(r"[MLA][^MLAZ]*", str(of_group("cut")[2].get("d")))
    ends = [tuple(float(word) for word in words[1:].split()[-2:]) for words in numbers]
    assert set(ends) == corners
    assert all(a != b for a, b in pairwise(ends))


def test_the_same_plan_gives_the_same_bytes_without_a_date() -> None:
    """Nothing in the file depends on when or where it was written."""
    assert write_svg(plan()) == write_svg(plan())
    assert not re.search(rb"20\d\d-\d\d", write_svg(plan()))


def test_a_circle_stays_a_circle() -> None:
    """Not a chain of chords, not two arcs."""
    circles = [stroke for stroke in plan().strokes if isinstance(stroke.path, Circle)]
    assert len(root_of(plan()).findall(f".//{SVG}circle")) == len(circles) == 3
