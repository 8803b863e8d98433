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
