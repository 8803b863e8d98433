"""Jobs to begin with: each reads, shows what its name says, and can be laid out."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutfiles.job.parse.read import parse_job
from cutfiles.page.desk import Desk
from cutfiles.page.fields.blocks import example_svg
from cutfiles.page.fields.examples import example, examples
from tests.page.waiting import wait


@pytest.mark.parametrize("name", [known.name for known in examples()])
def test_an_example_reads_and_has_a_name_and_a_picture(name: str) -> None:
    """A sentence for a button, a plate to be seen, and nothing that a job would be warned of."""
    known = example(name)
    assert known is not None
    assert 20 < len(known.says) < 70
    assert not known.says.endswith(".")
    parse_job(known.text)
    assert "<svg" in example_svg(name)


def test_there_are_no_other_examples() -> None:
    """Each file is offered, and a name that was made up is none."""
    folder = Path(__file__).parents[3] / "cutfiles/page/fields/examples"
    assert {path.stem for path in folder.iterdir()} == {known.name for known in examples()}
    assert example("../runner") is None
    assert example_svg("star") == ""


@pytest.mark.parametrize(
    ("name", "told"),
    [
        (
            "by-hand",
            {
                "summary": "3 strips to cut by hand; the job sheet has a ruler's marks.",
                "hand": True,
                "templates": 1,
            },
        ),
        ("templates", {"summary": "No fabric to cut by machine.", "hand": False, "templates": 1}),
    ],
)
def test_jobs_without_a_load_are_made_and_shown_too(name: str, told: dict[str, object]) -> None:
    """By ruler and cutter, and templates alone; the files are read back as ever."""
    desk = Desk.begin(None)
    try:
        known = example(name)
        assert known is not None
        desk.begin_anew(known.text)
        desk.lay_out()
        wait(lambda: not desk.is_laying_out)
        assert desk.run is not None
        assert desk.run.failed == ""
        shown = desk.run.shown
        assert shown is not None
        assert shown["check"]["faults"] == []
        assert (shown["summary"], bool(shown["by_hand"]), len(shown["templates"])) == tuple(told.values())
    finally:
        desk.close()
