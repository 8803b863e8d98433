"""The pictures of the loads: every piece once and in its place, every fabric, every mark, no text on text."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from lxml import etree

from cutfiles.geometry.outline import Circle, Path, arc_of, ring
from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import Job, Register
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.pieces.shape import Shape
from cutfiles.sheet.markup.drawing import Box
from cutfiles.sheet.pictures.cloth import Cloths
from cutfiles.sheet.pictures.load import Bench
from cutfiles.sheet.pictures.load_texts import LoadTexts
from tests.sheet.jobs import ACROSS, ALL, BY_HAND, HARBOUR, PLAIN_FAN, JobSheet, sheet_of
from tests.sheet.svg_paths import path_points

NEAR_MM = 2e-3
Bounds = tuple[float, float, float, float]
WITH_LOADS = (HARBOUR, PLAIN_FAN, ACROSS)


def pictures(sheet: JobSheet) -> list[etree._Element]:
    """The picture of each load, in the order of the page."""
    return [
        svg
        for section in sheet.tree.iter("section")
        if section.get("class") == "load"
        for svg in section.iter("svg")
    ]


def outline_points(shape: Shape) -> list[tuple[float, float]]:
    """Points all along a shape's cut line, in its own frame."""
    cut = shape.cut
    if isinstance(cut, Circle):
        turns = [math.tau * step / 3600 for step in range(3600)]
        return [(cut.x + cut.radius * math.cos(t), cut.y + cut.radius * math.sin(t)) for t in turns]
    points = []
    for start, end in cut.edges():
        points.append((start.x, start.y))
        if start.bulge:
            points += [arc_of(start, end).at(step / 2000) for step in range(2000)]
    return points


def expected_bounds(placement: Placement, shape: Shape) -> Bounds:
    """Where a piece must lie: each point mirrored, turned as a complex number, and moved."""
    pose = placement.pose
    turn = complex(math.cos(math.radians(pose.turn_deg)), math.sin(math.radians(pose.turn_deg)))
    move = complex(pose.x_mm, pose.y_mm)
    lying = [complex(-x if pose.mirrored else x, y) * turn + move for x, y in outline_points(shape)]
    xs, ys = [point.real for point in lying], [point.imag for point in lying]
    return (min(xs), min(ys), max(xs), max(ys))


def drawn_bounds(element: etree._Element) -> Bounds:
    """Bounds of a drawn outline, mm of the mat, y up."""
    if element.tag == "circle":
        x, y, r = (float(element.get(key, "")) for key in ("cx", "cy", "r"))
        return (x - r, y - r, x + r, y + r)
    points = path_points(element.get("d", ""))
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


@pytest.mark.parametrize("job", WITH_LOADS, ids=lambda job: job.title)
def test_every_piece_is_in_exactly_one_picture_where_it_lies(job: Job) -> None:
    """Its outline in the picture of its own load has the bounds that its pose and shape give."""
    sheet = sheet_of(job)
    shown = {}
    for load, svg in zip(sheet.layout.loads, pictures(sheet), strict=True):
        for element in svg.xpath(".//*[@data-piece]"):
            name = element.get("data-piece")
            assert name not in shown
            shown[name] = (load.name, drawn_bounds(element))
    laid = {
        placement.piece_id: (load.name, expected_bounds(placement, sheet.layout.shape(placement.shape)))
        for load in sheet.layout.loads
        for fabric in load.fabrics
        for placement in fabric.placements
    }
    assert shown.keys() == laid.keys()
    for name, (load, box) in laid.items():
        assert shown[name][0] == load
        assert shown[name][1] == pytest.approx(box, abs=NEAR_MM)


@pytest.mark.parametrize("job", WITH_LOADS, ids=lambda job: job.title)
def test_the_picture_is_upright_on_the_mat(job: Job) -> None:
    """A group that turns y over, about the mat's height, holds all that lies on the mat."""
    sheet = sheet_of(job)
    for svg in pictures(sheet):
        group = svg.find("g")
        assert group is not None
        words = re.fullmatch(r"translate\(0 ([\d.]+)\) scale\(1 -1\)", group.get("transform", ""))
        assert words
        assert float(words[1]) == pytest.approx(job.mat.height_mm)
        assert len(group.xpath(".//*[@data-piece]")) == len(svg.xpath(".//*[@data-piece]"))


@pytest.mark.parametrize("job", WITH_LOADS, ids=lambda job: job.title)
def test_every_fabric_lies_where_the_layout_says(job: Job) -> None:
    """Rectangle by rectangle: corner, and sizes swapped where the fabric is turned."""
    sheet = sheet_of(job)
    for load, svg in zip(sheet.layout.loads, pictures(sheet), strict=True):
        rectangles = [
            (rect.get("data-fabric"), *(float(rect.get(key)) for key in ("x", "y", "width", "height")))
            for rect in svg.xpath(".//*[@data-fabric]")
        ]
        for laid, (name, *rect) in zip(load.fabrics, rectangles, strict=True):
            sizes = (laid.width_mm, laid.length_mm)
            across, up = sizes if laid.turn_deg == 0 else reversed(sizes)
            assert name == laid.fabric
            assert rect == pytest.approx([laid.x_mm, laid.y_mm, across, up], abs=NEAR_MM)


