"""Labels and grain arrows: on the piece, clear of its edge and of every other line."""

from __future__ import annotations

import hashlib
import math
from dataclasses import replace
from pathlib import Path as File

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, Side, bounds, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import MachineSpec, MatSpec, Register
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.pieces.lettering import letters
from cutfiles.pieces.lettering.label import (
    CAPITALS_MM,
    FROM_EDGE_MM,
    FROM_LINE_MM,
    LabelArea,
    Written,
    write_on,
)
from cutfiles.pieces.lettering.letters import written
from cutfiles.pieces.plate_shapes import background_shape, blade_shape, centre_shape
from cutfiles.pieces.shape import Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.plate import Plate
from cutfiles.tips.registry import Tip
from cutfiles.toolpath.toolpath import plan_cuts
from tests.pieces.test_plate_shapes import drawn, polygon
from tests.strategies import blades, plates

ROUNDED = 0.97  # clearances are kept off 16-sided circles, which are that much short of true ones
HARBOUR = Blade(20, 31.75, 120.65, 6.35, Tip.FOLDED)
TEXTS = ("tide 12", "tid 12", "12")


def assert_clear(area: LabelArea, lettering: Written) -> None:
    """All strokes lie inside the cut line with clearance, off the drawn lines, and off each other."""
    piece = polygon(area.cut, side=Side.OUTSIDE)
    lines = [drawn(line) for line in area.lines]
    arrow = shapely.union_all([drawn(stroke) for stroke in lettering.arrow])
    label = shapely.union_all([drawn(stroke) for stroke in lettering.label])
    for own in (arrow, label):
        if own.is_empty:
            continue
        assert piece.contains(own)
        assert own.distance(piece.exterior) >= ROUNDED * FROM_EDGE_MM
        assert all(own.distance(line) >= ROUNDED * FROM_LINE_MM for line in lines)
    if not (arrow.is_empty or label.is_empty):
        assert arrow.distance(label) >= ROUNDED * FROM_LINE_MM


def shapes_of(plate: Plate) -> list[Shape]:
    shapes = [blade_shape(plate.blade)]
    if plate.centre:
        shapes.append(centre_shape(plate.centre))
    if plate.background:
        shapes.append(background_shape(plate))
    return shapes


@settings(max_examples=25)
@given(
    plate=plates(),
    marked=st.sets(st.sampled_from([Drawn.SEW, Drawn.FOLD, Drawn.NOTCH])),
    grain=st.one_of(st.none(), st.sampled_from([0.0, 90.0]), st.floats(0, 180)),
    mirrored=st.booleans(),
)
def test_lettering_keeps_clear_on_every_shape(
    plate: Plate, marked: set[Drawn], grain: float | None, mirrored: bool
) -> None:
    """On blades, centres and backgrounds of all sizes, with whatever else is drawn, flipped or not."""
    for shape in shapes_of(plate):
        flip = Pose(mirrored=mirrored)
        lines = tuple(placed(mark.path, flip) for mark in shape.marks if mark.kind in marked)
        area = LabelArea(placed(shape.cut, flip), lines)
        lettering = write_on(area, texts=TEXTS, grain_deg=grain)
        assert_clear(area, lettering)
        assert bool(lettering.label) == bool(lettering.text)
        assert lettering.text in (*TEXTS, "")


@given(blade=blades(counts=st.integers(8, 24)), grain=st.floats(0, 180))
@settings(max_examples=30)
def test_an_arrow_lies_along_the_grain(blade: Blade, grain: float) -> None:
    """Its long stroke points the way that was asked for."""
    lettering = write_on(LabelArea(blade_shape(blade).cut, ()), texts=(), grain_deg=grain)
    assert lettering.label == ()
    if lettering.arrow:
        first, last = lettering.arrow[0].vertices
        turn = math.degrees(math.atan2(last.y - first.y, last.x - first.x))
        assert min((turn - grain) % 180, (grain - turn) % 180) < 1e-6


def test_the_usual_blade_has_room_for_everything() -> None:
    """Full label in the largest letters and the longest arrow, with all lines drawn."""
    shape = blade_shape(HARBOUR)
    area = LabelArea(shape.cut, tuple(mark.path for mark in shape.marks))
    lettering = write_on(area, texts=TEXTS, grain_deg=90.0)
    assert lettering.text == "tide 12"
    assert len(lettering.arrow) == 3
    assert_clear(area, lettering)


