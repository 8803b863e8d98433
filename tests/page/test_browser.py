"""The page in a real browser, the whole way: from opening it to an unpacked zip that `check` passes."""

from __future__ import annotations

import os
import signal
import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect, sync_playwright

from cutfiles.check.check import check_paths
from tests.conftest import browser_path

BROWSER = browser_path()
_LAID_MS = 120_000
pytestmark = pytest.mark.skipif(BROWSER is None, reason="there is no Chromium; see the last lines")

Served = tuple[str, "subprocess.Popen[str]"]


@pytest.fixture(name="page")
def _page(tmp_path: Path) -> Iterator[Page]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        # The check for accessibility is a script that is put into the page, which the page itself forbids.
        context = browser.new_context(accept_downloads=True, bypass_csp=True)
        yield context.new_page()
        browser.close()


def _violations(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {node['html'][:120]}" for one in found for node in one["nodes"]]


def test_from_opening_the_page_to_files_that_check_passes(page: Page, served: Served, tmp_path: Path) -> None:
    """No request leaves the loopback, the console stays empty, and axe finds nothing on the way."""
    address, process = served
    assert address.startswith("http://127.0.0.1:")
    asked, told = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.goto(address)
    length = page.get_by_label("Blade length", exact=True)
    length.fill("long")
    length.press("Enter")
    error = page.locator("#f-plate-blade_length-error, #f-plate-blade-length-error")
    expect(error).to_contain_text("is not a length")
    expect(page.get_by_role("button", name="Lay out")).to_be_disabled()
    assert _violations(page) == []
    length.fill("4 1/2")
    length.press("Tab")
    expect(error).to_have_count(0)
    expect(
        page.get_by_label("Blade length: 1/8 in less")
    ).to_be_focused()  # the answer leaves the focus alone
    page.keyboard.press("Enter")
    expect(length).to_have_value("4 3/8")
    expect(page.locator(".sight")).to_contain_text("10 3/4 in")
    page.get_by_role("button", name="Lay out").click()
    expect(page.get_by_role("button", name="Stop and keep")).to_be_visible()
    page.reload()  # in the middle
    expect(page.locator("#watch")).to_have_count(0, timeout=_LAID_MS)
    expect(page.locator(".sound")).to_contain_text("no faults")
    with page.expect_download() as download:
        page.get_by_role("link", name="All as a zip").click()
    with zipfile.ZipFile(download.value.path()) as archive:
        archive.extractall(tmp_path / "cut")
    report = check_paths([tmp_path / "cut"])
    assert (report.findings, report.pieces) == ((), 63)
    assert {"job.toml", "layout.json", "job-sheet.html"} <= {
        path.name for path in (tmp_path / "cut").iterdir()
    }
    for scheme in ("light", "dark"):
        for width in (1280, 360):
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            page.set_viewport_size({"width": width, "height": 800})
            assert _violations(page) == [], (scheme, width)
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, "nothing is wider than the window"
    assert {url.split("/")[2] for url in asked if not url.startswith("data:")} == {address.split("/")[2]}
    assert told == []
    _ends_with_ctrl_c(process)


def _ends_with_ctrl_c(process: subprocess.Popen[str]) -> None:
    """No process stays, and no file."""
    before = _children(process.pid)
    process.send_signal(signal.SIGINT)
    assert process.wait(20) == 0
    assert not any(Path(f"/proc/{pid}").exists() for pid in before)


def _children(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children")
    return [int(child) for child in listed.read_text(encoding="utf-8").split()] if listed.exists() else []


def test_ctrl_c_in_the_middle_of_a_search_leaves_no_process(page: Page, served: Served) -> None:
    """The one that lays out, and those that help it, are gone with the page."""
    address, process = served
    page.goto(address)
    page.get_by_role("button", name="Lay out").click()
    expect(page.get_by_role("button", name="Stop and keep")).to_be_visible()
    groups = _children(process.pid)
    assert groups
    _ends_with_ctrl_c(process)
    for group in groups:
        with pytest.raises(ProcessLookupError):
            os.killpg(group, 0)
    page.get_by_label("Blade length", exact=True).fill("5")
    page.keyboard.press("Tab")
    expect(page.locator("#told")).to_contain_text("doesn’t answer")
