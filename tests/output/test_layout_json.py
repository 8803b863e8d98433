"""layout.json: what the contract promises of it, and the seal by which we know our own files."""

from __future__ import annotations

import hashlib
import json
import math

import pytest
from hypothesis import given, settings

from cutfiles.core.errors import GeometryError
from cutfiles.job.model.job import Job
from cutfiles.nest.base.clock import Clock
from cutfiles.nest.nest import Bed, nest
from cutfiles.output import layout_json as module
from cutfiles.output.layout_json import FORMAT, layout_json, own_sums, sealed
from cutfiles.pieces.cutlist import cut_list
from cutfiles.plate.measure import plate_of
from cutfiles.toolpath.toolpath import plan_cuts
from tests import strategies

FILES = {"load-01.svg": b"<svg/>", "load-02.svg": b"<svg>2</svg>", "job-sheet.html": b"<p>"}


@settings(max_examples=4, deadline=None)
@given(job=strategies.jobs(most_plates=1))
def test_the_layout_says_where_every_piece_lies(job: Job) -> None:
    """Loads, fabrics and pieces stand in it under the names and with the numbers of the contract."""
    pieces = cut_list(job, plate_of(job))
    layout = nest(pieces, Bed(job.mat, job.machine, job.unit), clock=Clock())
    plan = plan_cuts(layout, job.mat, job.machine)
    read = json.loads(sealed(layout_json(job, {"blade": {}}, layout, plan), FILES))
    assert (read["format"], read["version"], read["title"]) == ("cutfiles layout", 1, job.title)
    assert [load["name"] for load in read["loads"]] == [load.name for load in layout.loads]
    for load, there in zip(layout.loads, read["loads"], strict=True):
        assert math.isclose(there["width_mm"], job.mat.width_mm, abs_tol=1e-6)
        assert math.isclose(there["height_mm"], job.mat.height_mm, abs_tol=1e-6)
        for laid, rect in zip(load.fabrics, there["fabrics"], strict=True):
            assert (rect["fabric"], rect["turn_deg"]) == (laid.fabric, laid.turn_deg)
            for key in ("x_mm", "y_mm", "width_mm", "length_mm", "margin_mm"):
                assert math.isclose(rect[key], getattr(laid, key), abs_tol=1e-6)
            assert rect["turns_deg"] == (None if laid.turns_deg is None else list(laid.turns_deg))
            for placement, piece in zip(laid.placements, rect["pieces"], strict=True):
                assert (piece["id"], piece["shape"]) == (placement.piece_id, placement.shape)
                assert piece["mirrored"] is placement.pose.mirrored
                for key in ("x_mm", "y_mm", "turn_deg"):
                    assert math.isclose(piece[key], getattr(placement.pose, key), abs_tol=1e-6)
    assert [shape["name"] for shape in read["shapes"]] == [shape.name for shape in layout.shapes]
    assert read["notes"] == [*layout.notes, *plan.notes]


def test_numbers_are_rounded_and_nan_is_refused() -> None:
    """Six decimals are written, and no NaN gets into a file."""
    assert b"0.333333" in sealed({"format": FORMAT, "mat": [1 / 3]}, {})
    with pytest.raises(GeometryError):
        sealed({"format": FORMAT, "mat": {"width_mm": math.nan}}, {})


def test_a_bulge_keeps_nine_decimals() -> None:
    """An arc a metre long would move by its sixth."""
    shape = {"name": "leaf", "cut": {"vertices": [[1 / 3, 2 / 3, 1 / 7], [1.0, 2.0, 0.0]]}}
    text = sealed({"format": FORMAT, "shapes": [shape]}, FILES)
    read = json.loads(text)["shapes"][0]["cut"]["vertices"]
    assert read == [[0.333333, 0.666667, 0.142857143], [1.0, 2.0, 0.0]]
    assert own_sums(text) is not None


@pytest.mark.parametrize("vertices", [1, "a", [1], [["a", "b", "c"]], [[1, 2]], {"a": 1}])
def test_odd_vertices_are_no_error(vertices: object) -> None:
    """A layout of another maker may hold anything under that name."""
    assert own_sums(json.dumps({"format": FORMAT, "vertices": vertices, "seal": "x"}).encode()) is None


def test_the_sums_of_a_sealed_layout_are_read_back() -> None:
    """Every file's sum is there under its name."""
    sums = own_sums(sealed({"format": FORMAT, "mat": 1.5}, FILES))
    assert sums == {name: hashlib.sha256(content).hexdigest() for name, content in FILES.items()}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("1.5", "1.6"),
        ("load-01.svg", "load-03.svg"),
        ("cutfiles layout", "other layout"),
        ('"mat"', '"mats"'),
    ],
)
def test_a_layout_with_a_changed_word_is_not_ours(old: str, new: str) -> None:
    """The seal covers every number and every name."""
    text = sealed({"format": FORMAT, "mat": 1.5}, FILES)
    assert old.encode() in text
    assert own_sums(text.replace(old.encode(), new.encode())) is None


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"not json",
        b"\xff\xfe",
        b"[]",
        b"null",
        b'"seal"',
        b"{}",
        b'{"seal": "x", "format": "cutfiles layout", "files": [], "mat": NaN}',
        b'{"seal": "x", "format": "cutfiles layout", "files": [], "mat": 1e999}',
        b'{"seal": "x", "format": "cutfiles layout", "title": "\\ud800"}',
        b"[" * 100_000,
    ],
    ids=lambda text: text[:24].decode(errors="replace"),
)
def test_a_text_that_is_no_layout_of_ours_is_no_error(text: bytes) -> None:
    """Whatever lies there under that name, it is just not ours."""
    assert own_sums(text) is None


@pytest.mark.parametrize("files", [[{"name": "a"}], {"a": 1}, [1], "a", None])
def test_a_sealed_layout_with_odd_sums_is_not_ours(files: object) -> None:
    """A seal alone doesn't make a list of files readable."""
    layout = {"format": FORMAT, "files": files}
    text = json.dumps({**layout, "seal": module._seal(layout)}).encode()
    assert own_sums(text) is None