def box(width: float, height: float) -> LabelArea:
    return LabelArea(ring((0, 0), (width, 0), (width, height), (0, height)), ())


def room_for(text: str, capitals: float) -> LabelArea:
    """A rectangle that just holds a text."""
    lettering = written(text, capitals_mm=capitals)
    edge = 2 * FROM_EDGE_MM + 0.01
    return box(lettering.width_mm + edge, lettering.height_mm + edge)


@pytest.mark.parametrize("capitals", CAPITALS_MM)
def test_a_label_is_written_smaller_before_it_is_shortened(capitals: float) -> None:
    """Where only smaller letters fit, the whole text is written in them."""
    lettering = write_on(room_for("tide 12", capitals), texts=TEXTS, grain_deg=None)
    assert lettering.text == "tide 12"
    least_x, _, greatest_x, _ = shapely.union_all([drawn(stroke) for stroke in lettering.label]).bounds
    assert greatest_x - least_x == pytest.approx(written("tide 12", capitals_mm=capitals).width_mm)


def test_a_label_is_shortened_and_then_left_out() -> None:
    """First the short form, then the bare number, then nothing."""
    smallest = CAPITALS_MM[-1]
    for text in ("tid 12", "12"):
        assert write_on(room_for(text, smallest), texts=TEXTS, grain_deg=None).text == text
    assert write_on(box(5.0, 5.0), texts=TEXTS, grain_deg=0.0) == Written((), (), "")


def planned(shape: Shape, *, draw: tuple[Drawn, ...], fabric: str = "tide") -> tuple[str, ...]:
    """The notes of a plan with twelve pieces of one shape."""
    laid = PlacedFabric(
        fabric, 1, 0.0, 0.0, 900.0, 900.0, 0.0, 0.0, (0.0,),
        tuple(
            Placement(f"{fabric}-{shape.name}-{n:03d}", shape.name, n, f"{fabric} {n}", Pose(60.0 * n, 0.0))
            for n in range(1, 13)
        ),
    )  # fmt: skip
    layout = Layout((shape,), (Load("load-01", (laid,)),), (), (), (), ())
    machine = MachineSpec(1.0, draw, 0.0, Register.NONE)
    return plan_cuts(layout, MatSpec(900.0, 900.0, 0.0), machine).notes


def test_labels_that_fit_need_no_note() -> None:
    """Nothing to say about the usual blade."""
    assert planned(blade_shape(HARBOUR), draw=tuple(Drawn)) == ()


def test_shortened_and_missing_labels_are_noted() -> None:
    """How many of which shape, so that a person can mark them by hand."""
    slim = Shape("leaf", ring((0, 0), (5.8, 0), (5.8, 17.0), (0, 17.0)), (), symmetric=False)
    notes = planned(slim, draw=(Drawn.LABEL,), fabric="samphire")
    assert any("leaf" in note and "shortened" in note and "12" in note for note in notes)
    tiny = replace(slim, cut=ring((0, 0), (4, 0), (4, 4), (0, 4)))
    notes = planned(tiny, draw=(Drawn.LABEL, Drawn.GRAIN))
    assert any("leaf" in note and "no label on" in note and "12" in note for note in notes)
    assert any("leaf" in note and "no grain arrow on" in note for note in notes)
    assert planned(tiny, draw=()) == ()


@given(
    text=st.text(alphabet="abcdefghijklmnopqrstuvwxyzABCXYZ0123456789-", min_size=1, max_size=12),
    capitals=st.floats(1.0, 20.0),
)
def test_lettering_fills_its_own_box_from_the_origin(text: str, capitals: float) -> None:
    """Width and height are those of the strokes, whose lower left corner is the origin."""
    lettering = written(text, capitals_mm=capitals)
    extent = shapely.union_all([drawn(stroke) for stroke in lettering.strokes]).bounds
    assert extent == pytest.approx((0, 0, lettering.width_mm, lettering.height_mm), abs=1e-9)


FACE = File(letters.__file__).with_name("roman_simplex.txt").read_text(encoding="ascii")
# The sum over all 95 characters and their strokes as drawn while they came from the package Hershey-Fonts
# 2.1.0, each number as Python writes it.
AS_DISTRIBUTED = "b30ddf9278ddfc4d610a73ff71ad502db3949e6469db92c91b6eb0cbbe8e277e"


