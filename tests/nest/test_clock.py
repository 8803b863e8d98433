"""The time limit: without one nothing depends on the time, with one the search stops and says so."""

from __future__ import annotations

import time

import pytest

from cutfiles.job.model import Share
from cutfiles.nest.clock import Clock
from tests.nest.jobs import bed_of, cut_list_of, fabric_of, nested, usual_shapes
from tests.nest.measured import faults

JOB = cut_list_of(
    usual_shapes(), {"blade": 4}, fabric_of(size=(10, 12), pieces=1, margin=0.125, cuts={"blade": Share.FILL})
)


def test_without_a_limit_the_time_is_never_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """However the clock jumps, the layout is the same."""
    before = nested(JOB)

    def forbidden() -> float:
        raise AssertionError("the time was asked for")

    for name in ("monotonic", "time", "perf_counter"):
        monkeypatch.setattr(time, name, forbidden)
    clock = Clock()
    after = nested(JOB, clock=clock)
    monkeypatch.undo()
    assert after == before
    assert not clock.cut_short


def test_a_limit_that_is_not_reached_changes_nothing() -> None:
    """The same layout, and no word of the time."""
    clock = Clock(1000.0)
    assert nested(JOB, clock=clock) == nested(JOB)
    assert not clock.cut_short


def test_a_search_cut_short_keeps_the_laws_and_says_so() -> None:
    """With no time at all there still is a layout, with a note."""
    bed, clock = bed_of(), Clock(0.0)
    layout = nested(JOB, bed, clock=clock)
    assert clock.cut_short
    assert faults(layout, JOB, bed) == []
    assert layout.tallies[0].counts[0][1] >= 6
    assert [note for note in layout.notes if "time limit" in note]
