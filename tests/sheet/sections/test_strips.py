"""What the sheet says of a job that is cut by hand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import html as parser

from cutfiles.job.parse.read import parse_job
from cutfiles.pipeline import Options, make
from cutfiles.tips.registry import Tip

STRIPS = "Cut by hand: strips"
JOBS = Path(__file__).parents[3] / "fixtures/jobs"


@pytest.fixture(scope="module")
def sheet() -> parser.HtmlElement:
    """The sheet of the fixture job."""
    return parser.document_fromstring(make(JOBS / "by-hand/job.toml").files["job-sheet.html"])


def _texts(sheet: parser.HtmlElement, heading: str) -> str:
    section = next(part for part in sheet.iter("section") if part.findtext(".//h2") == heading)
    return " ".join(" ".join(section.itertext()).split())


def test_no_machine_is_spoken_of(sheet: parser.HtmlElement) -> None:
    """No load, no register marks, no laser: cautions are those of a rotary cutter and paper."""
    headings = [heading.text_content() for heading in sheet.iter("h2")]
    assert STRIPS in headings
    assert not any(heading.startswith("Load") for heading in headings)
    whole = " ".join(sheet.text_content().split())
    assert "Rotary cutter: close it after every cut" in whole
    assert "Laser" not in whole
    assert "Knife in the machine" not in whole


def test_the_marks_are_those_of_the_trade(sheet: parser.HtmlElement) -> None:
    """To 1/16 in: 2.4068, 3.3090, 5.7159 above and .7523, 1.6545, 4.0614, 4.9636 below."""
    section = next(part for part in sheet.iter("section") if part.findtext(".//h2") == STRIPS)
    first = next(
        picture for picture in section.iter("svg") if "24 of blade, end for end" in picture.findtext("title")
    )
    words = [text.text for text in first.iter("text")]
    assert words[:5] == ["0", "2 7/16", "3 5/16", "5 11/16", "6 5/8"]
    assert words[25:29] == ["3/4", "1 5/8", "4 1/16", "4 15/16"]
    # All 25 cuts, two to a blade but for those that neighbours share.
    assert len(words) == 50


def test_each_fabric_says_its_strips_and_cuts(sheet: parser.HtmlElement) -> None:
    """In order, and what is cut alike once."""
    words = _texts(sheet, STRIPS)
    assert "tide: 3 centres and 30 blades" in words
    assert "1 strip 4 3/4 in high, 24 blades, end for end." in words
    assert "17 blades, one way." in words
    assert "2 pieces of 5 × 5 in, cut alike: 1: across, 4 3/4 in from the lower edge" in words
    assert "its slanted sides are 4 13/16 in (4.8092) long" in words
    assert "every 13 in: 3 backgrounds, 13 in square." in words
    assert "9 blades, at the first marks of A." in words


@pytest.mark.parametrize("tip", Tip)
def test_a_tip_that_a_ruler_does_not_cut_is_trimmed_last(tip: Tip) -> None:
    """As the tip says; where strips give the whole blade nothing is left to trim."""
    job = f"""
job.cut = "by hand"
plate = {{ blade_length = "4 3/4", inner_radius = "1 1/4", tip = "{tip.value}" }}
[[fabric]]
name = "tide"
width = 42
length = 5
"""
    words = _texts(parser.document_fromstring(make(parse_job(job)).files["job-sheet.html"]), STRIPS)
    trimmed = tip.finish.words.trimmed
    assert words.count("along the template last.") == bool(trimmed)
    assert f"Cut the {trimmed} of each blade along the template last." in words or not trimmed


@pytest.mark.parametrize("formats", [("svg", "pdf"), ("svg",), ("dxf", "pdf")])
def test_only_files_that_are_there_are_to_be_printed(formats: tuple[str, ...]) -> None:
    """A template's page where there are pages, else what is to be opened and printed."""
    files = make(JOBS / "by-hand/job.toml", Options(formats)).files
    words = " ".join(parser.document_fromstring(files["job-sheet.html"]).itertext())
    named = set(re.findall(r"template-01(?:\.\w+)+", words))
    assert named == {name for name in files if name.startswith("template-")}
    assert ("page 1 first" in words) is ("pdf" in formats)
