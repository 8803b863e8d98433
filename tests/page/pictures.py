"""The pictures of the page in README and docs: taken here, and compared with what a test sees.

`python -m tests.page.pictures` takes them anew; look at them, and say in the commit why.
"""

from __future__ import annotations

import io
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from PIL import Image, ImageChops, ImageStat
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.cli.commands import DEMO, ROOT
from tests.conftest import browser_path

FIGURES = ROOT / "docs/figures"
SIZE = {"width": 1280, "height": 860}
# Both are made this small before they are compared: how a font draws its letters makes no difference then.
_SMALL = (160, 108)
MOST_APART = 3.0  # of 255 levels, in the mean
# Pictures that are far below come later.
_IS_COMPLETE = "[...document.images].every((image) => image.loading === 'lazy' || image.complete)"
_STEPS = 70  # strokes of the run that are shown


def apart(one: bytes, other: bytes) -> float:
    """Return how far two pictures are from each other: the mean difference of their pixels, 0 to 255."""
    small = []
    for content in (one, other):
        with Image.open(io.BytesIO(content)) as picture:
            small.append(picture.convert("RGB").resize(_SMALL, Image.Resampling.BOX))
    means = ImageStat.Stat(ImageChops.difference(*small)).mean
    return sum(means) / len(means)


def plate(page: Page) -> bytes:
    """The page as it opens with the demo."""
    page.set_viewport_size(SIZE)  # type: ignore[arg-type]
    page.evaluate("scrollTo(0, 0)")
    page.wait_for_function(_IS_COMPLETE)
    return page.screenshot()


def cloth(page: Page) -> bytes:
    """A fabric with its picture, and a blade over the print."""
    page.set_viewport_size(SIZE)  # type: ignore[arg-type]
    page.get_by_role("button", name="Change tide").click()
    page.get_by_label("A picture of it").set_input_files(ROOT / "fixtures/jobs/harbour-pictured/tide.png")
    page.get_by_label("From mark to mark").fill("4")
    page.get_by_role("button", name="Set the scale").click()
    page.get_by_role("button", name="The picture shows one whole repeat").click()
    expect(page.locator("svg.motif")).to_be_visible()
    page.locator("section.cloth h4").scroll_into_view_if_needed()
    page.evaluate("document.querySelector('section.cloth').scrollIntoView({ behavior: 'instant' })")
    return page.screenshot()


def run(page: Page) -> bytes:
    """Loads as they lie, one of them with some of its strokes run."""
    page.set_viewport_size(SIZE)  # type: ignore[arg-type]
    page.get_by_role("button", name="Lay out").click()
    expect(page.locator(".sound")).to_contain_text("no faults", timeout=120_000)
    expect(page.locator("#watch")).to_have_count(0, timeout=120_000)
    step = page.locator("#load-0").get_by_role("button", name="Next stroke")
    for number in range(1, _STEPS + 1):
        step.click()
        expect(page.locator("#load-0 .named")).to_contain_text(f"Stroke {number} of")
    page.evaluate("document.querySelector('#load-0').scrollIntoView({ behavior: 'instant' })")
    return page.screenshot()


PICTURES: Mapping[str, Callable[[Page], bytes]] = {
    "page.png": plate, "page-cloth.png": cloth, "page-run.png": run,
}  # fmt: skip


def _take(browser: Browser, name: str) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "job.toml"
        job.write_bytes(DEMO.read_bytes())
        command = [sys.executable, "-m", "cutfiles", "page", str(job), "--no-browser"]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)
        assert process.stdout is not None
        with browser.new_context() as context:
            page = context.new_page()
            page.goto(process.stdout.readline().strip())
            content = PICTURES[name](page)
        process.send_signal(signal.SIGINT)
        process.wait(30)
    return content


def main() -> None:
    """Take all pictures."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path(), args=["--no-sandbox"])
        for name in PICTURES:
            (FIGURES / name).write_bytes(_take(browser, name))
        browser.close()


if __name__ == "__main__":
    main()