def test_some_fabric_lies_turned() -> None:
    """Else the tests above would not have seen one."""
    laid = [laid for load in sheet_of(ACROSS).layout.loads for laid in load.fabrics]
    assert any(fabric.turn_deg == 90 for fabric in laid)


def meet(a: Box, b: Box) -> bool:
    return a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom


@pytest.mark.parametrize("scale", [2.0, 3.5, 4.5])
@pytest.mark.parametrize("job", WITH_LOADS, ids=lambda job: job.title)
def test_no_text_lies_on_another(job: Job, scale: float) -> None:
    """Labels and badges of a load keep apart, and there is one for each piece and each fabric."""
    sheet = sheet_of(job)
    for load in sheet.layout.loads:
        texts = LoadTexts.for_load(load, sheet.layout, scale)
        pieces = [placement.piece_id for laid in load.fabrics for placement in laid.placements]
        assert [label.piece_id for label in texts.labels] == pieces
        assert len(texts.badges) == len(load.fabrics)
        boxes = [label.box for label in texts.labels] + [badge.box for badge in texts.badges]
        for a, b in itertools.combinations(boxes, 2):
            assert not meet(a, b)


@pytest.mark.parametrize("job", WITH_LOADS, ids=lambda job: job.title)
def test_a_label_lies_in_its_own_piece_and_says_its_number(job: Job) -> None:
    """Within the piece's bounds, the whole label or the number."""
    sheet = sheet_of(job)
    for load in sheet.layout.loads:
        texts = {label.piece_id: label for label in LoadTexts.for_load(load, sheet.layout, 3.5).labels}
        for laid in load.fabrics:
            for placement in laid.placements:
                label = texts[placement.piece_id]
                left, low, right, high = expected_bounds(placement, sheet.layout.shape(placement.shape))
                assert label.text in (placement.label, placement.short_label)
                assert left <= label.box.left
                assert low <= label.box.top
                assert label.box.right <= right
                assert label.box.bottom <= high


def test_the_grain_arrow_turns_with_the_fabric() -> None:
    """Drawn pointing up, an arrow on turned fabric is turned a quarter to the left."""
    sheet = sheet_of(ACROSS)
    for load, svg in zip(sheet.layout.loads, pictures(sheet), strict=True):
        turns = [
            float(re.match(r"rotate\(([\d.-]+) ", group.get("transform", ""))[1])  # type: ignore[index]
            for group in svg.findall("g")[1:]
        ]
        # SVG turns clockwise.
        assert turns == [-laid.turn_deg for laid in load.fabrics]


@pytest.mark.parametrize(
    ("job", "entry"),
    [(HARBOUR, "drawn by the pen"), (HARBOUR, "register mark"), (ACROSS, "register mark")],
    ids=str,
)
def test_the_legend_names_what_is_there(job: Job, entry: str) -> None:
    """With a pen and marks, both are explained, once, before the first load."""
    sheet = sheet_of(job)
    assert entry in legend_of(sheet)
    assert not any(entry in "".join(svg.itertext()) for svg in pictures(sheet))


def legend_of(sheet: JobSheet) -> str:
    """The words of the one legend."""
    (section,) = (s for s in sheet.tree.iter("section") if s.findtext("h2") == "On the mat")
    (legend,) = section.iter("svg")
    return "".join(legend.itertext())


def test_the_legend_leaves_out_what_is_not_there() -> None:
    """No pen, no marks: no words about them."""
    words = legend_of(sheet_of(PLAIN_FAN))
    assert "cut" in words
    assert "pen" not in words
    assert "register" not in words


@pytest.mark.parametrize("job", ALL, ids=lambda job: job.title)
def test_there_are_as_many_pictures_as_loads(job: Job) -> None:
    """None at all where everything is cut by hand."""
    sheet = sheet_of(job)
    assert len(pictures(sheet)) == len(sheet.layout.loads)
    assert (len(sheet.layout.loads) == 0) == (job is BY_HAND)


