"""The cut list: which shapes, which lines on them, how many, and who gives them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings

from cutfiles.core.errors import GeometryError
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, Vertex, line, ring
from cutfiles.job.model.job import Job
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import Shape
from cutfiles.plate.measure import plate_of
from tests.strategies import jobs


@settings(max_examples=50)
@given(job=jobs())
def test_a_cut_list_has_every_shape_of_the_job_and_no_other(job: Job) -> None:
    """Blade first, then centre, background and the user's own, each with the count that is needed."""
    pieces = cut_list(job, plate_of(job))
    count = job.plate.count
    expected = [("blade", count * job.plate.sewn)]
    expected += [("centre", count)] if job.centre else []
    expected += [("background", count)] if job.background else []
    expected += [(outline.name, outline.count) for outline in job.outlines]
    assert list(pieces.needs) == expected
    assert [shape.name for shape in pieces.shapes] == [name for name, _ in expected]
    for name, _ in expected:
        assert pieces.shape(name).name == name


@settings(max_examples=50)
@given(job=jobs())
def test_only_wanted_lines_are_drawn_and_all_of_those(job: Job) -> None:
    """A line is on the list if, and only if, the machine is to draw its kind."""
    plate = plate_of(job)
    wanted = set(job.machine.draw)
    marks = cut_list(job, plate).shape("blade").marks
    cut = [mark.path for mark in marks if mark.kind is Drawn.CUT]
    assert cut == ([blade_shape(plate.blade).cut] if Drawn.CUT in wanted else [])
    inside = tuple(mark for mark in marks if mark.kind is not Drawn.CUT)
    assert inside == tuple(mark for mark in blade_shape(plate.blade).marks if mark.kind in wanted)
    assert {mark.kind for shape in cut_list(job, plate).shapes for mark in shape.marks} <= wanted
    assert not {Drawn.LABEL, Drawn.GRAIN} & {mark.kind for mark in marks}


@settings(max_examples=50)
@given(job=jobs())
def test_each_fabric_is_asked_for_what_the_job_says(job: Job) -> None:
    """In the order of the file."""
    demands = cut_list(job, plate_of(job)).demands
    assert [(demand.fabric, demand.counts) for demand in demands] == [
        (fabric, fabric.cuts) for fabric in job.fabrics
    ]


@pytest.mark.parametrize(
    ("cut", "says"),
    [
        (line((0, 0), (9, 0), (0, 9)), "not closed"),
        (ring((0, 0), (0, 9), (9, 0)), "no area"),  # clockwise
        (ring((0, 0), (9, 0), (5, 0)), "no area"),
        (Path((Vertex(0, 0, -1.0), Vertex(9, 0)), closed=True), "no area"),
    ],
)
def test_what_cannot_be_cut_is_no_shape(cut: Path, says: str) -> None:
    """Open, flat or clockwise outlines are refused, with the shape's name."""
    with pytest.raises(GeometryError, match=says) as caught:
        Shape("leaf", cut, (), symmetric=False)
    assert "leaf" in str(caught.value)


def test_a_circle_is_a_shape() -> None:
    """It is closed and has an area by nature."""
    assert Shape("centre", Circle(0, 0, math.pi), (), symmetric=True).cut == Circle(0, 0, math.pi)
