"""The picture of the finished plate: labels keep apart, blades have their true size, words tell sizes."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from lxml import etree
from PIL import ImageFont

from cutfiles.core.units import Unit
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.sheet.markup.colours import blade_colours
from cutfiles.sheet.markup.drawing import text_width
from cutfiles.sheet.markup.leaders import Column, Label, crosses, set_out
from cutfiles.sheet.pictures.plate import plate_picture
from cutfiles.tips.registry import Tip
from tests.sheet.svg_paths import path_points
from tests.strategies import plates
from tests.tips.outlines import TRUTHS

IN = 25.4
SVG = "{http://www.w3.org/2000/svg}"
BLADE = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)
RADIUS = BLADE.opening_radius_mm + IN / 4
HARBOUR = Plate(1, BLADE, 20, Centre(RADIUS, RADIUS + IN / 4), Background.square(14 * IN, 13.5 * IN))
FAN = replace(HARBOUR, sewn=5, background=None)


def picture(plate: Plate, unit: Unit = Unit.IN) -> etree._Element:
    return etree.fromstring(plate_picture(plate, unit))


def texts(svg: etree._Element) -> dict[str, tuple[float, float, float, float]]:
    """Each label with its box, measured with a real font; y down."""
    boxes = {}
    for text in svg.iter(f"{SVG}text"):
        size, x, y = (float(text.get(key, "")) for key in ("font-size", "x", "y"))
        words = text.text or ""
        width = ImageFont.load_default(size=100).getlength(words) * size / 100
        left = x - width / 2 if text.get("text-anchor") == "middle" else x
        boxes[words] = (left, y - size, left + width, y + 0.3 * size)
    return boxes


def apart(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


@given(plate=plates(), unit=st.sampled_from(Unit))
@example(plate=HARBOUR, unit=Unit.IN)
@example(plate=FAN, unit=Unit.MM)
@example(plate=replace(FAN, sewn=1), unit=Unit.CM)
@settings(max_examples=60, deadline=None)
def test_labels_keep_apart_and_inside_the_picture(plate: Plate, unit: Unit) -> None:
    """Measured with a real font, no two labels meet, and none is cut off."""
    svg = picture(plate, unit)
    left, top, width, height = (float(part) for part in svg.get("viewBox", "").split())
    boxes = list(texts(svg).values())
    assert boxes
    for a, b in itertools.combinations(boxes, 2):
        assert apart(a, b)
    for box in boxes:
        assert left <= box[0]
        assert box[2] <= left + width
        assert top <= box[1]
        assert box[3] <= top + height


@given(plate=plates())
@settings(max_examples=60, deadline=None)
def test_the_lines_to_the_labels_do_not_cross(plate: Plate) -> None:
    """Each label's line can be followed to its place."""
    svg = picture(plate)
    halos = [line for line in svg.findall(f"{SVG}line") if line.get("stroke") == "#ffffff"]
    ends = [
        tuple((float(line.get(f"x{end}", "")), float(line.get(f"y{end}", ""))) for end in "12")
        for line in halos
    ]
    for (a, b), (c, d) in itertools.combinations(ends, 2):
        assert not crosses(a, b, c, d)


@given(
    places=st.lists(st.tuples(st.integers(0, 400), st.integers(0, 400)), min_size=1, max_size=6, unique=True)
)
@settings(deadline=None)
def test_labels_of_any_places_stand_in_lines_that_do_not_cross(places: list[tuple[int, int]]) -> None:
    """Wherever the places lie left of the column, the labels keep a line's height apart."""
    column = Column(450.0, 0.0, 400.0, 13.0)
    labels = tuple(Label(f"place {number}", (float(x), float(y))) for number, (x, y) in enumerate(places))
    set_ = set_out(labels, column)
    assert sorted(label.text for label, _ in set_) == sorted(label.text for label in labels)
    for (first, first_end), (second, second_end) in itertools.combinations(set_, 2):
        assert abs(first_end[1] - second_end[1]) >= 1.5 * column.size
        assert not crosses(first.at, first_end, second.at, second_end)


def blade_points(svg: etree._Element) -> list[list[tuple[float, float]]]:
    """The corners of each blade, mm about the plate centre."""
    paths = [path.get("d", "") for path in svg.iter(f"{SVG}path") if path.get("class") == "blade"]
    corners = []
    for path in paths:
        ends = re.findall(r"[ML]([\d.-]+) ([\d.-]+)|A[\d.-]+ [\d.-]+ 0 [01] [01] ([\d.-]+) ([\d.-]+)", path)
        corners.append([(float(m or a), float(n or b)) for m, n, a, b in ends])
    return corners