def test_the_face_is_the_distributed_one() -> None:
    """Every stroke of every character, to the last bit."""
    said = []
    for character in map(chr, range(32, 127)):
        strokes = [stroke.vertices for stroke in written(character, capitals_mm=750.0).strokes]
        said.append(f"{character} {[[(x, y) for x, y, _ in stroke] for stroke in strokes]}")
    assert hashlib.sha256("\n".join(said).encode()).hexdigest() == AS_DISTRIBUTED


def test_the_face_goes_with_its_acknowledgement() -> None:
    """Whoever distributes the font data must name who made it and its format."""
    acknowledged = " ".join(FACE.partition("\n\n")[0].replace("#", "").split())
    assert "originally created by Dr. A. V. Hershey while working at the U.S. National Bureau" in acknowledged
    assert "James Hurt, Cognition, Inc., 900 Technology Park Drive, Billerica, MA 01821" in acknowledged


def test_a_letter_is_drawn_as_its_line_says() -> None:
    """An A decoded by hand: two slopes from its top, and a bar 7 of its 21 units up."""
    assert "\nA I[RFJ[ RRFZ[ RMTWT\n" in FACE
    strokes = [
        [round(number) for vertex in stroke.vertices for number in vertex[:2]]
        for stroke in written("A", capitals_mm=21.0).strokes
    ]
    assert strokes == [[8, 21, 0, 0], [8, 21, 16, 0], [3, 7, 13, 7]]


@given(text=st.text(alphabet="abcdefghijklmnopqrstuvwxyzABCXYZ0123456789 -./()", min_size=1, max_size=12))
def test_characters_stand_one_behind_another(text: str) -> None:
    """Each begins where the one before it ends, by the sides that the face gives it."""
    ahead, meant = 0, []
    for character in text:
        coded = FACE[FACE.index(f"\n{character} ", FACE.index("\n\n")) + 3 :].partition("\n")[0]
        left, right = (ord(side) - ord("R") for side in coded[:2])
        for stroke in coded[2:].split(" R"):
            if len(stroke) > 2:
                xs, ys = ([ord(letter) - ord("R") for letter in stroke[axis::2]] for axis in (0, 1))
                meant.append([(ahead + x - left, -y) for x, y in zip(xs, ys, strict=True)])
        ahead += right - left
    strokes = written(text, capitals_mm=21.0).strokes
    edge = min((x for stroke in meant for x, _ in stroke), default=0)
    foot = min((y for stroke in meant for _, y in stroke), default=0)
    assert len(strokes) == len(meant)
    for stroke, points in zip(strokes, meant, strict=True):
        for vertex, (x, y) in zip(stroke.vertices, points, strict=True):
            assert vertex[:2] == pytest.approx((x - edge, y - foot), abs=1e-9)


def test_capitals_are_as_high_as_asked() -> None:
    """A capital letter of 4 mm is 4 mm high; nothing written has no strokes."""
    assert written("H", capitals_mm=4.0).height_mm == pytest.approx(4.0)
    assert written("", capitals_mm=4.0).strokes == ()


def test_lettering_stays_inside_a_circle_however_it_is_chopped() -> None:
    """Checked against the true circle, not against a polygon that stands for it."""
    lettering = write_on(LabelArea(Circle(0.0, 0.0, 9.0), ()), texts=("lantern 9", "9"), grain_deg=None)
    reach = max(math.hypot(vertex.x, vertex.y) for stroke in lettering.label for vertex in stroke.vertices)
    assert reach <= 9.0 - FROM_EDGE_MM


def test_lettering_reads_upwards_or_to_the_right() -> None:
    """Never upside down on the piece, and never mirrored: a 7 has its bar on top in the reading direction."""
    for area, upright in ((box(8.0, 60.0), False), (box(60.0, 8.0), True)):
        lettering = write_on(area, texts=("17",), grain_deg=None)
        assert lettering.label
        first_digit, seven = _middles(lettering.label)
        assert (first_digit[0] < seven[0] - 1) if upright else (first_digit[1] < seven[1] - 1)


def _middles(strokes: tuple[Path, ...]) -> tuple[tuple[float, float], tuple[float, float]]:
    first, last = bounds(strokes[0]), bounds(strokes[-1])
    return ((first[0] + first[2]) / 2, (first[1] + first[3]) / 2), (
        (last[0] + last[2]) / 2,
        (last[1] + last[3]) / 2,
    )
