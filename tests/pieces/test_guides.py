"""Guides are drawn where the plate will be laid, and nowhere else."""

from __future__ import annotations

import pytest

from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import Face
from cutfiles.job.parse.read import parse_job
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pipeline import Options, Sized, make
from cutfiles.plate.measure import plate_of
from tests.conftest import at_once

JOB = """
[plate]
count = 1
blade_length = "3 in"
inner_radius = "1 in"

[centre]

[background]

[[fabric]]
name = "tide"
width = 42
length = 18
cuts = {{ blade = "rest", centre = "rest"{with_background} }}

{own}

[mat]
width = 44
height = 60

[machine]
draw = ["sew", "notch"]
"""
OWN = """
[[fabric]]
name = "sailcloth"
width = 42
length = 18
cuts = {{ background = "rest" }}
{face}
"""
WRONG = 'face = "wrong side up"'


def job_text(*, own: bool, face: str = "") -> str:
    """A plate whose background comes from a fabric of its own, or from that of the blades."""
    with_background = "" if own else ', background = "rest"'
    return JOB.format(with_background=with_background, own=OWN.format(face=face) if own else "")


@pytest.mark.parametrize(
    ("text", "face", "guided"),
    [
        (job_text(own=True), Face.RIGHT_SIDE_UP, True),
        (job_text(own=True, face=WRONG), Face.WRONG_SIDE_UP, False),
        (job_text(own=False), Face.WRONG_SIDE_UP, False),
    ],
)
def test_a_background_has_guides_on_its_right_side_alone(text: str, face: Face, *, guided: bool) -> None:
    """It lies so by itself where its fabric gives nothing else; blades keep lines on their backs."""
    job = parse_job(text)
    assert job.fabrics[-1].face is face
    assert job.fabrics[0].face is Face.WRONG_SIDE_UP
    shapes = {shape.name: shape for shape in cut_list(job, plate_of(job)).shapes}
    assert bool(shapes["background"].marks) is guided
    assert shapes["blade"].marks


@pytest.mark.parametrize("face", ['{ background = "right side up" }', '{ blade = "wrong side up" }'])
def test_a_background_may_lie_the_other_way_than_the_blades_of_its_fabric(face: str) -> None:
    """Then it has its guides, and blades keep lines on their backs; a table alone is enough to say so."""
    text = job_text(own=False).replace("length = 18\n", f"length = 18\npieces = 2\nface = {face}\n")
    job = parse_job(text)
    (fabric,) = job.fabrics
    faces = {shape: fabric.face_of(shape) for shape, _ in fabric.cuts}
    wrong, right = Face.WRONG_SIDE_UP, Face.RIGHT_SIDE_UP
    assert faces == {"blade": wrong, "centre": wrong, "background": right}
    shapes = {shape.name: shape for shape in cut_list(job, plate_of(job)).shapes}
    assert shapes["background"].marks
    assert shapes["background"].note == ""


def test_one_side_for_all_shapes_is_one_side() -> None:
    """However it is written."""
    text = job_text(own=False)
    word = text.replace("length = 18\n", 'length = 18\nface = "right side up"\n')
    each = '{ blade = "right side up", centre = "right side up" }'
    table = text.replace("length = 18\n", f"length = 18\nface = {each}\n")
    assert parse_job(word) == parse_job(table)


def test_who_gets_no_guides_is_told_so() -> None:
    """On screen, with what to do; where the pen draws no sew lines nobody misses them."""
    text = job_text(own=False)
    for asked, told in ((text, True), (text.replace('"sew", ', ""), False)):
        job = parse_job(asked)
        made = make(Sized(job, plate_of(job), ()), Options(around_search=at_once))
        notes = [note for note in made.notes if note.startswith("background: ")]
        assert [("creases" in note and "right side up" in note) for note in notes] == [True] * told
        on_it = [s for load in made.plan.loads for s in load.strokes if "background" in s.piece_id]
        assert not [stroke for stroke in on_it if stroke.kind is Drawn.SEW]


@pytest.mark.parametrize("by_hand", ['[job]\ncut = "by hand"', ""])
def test_who_cuts_a_background_by_hand_draws_its_guides_on_the_right_side(by_hand: str) -> None:
    """However its fabric lies: a person turns it over. So nobody is told that there are none."""
    text = by_hand + job_text(own=False).replace("[background]", "[background]\nmargin = 8")
    text = text.replace("length = 18", "length = 60")
    text = text.replace("width = 44\nheight = 60", "width = 12\nheight = 12")
    job = parse_job(text)
    made = make(Sized(job, plate_of(job), ()), Options(around_search=at_once))
    assert ("tide", "background") in [(cut.fabric, cut.shape) for cut in made.nested.hand_cuts]
    assert not [note for note in made.notes if note.startswith("background: ")]
    sheet = made.files["job-sheet.html"].decode()
    _, told = sheet.split("Mark on the right side of each, with a ruler and compass:")
    assert told.index("Guide circle: ") < told.index("</ul>")
