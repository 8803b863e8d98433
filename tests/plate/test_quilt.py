"""A quilt of blocks: the trade's numbers, and that backing and binding do for what they go around."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.errors import JobError
from cutfiles.core.units import MM_PER_INCH, Unit
from cutfiles.job.model.job import Job
from cutfiles.job.parse.read import parse_job
from cutfiles.pipeline import size
from cutfiles.plate.measure import plate_of
from cutfiles.plate.quilt import Quilt, quilt_of
from cutfiles.plate.words import quilt_lines

IN = MM_PER_INCH
JOB = """
[plate]
blade_length = "4 3/4"
inner_radius = "1 1/4"
{plate}
[background]

[quilt]
{quilt}

[[fabric]]
name = "sailcloth"
width = 42
length = 60
{cuts}
"""


def job_of(quilt: str, *, plate: str = "", cuts: str = "") -> Job:
    """Return a job of blocks of 12 1/2 in, finished."""
    return parse_job(JOB.format(quilt=quilt, plate=plate, cuts=cuts))


def _quilt(job: Job) -> Quilt:
    quilt = quilt_of(job, plate_of(job))
    assert quilt is not None
    return quilt


def test_three_blocks_are_the_runner_of_the_trade() -> None:
    """37.5 × 12.5; binding (100 + 10)/40 rounded up, 3 strips; backing 2 in more all round."""
    job = job_of("columns = 3")
    quilt = _quilt(job)
    assert job.plate.count == 3
    assert (quilt.width_mm / IN, quilt.height_mm / IN) == pytest.approx((37.5, 12.5))
    assert quilt.binding_strips == 3
    assert tuple(side / IN for side in quilt.backing_mm) == pytest.approx((41.5, 16.5))
    # 41 1/2 in don't lie across 40 in of cloth, but 16 1/2 do.
    assert quilt.backing is not None
    assert (quilt.backing.count, quilt.backing.width_mm / IN, quilt.backing.length_mm / IN) == pytest.approx(
        (1, 16.5, 41.5)
    )


@given(rows=st.integers(1, 6), columns=st.integers(1, 6), strip=st.integers(20, 60), more=st.integers(1, 6))
def test_panels_joined_are_the_backing_and_strips_go_round(
    rows: int, columns: int, strip: int, more: int
) -> None:
    """Each panel lies across the cloth; one strip of binding less would not do."""
    quilt = _quilt(job_of(f"rows = {rows}\ncolumns = {columns}\nstrip = {strip}\nbacking = {more}"))
    panels = quilt.backing
    assert panels is not None
    assert panels.width_mm <= strip * IN + 1e-6
    joined = panels.count * panels.width_mm - (panels.count - 1) * 2 * 0.25 * IN
    assert sorted((joined, panels.length_mm)) == pytest.approx(sorted(quilt.backing_mm))
    around = 2 * 12.5 * (rows + columns) + 10
    assert quilt.binding_strips * strip >= around - 1e-6 > (quilt.binding_strips - 1) * strip


def test_what_no_fabric_names_is_not_cut() -> None:
    """A fabric that says nothing gives the blocks alone; named ones are needs like any other."""
    assert dict(size(job_of("columns = 3")).needs) == {"blade": 60, "background": 3}
    named = job_of("columns = 3", cuts='cuts = { blade = "rest", binding = "rest", backing = 1 }')
    named = replace(named, fabrics=named.fabrics)
    assert dict(size(named).needs) == {"blade": 60, "background": 3, "binding": 3, "backing": 1}
    outlines = {outline.name: outline for outline in size(named).job.outlines}
    assert [side / IN for side in outlines["binding"].points[2]] == pytest.approx([40, 2.5])


def test_kits_are_so_many_quilts() -> None:
    """Two kits of a runner: six plates and six strips."""
    job = parse_job(
        JOB.format(quilt="columns = 3", plate="", cuts='cuts = { binding = "rest", blade = "rest" }')
        + "[kits]\ncount = 2\n"
    )
    assert dict(size(job).needs) == {"blade": 120, "background": 6, "binding": 6}


def test_without_binding_or_backing_there_is_none() -> None:
    """0 says so, and then no fabric can give it."""
    quilt = _quilt(job_of("columns = 2\nbinding = 0\nbacking = 0"))
    assert (quilt.binding_strips, quilt.backing) == (0, None)
    with pytest.raises(JobError, match="binding"):
        job_of("columns = 2\nbinding = 0", cuts="cuts = { binding = 3 }")


def test_a_fan_s_blocks_are_joined_by_their_own_sides() -> None:
    """A half on an edge is a rectangle: two columns of it are as wide as two, and as high as one."""
    job = job_of("rows = 3\ncolumns = 2", plate='set = "edge"')
    background = plate_of(job).background
    assert background is not None
    quilt = _quilt(job)
    assert quilt.width_mm == pytest.approx(2 * background.finished_width_mm)
    assert quilt.height_mm == pytest.approx(3 * background.finished_height_mm)


@pytest.mark.parametrize(
    ("keys", "says"),
    [("rows = 2", "1 block across and 2 down"), ("columns = 3", "3 blocks across and 1 down")],
)
def test_blocks_are_counted_in_words(keys: str, says: str) -> None:
    """One block is none of several."""
    text = f'[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n[background]\n[quilt]\n{keys}\n'
    quilt = size(parse_job(text)).quilt
    assert quilt is not None
    assert quilt_lines(quilt, Unit.IN)[0].endswith(f"finished: {says}")
