"""What the fabrics give and what to buy, worked out beside the page while it goes on drawing."""

from __future__ import annotations

import time
from dataclasses import replace
from html import unescape

from starlette.testclient import TestClient

from cutfiles.core.units import Unit
from cutfiles.job.parse.read import parse_job
from cutfiles.page.desk import Desk
from cutfiles.page.processes.gives import longest_line, plates_line
from cutfiles.pipeline import buy
from cutfiles.yields.fit import Fit
from cutfiles.yields.longest import Longest
from cutfiles.yields.plates import WholePlates
from tests.cli.commands import SMALL
from tests.page.processes.alive import alive
from tests.page.waiting import LONGEST_S, wait

_MORE = SMALL.replace("pieces = 2", 'pieces = "as needed"').replace("[plate]", "[plate]\ncount = 2")


def _until(client: TestClient, words: str) -> str:
    until = time.monotonic() + LONGEST_S
    while words not in (shown := unescape(client.get("/gives").text)):
        assert time.monotonic() < until
        time.sleep(0.05)
    return shown


def test_whole_plates_come_first_then_what_to_buy(client: TestClient) -> None:
    """Two pieces hold two blades each, which are the four of one plate: seen by hand, and told by `buy`."""
    shown = _until(client, "The fabrics give")
    assert "The fabrics give 1 plate." in shown
    assert "To buy" not in shown
    assert "data-pending" in shown, "the longest blades take longer"
    client.post("/text", data={"text": _MORE})
    assert f"tide: {buy(parse_job(_MORE)).items[0].words(Unit.IN)}" in _until(client, "To buy")


def test_what_is_short_and_how_long_blades_could_be_is_said_in_words() -> None:
    """In the job's own unit, and of what there is too little."""
    job = parse_job(SMALL.replace("[plate]", "[plate]\ncount = 3"))
    assert plates_line(WholePlates(3, 1, "blade"), job) == "The fabrics give 3 plates, 1 blade over."
    short = plates_line(WholePlates(1, 0, "centre"), job)
    assert short == "The fabrics give 1 plate. The job asks for 3: there is too little cloth for centres."
    found = Fit(WholePlates(3, 0, "blade"), (), Longest(127.0, 304.8, "tide", None), (), ())
    assert longest_line(found, job) == (
        "For 3 plates the blades could be up to 5 in long, which makes a plate of 12 in."
    )
    none = longest_line(replace(found, largest=None), job)
    assert none == "For 3 plates these fabrics are too little, however short the blades are."


def test_strips_of_the_usual_cut_are_told_to_lie_across(client: TestClient) -> None:
    """42 × 2 1/2 in hold no blade of 4 3/4 in along their grain; what would help is told."""
    client.post("/add-fabric", data={"preset": "strips", "pieces": "3", "print": "plain"})
    text = _until(client, "with its grain")
    assert "fabric-2: a piece holds 0 blades; with its grain crosswise it would hold 8." in text


def test_an_answer_that_is_out_of_date_is_neither_shown_nor_worked_at(client: TestClient, desk: Desk) -> None:
    """A change of the job ends the process; what changes nothing of the job doesn't."""
    client.get("/gives")
    asked = desk.question
    assert asked is not None
    client.post("/text", data={"text": f"# a note\n{SMALL}"})
    client.get("/gives")
    assert desk.question is asked
    client.post("/set", data={"at": "plate.seam", "value": "3/8"})
    assert "The fabrics give" not in client.get("/desk").text
    client.get("/gives")
    assert desk.question is not asked
    wait(lambda: not alive(asked.pid))


def test_a_layout_comes_first(client: TestClient, desk: Desk) -> None:
    """While one is on its way nothing else takes its time, and with the page both end."""
    client.get("/gives")
    asked = desk.question
    client.post("/lay-out", data={})
    assert "Once the layout is done" in client.get("/gives").text or not desk.is_laying_out
    assert asked is not None
    assert desk.run is not None
    desk.close()
    assert not alive(asked.pid)
    assert not alive(desk.run.pid)


def test_where_there_is_nothing_to_ask_nothing_is_asked(client: TestClient, desk: Desk) -> None:
    """Of a job with a mistake, and of one without fabrics."""
    client.post("/set", data={"at": "plate.seam", "value": "wide"})
    assert "it is marked" in client.get("/gives").text
    client.post("/empty", data={})
    client.post("/set", data={"at": "plate.blade_length", "value": "4"})
    client.post("/set", data={"at": "plate.inner_radius", "value": "1"})
    assert "There is no fabric yet" in client.get("/gives").text
    assert desk.question is None