@given(plate=plates(tip=Tip.FOLDED))
@settings(max_examples=30, deadline=None)
def test_each_sewn_blade_is_there_with_its_tip_where_it_ends(plate: Plate) -> None:
    """One outline a blade, its furthest corner at the tip's radius, all turned apart by the blade's angle."""
    blades = blade_points(picture(plate))
    assert len(blades) == plate.sewn
    tips = [max(corners, key=lambda point: math.hypot(*point)) for corners in blades]
    for tip in tips:
        assert math.hypot(*tip) == pytest.approx(plate.blade.tip_radius_mm, abs=1e-3)
    angles = sorted(math.degrees(math.atan2(y, x)) for x, y in tips)
    steps = [(b - a) % 360.0 for a, b in itertools.pairwise([*angles, angles[0]])]
    # What is sewn is the same left and right of the y axis.
    mirrored = sorted(round((180.0 - angle) % 360.0, 3) % 360.0 for angle in angles)
    assert sorted(round(angle % 360.0, 3) % 360.0 for angle in angles) == pytest.approx(mirrored, abs=0.01)
    within = sorted(steps)[: plate.sewn - 1]
    assert within == pytest.approx([360.0 / plate.blade.blades] * (plate.sewn - 1), abs=0.1)


@given(plate=plates(tip=Tip.ROUND))
@settings(max_examples=30, deadline=None)
def test_a_round_tip_reaches_its_radius(plate: Plate) -> None:
    """All along its arc, the furthest point lies at the tip's radius, however far the arc sweeps."""
    for path in picture(plate).iter(f"{SVG}path"):
        if path.get("class") == "blade":
            reach = max(math.hypot(x, y) for x, y in path_points(path.get("d", "")))
            assert reach == pytest.approx(plate.blade.tip_radius_mm, abs=1e-2)


@pytest.mark.parametrize("tip", Tip)
def test_arcs_are_drawn_as_arcs(tip: Tip) -> None:
    """Each tip has its corners and its arcs; only round ones have any."""
    truth = TRUTHS[tip]
    svg = picture(replace(HARBOUR, blade=replace(BLADE, tip=tip)))
    paths = [path.get("d", "") for path in svg.iter(f"{SVG}path") if path.get("class") == "blade"]
    assert {path.count("A") for path in paths} == {truth.arcs}
    assert {len(corners) for corners in blade_points(svg)} == {truth.finished_corners}


def test_the_usual_plate_tells_its_sizes() -> None:
    """Worked out by hand for twenty blades of 4 3/4 in."""
    assert set(texts(picture(HARBOUR))) == {
        "Finished, tip to tip: 11 1/2 in",
        "Background, cut: 14 in square",
        "Valleys: circle of 10 1/16 in",
        "Blade: 18°",
        "Centre: 3 in across",
        "Opening: 2 1/2 in at its widest",
    }


def test_without_two_opposite_tips_the_words_say_so() -> None:
    """Nineteen blades have no tip across from a tip."""
    blade = replace(BLADE, blades=19)
    words = " ".join(texts(picture(replace(HARBOUR, blade=blade, sewn=19))))
    assert "twice the tip radius" in words
    assert "tip to tip" not in words


def test_a_part_that_the_plate_lacks_has_no_label() -> None:
    """No centre, no background, no words about them."""
    words = " ".join(texts(picture(replace(HARBOUR, centre=None, background=None))))
    assert "Centre" not in words
    assert "Background" not in words


@given(count=st.integers(3, 60))
def test_neighbours_differ_in_colour_also_where_the_ring_closes(count: int) -> None:
    """No two blades side by side are of one colour."""
    colours = blade_colours(count, closed=True)
    assert len(colours) == count
    assert all(a != b for a, b in itertools.pairwise([*colours, colours[0]]))


@given(text=st.text("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 -/.,():°", min_size=1))
def test_text_is_never_wider_than_reckoned(text: str) -> None:
    """A real font stays within the width that the pictures leave for a text."""
    assert ImageFont.load_default(size=100).getlength(text) <= text_width(text, 100.0)


def test_the_picture_stands_alone() -> None:
    """It names nothing outside itself but the SVG namespace, and is the same each time."""
    text = plate_picture(HARBOUR, Unit.IN)
    assert re.findall(r"\w+://[^\"' ]+", text) == ["http://www.w3.org/2000/svg"]
    assert "href" not in text
    assert text == plate_picture(HARBOUR, Unit.IN)
