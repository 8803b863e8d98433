"""The time limit: without one nothing depends on the time, with one the search stops and says so."""

from __future__ import annotations

import time

import pytest

from cutfiles.core.errors import UnmetError
from cutfiles.job.model.job import Share
from cutfiles.nest.base.clock import Clock, Stop
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


def test_a_stop_by_hand_keeps_the_laws_and_says_that_it_was_one() -> None:
    """Asked before the first look: there still is a layout, and its note doesn't blame the time."""
    bed, clock = bed_of(), Clock(1000.0)
    clock.stop()
    layout = nested(JOB, bed, clock=clock)
    assert clock.stopped_by is Stop.USER
    assert faults(layout, JOB, bed) == []
    assert layout.notes[-1] == (
        "the search was stopped by hand: left to its end, a fabric may give more pieces"
    )


def test_a_stop_that_no_search_was_told_of_is_no_stop() -> None:
    """After Ctrl-C when all is found nothing is said of a search cut short."""
    clock = Clock()
    clock.stop()
    assert not clock.cut_short
    assert clock.poll()
    assert clock.cut_short


def test_what_came_first_cut_it_short() -> None:
    """The limit has passed and was said; a stop after that changes no word."""
    clock = Clock(0.0)
    assert clock.poll()
    clock.stop()
    assert clock.poll()
    assert clock.stopped_by is Stop.TIME


@pytest.mark.parametrize("by_hand", [True, False])
def test_too_little_found_by_a_search_cut_short_is_said_to_be_that(*, by_hand: bool) -> None:
    """The job asks for what only a search to the end might find."""
    much = cut_list_of(
        usual_shapes(), {"blade": 90}, fabric_of(size=(10, 12), pieces=1, cuts={"blade": Share.REST})
    )
    clock = Clock(None if by_hand else 0.0)
    if by_hand:
        clock.stop()
    with pytest.raises(UnmetError) as caught:
        nested(much, clock=clock)
    why = "the search was stopped by hand" if by_hand else "the time limit cut the search short"
    assert str(caught.value).endswith(f"; {why}, so more may fit")
    with pytest.raises(UnmetError) as caught:
        nested(much)
    assert "so more may fit" not in str(caught.value)


def test_the_watcher_hears_every_tick_and_every_look() -> None:
    """With the best so far, whether or not the search has a limit."""
    heard: list[int] = []
    clock = Clock()
    clock.tick(3)
    clock.watch(heard.append)
    clock.poll()
    clock.tick(5)
    clock.poll()
    clock.watch(None)
    clock.tick(7)
    assert heard == [3, 5, 5]