@pytest.mark.parametrize(("job", "shapes"), [(HARBOUR, 7), (ACROSS, 7), (PLAIN_FAN, 0)], ids=str)
def test_register_marks_stand_in_three_corners(job: Job, shapes: int) -> None:
    """Crosses or rings with dots, the odd one both cross and ring; none where none is wanted."""
    for svg in pictures(sheet_of(job)):
        group = svg.find("g")
        assert group is not None
        marks = list(group)[-shapes:] if shapes else []
        middles = {
            (round((box[0] + box[2]) / 2, 2), round((box[1] + box[3]) / 2, 2))
            for box in map(drawn_bounds, marks)
        }
        assert len(middles) == (0 if job.machine.register is Register.NONE else 3)
        corner = (job.mat.width_mm / 2, job.mat.height_mm / 2)
        assert not any(x > corner[0] and y > corner[1] for x, y in middles)


def test_paths_are_closed_outlines() -> None:
    """What is cut is drawn as a closed line."""
    sheet = sheet_of(HARBOUR)
    for svg in pictures(sheet):
        for path in svg.xpath(".//path[@data-piece]"):
            assert path.get("d").endswith("Z")
    assert any(isinstance(shape.cut, Path) for shape in sheet.layout.shapes)


def test_a_badge_rather_hides_cloth_than_a_label() -> None:
    """On fabric that is all pieces it lies where more is covered, if that keeps it off a label."""
    tall = Shape("tall", ring((0.0, 0.0), (40.0, 0.0), (40.0, 38.0), (0.0, 38.0)), (), symmetric=False)
    low = Shape("low", ring((0.0, 0.0), (36.0, 0.0), (36.0, 12.0), (0.0, 12.0)), (), symmetric=False)
    pieces = (
        Placement("tide-tall-001", "tall", 1, "tide 1", Pose(0.0, 12.0)),
        Placement("tide-low-001", "low", 1, "tide 1", Pose(0.0, 0.0)),
    )
    laid = PlacedFabric("tide", 1, 0.0, 0.0, 40.0, 50.0, 0.0, 0.0, None, pieces)
    load = Load("load-01", (laid,))
    texts = LoadTexts.for_load(load, Layout((tall, low), (load,), (), (), (), ()), 2.0)
    (badge,) = texts.badges
    assert badge.text == "A"
    assert len(texts.labels) == 2
    assert not any(meet(badge.box, label.box) for label in texts.labels)


def test_what_holds_for_all_loads_is_told_once() -> None:
    """What the marks look like and how to read the pictures, before the loads."""
    sheet = sheet_of(HARBOUR)
    assert len(sheet.layout.loads) > 1
    for words in ("three corners of the mat", "its lower edge nearest to you", "lay it back"):
        assert sheet.text.count(words) == sheet.section("On the mat").count(words) == 1
    assert "three corners" not in sheet_of(PLAIN_FAN).text


def test_loads_lie_two_to_a_page_where_their_pictures_stay_legible() -> None:
    """A mat of 12 × 24 in beside its steps in half a page; one of 4 ft takes a page, a wide one its width."""

    def height_mm(width: float, height: float) -> float:
        job = replace(HARBOUR, mat=replace(HARBOUR.mat, width_mm=width * 25.4, height_mm=height * 25.4))
        bench = Bench(sheet_of(HARBOUR).layout, job.mat, job.machine.register, Cloths.of_job(job, {}))
        return job.mat.height_mm / bench.scale

    assert height_mm(12, 24) == pytest.approx(76)
    assert height_mm(24, 24) < 100
    assert height_mm(24, 48) == pytest.approx(164)
    assert height_mm(24, 12) == pytest.approx(86)


@pytest.mark.parametrize("job", WITH_LOADS, ids=lambda job: job.title)
def test_a_badge_hides_no_piece(job: Job) -> None:
    """Its white ground is drawn only where it lies on cloth alone; elsewhere the piece shows through."""
    sheet = sheet_of(job)
    scale = Bench(sheet.layout, job.mat, job.machine.register, Cloths.of_job(job, {})).scale
    for load, svg in zip(sheet.layout.loads, pictures(sheet), strict=True):
        pieces = shapely.union_all(
            [
                shapely.Polygon(drawn_points(element)).buffer(-1e-3)
                for element in svg.xpath(".//*[@data-piece]")
            ]
        )
        grounds = [rect for rect in svg.findall("rect") if rect.get("fill-opacity") == "0.9"]
        for rect in grounds:
            x, y, width, height = (float(rect.get(key)) for key in ("x", "y", "width", "height"))
            top = job.mat.height_mm - y
            assert not pieces.intersects(shapely.box(x, top - height, x + width, top))
        texts = LoadTexts.for_load(load, sheet.layout, scale)
        assert len(grounds) == sum(badge.is_clear for badge in texts.badges)


def drawn_points(element: etree._Element) -> list[tuple[float, float]]:
    """Points all along a drawn outline."""
    if element.tag == "circle":
        x, y, r = (float(element.get(key, "")) for key in ("cx", "cy", "r"))
        return [(x + r * math.cos(t), y + r * math.sin(t)) for t in np.linspace(0, math.tau, 200)]
    return path_points(element.get("d", ""))
