"""The job sheet in a real browser: on paper of two sizes, on screens light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from lxml import html
from playwright.sync_api import Browser, Page
from pypdfium2 import PdfDocument

from cutfiles.core.units import Unit
from cutfiles.job.model.job import Job
from cutfiles.job.parse.read import parse_job
from cutfiles.job.starter import starter
from cutfiles.pipeline import Options, make
from tests.conftest import at_once, browser_path
from tests.page.walking import Look, violations
from tests.sheet.jobs import ACROSS, HARBOUR, PLAIN_FAN, sheet_of

BROWSER = browser_path()
PAPERS = ("Letter", "A4")
JOBS = Path(__file__).parents[2] / "fixtures/jobs"
pytestmark = pytest.mark.skipif(BROWSER is None, reason="there is no Chromium; see the last lines")


@pytest.fixture(name="page", scope="module")
def _page(browser: Browser) -> Iterator[Page]:
    """One for all tests: each puts its own sheet there, and says how it is to be seen."""
    with browser.new_context() as context:
        yield context.new_page()


def sheet_made(job: Path | Job) -> str:
    """The sheet of a job; the search is brief, as the sheet is read and not the layout."""
    return make(job, Options(around_search=at_once, processes=1)).files["job-sheet.html"].decode()


def printed(page: Page, sheet: str) -> Iterator[list[list[str]]]:
    """On paper of each size, the lines of text on each page."""
    page.emulate_media(color_scheme="light")
    page.set_content(sheet)
    for paper in PAPERS:
        leaves = PdfDocument(page.pdf(format=paper))
        texts = [leaf.get_textpage().get_text_range() for leaf in leaves]
        yield [[line.strip() for line in text.splitlines() if line.strip()] for text in texts]


def assert_nothing_stands_alone(pages: list[list[str]], sheet: str) -> None:
    """No page ends with a heading, and none has but a heading or a row."""
    headings = {
        " ".join(str(heading.text_content()).split()) for heading in html.fromstring(sheet).iter("h2", "h3")
    }
    assert headings
    for lines in pages:
        assert len(lines) > 4, lines
        assert lines[-1] not in headings


@pytest.mark.parametrize("unit", [Unit.IN, Unit.CM])
def test_a_plain_plate_takes_four_pages(page: Page, unit: Unit) -> None:
    """The job that `cutfiles new` writes: two mat loads, a background cut by hand, all of the sewing."""
    sheet = sheet_made(parse_job(starter(unit)))
    for pages in printed(page, sheet):
        assert len(pages) <= 4
        assert_nothing_stands_alone(pages, sheet)
        # What is done at the sewing machine lies on a page of its own.
        assert pages[-1][0] == "Sewing"
        assert any("Load 2 of 2" in line for line in pages[1])


@pytest.mark.parametrize("job", ["corner-fan", "edge-fan", "yo-yo"])
def test_other_blocks_are_printed_without_a_lone_heading(page: Page, job: str) -> None:
    """Fans, a yo-yo: no section begins at a page's last line, and the sewing begins at a page's first."""
    sheet = sheet_made(JOBS / job / "job.toml")
    for pages in printed(page, sheet):
        assert_nothing_stands_alone(pages, sheet)
        assert [lines.index("Sewing") for lines in pages if "Sewing" in lines] == [0]


@pytest.mark.parametrize("job", [HARBOUR, PLAIN_FAN, ACROSS], ids=lambda job: job.title)
def test_the_sheet_is_for_everybody(page: Page, job: Job) -> None:
    """Nothing is found by axe, on a wide screen and on a narrow one; no picture is wider than the screen.

    Colours are looked at on the wide screen alone, and in the dark nothing but colours: all else is the same.
    """
    page.set_content(sheet_of(job).bytes_.decode())
    looks = {
        ("light", 1280): Look.ALL, ("light", 360): Look.ALL_BUT_COLOURS,
        ("dark", 1280): Look.COLOURS, ("dark", 360): None,
    }  # fmt: skip
    for (scheme, width), look in looks.items():
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        page.set_viewport_size({"width": width, "height": 800})
        if look is not None:
            assert violations(page, look) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        paper, ink = page.evaluate(
            "() => { const style = getComputedStyle(document.documentElement);"
            " return [style.backgroundColor, style.color] }"
        )
        light = [sum(map(int, colour[4:-1].split(","))) for colour in (paper, ink)]
        assert (light[0] > light[1]) is (scheme == "light")
