"""The page in a real browser, the whole way: from opening it to an unpacked zip that `check` passes."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import time
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Literal

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, Route, expect

from cutfiles.check.check import check_paths
from cutfiles.page.fields.examples import examples
from tests.cli.commands import SMALL
from tests.conftest import browser_path
from tests.page.conftest import Serve, Served
from tests.page.pictures import FIGURES, MOST_APART, apart, plate
from tests.page.processes.alive import alive
from tests.page.walking import Look, fill, tab_to, too_small, violations

BROWSER = browser_path()
_LAID_MS = 120_000
pytestmark = pytest.mark.skipif(BROWSER is None, reason="there is no Chromium; see the last lines")

expect.set_options(timeout=20_000)  # on a computer that has other work as well

(_TEMPLATES,) = (known.text for known in examples() if known.name == "templates")
_EVERYTHING = f"""
{SMALL[: SMALL.index("[[fabric]]")]}
[centre]

[[fabric]]
name = "tide"
width = 12
length = 12
picture = "tide.png"
picture_width = 4
repeat = {{ width = 4, length = 3 }}
motif = [2, 1]
avoid = [{{ x = 0, y = 0, width = "1/8", length = "1/8" }}]

[mat]
width = 24
height = 12

{_TEMPLATES[_TEMPLATES.index("[[template]]") :]}
"""
_TWO_FABRICS = """
[plate]
blades = 8
blade_length = "4 3/4"
inner_radius = "1 1/4"

[centre]
cover = "1/4"

[[fabric]]
name = "tide"
width = 18
length = 11
cuts = { blade = 4 }

[[fabric]]
name = "shingle"
width = 18
length = 11
cuts = { blade = "rest", centre = "rest" }

[mat]
width = 24
height = 12
"""
_OPEN_ALL = "for (const more of document.querySelectorAll('details')) more.open = true"
# Whether the page lets itself be closed without a question.
_CLOSE = "dispatchEvent(new Event('beforeunload', { cancelable: true }))"
_GIVES = '<section class="table" id="gives"><h3>What they give, and what to buy</h3><p>Enough.</p></section>'


@pytest.fixture(name="tab", scope="module")
def _tab(browser: Browser) -> Iterator[Page]:
    """The one tab of these tests: each of its own would be a process or two more."""
    # The check for accessibility is a script that is put into the page, which the page itself forbids.
    with browser.new_context(accept_downloads=True, bypass_csp=True) as context:
        yield context.new_page()


@pytest.fixture(name="page")
def _page(tab: Page) -> Iterator[Page]:
    """The tab as if it were new: nothing of another test is in it."""
    # Where nothing is asked of motion, nobody waits for smooth scrolling.
    tab.emulate_media(color_scheme="light", reduced_motion="reduce")
    tab.set_viewport_size({"width": 1280, "height": 720})
    # What the fabrics give is asked as ever, but not worked out: other tests wait for that.
    tab.route("**/gives", lambda route: route.fulfill(content_type="text/html", body=_GIVES))
    yield tab
    tab.context.set_offline(False)
    tab.unroute_all()
    tab.goto("about:blank")
    tab.context.clear_cookies()


def test_what_opens_is_what_readme_shows(page: Page, served: Served) -> None:
    """By night, or with another plate, it is another picture."""
    page.goto(served[0])
    committed = (FIGURES / "page.png").read_bytes()
    assert apart(plate(page), committed) < MOST_APART, "python -m tests.page.pictures takes it anew"
    page.emulate_media(color_scheme="dark")
    assert apart(plate(page), committed) > MOST_APART
    page.emulate_media(color_scheme="light")
    page.get_by_role("button", name="Fan in a corner").click()
    expect(page.locator("#block-corner[aria-pressed=true]")).to_have_count(1)
    assert apart(plate(page), committed) > MOST_APART


def test_an_error_stands_by_its_field_until_it_is_mended(page: Page, serve: Serve) -> None:
    """Meanwhile nothing can be laid out, and axe finds nothing. A program that was started anew is told."""
    page.goto(serve(SMALL.replace("sewn = 4\n", ""))[0])
    length = page.get_by_label("Blade length", exact=True)
    length.fill("long")
    length.press("Enter")
    error = page.locator("#f-plate-blade_length-error, #f-plate-blade-length-error")
    expect(error).to_contain_text("is not a length")
    expect(page.get_by_role("button", name="Lay out")).to_be_disabled()
    assert violations(page) == []
    length.fill("4 1/2")
    length.press("Tab")
    expect(error).to_have_count(0)
    expect(page.get_by_role("button", name="Lay out")).to_be_enabled()
    less = page.get_by_label("Blade length: 1/8 in less")
    expect(less).to_be_focused()  # the answer leaves the focus alone
    page.keyboard.press("Enter")
    expect(length).to_have_value("4 3/8")
    expect(page.locator(".sight")).to_contain_text("10 3/4 in")
    page.route("**/set", _a_stranger)
    length.fill("5")
    length.press("Tab")
    expect(page.locator("#network")).to_contain_text("was started anew")


@contextmanager
def _in_the_middle(page: Page, process: subprocess.Popen[str]) -> Iterator[None]:
    """Lay out, and hold the search up as long as the context lasts."""
    with page.expect_response("**/lay-out"):
        page.get_by_role("button", name="Lay out").click()
    (search,) = _children(process.pid)
    os.kill(search, signal.SIGSTOP)
    expect(page.get_by_role("button", name="Stop and keep")).to_be_visible()
    yield
    os.kill(search, signal.SIGCONT)


def test_from_opening_the_page_to_files_that_check_passes(page: Page, serve: Serve, tmp_path: Path) -> None:
    """No request leaves the loopback, and the console stays empty."""
    page.emulate_media(reduced_motion="no-preference")
    address, process = serve(_TWO_FABRICS)
    assert address.startswith("http://127.0.0.1:")
    asked, told = _listened(page)
    page.goto(address)
    length = page.get_by_label("Blade length", exact=True)
    length.fill("4 3/8")
    length.press("Tab")
    expect(page.locator(".sight")).to_contain_text("10 3/4 in")
    expect(page.locator("#gives")).to_contain_text("Enough")
    with _in_the_middle(page, process):
        page.reload()
        expect(page.get_by_role("button", name="Stop and keep")).to_be_visible()
    page.locator("#watch").wait_for(state="detached", timeout=_LAID_MS)
    expect(page.locator(".sound")).to_contain_text("no faults")
    assert not page.evaluate(_CLOSE), "what was changed would be lost"
    page.get_by_role("link", name="All as a zip").focus()
    assert _pieces_of_the_zip(page, tmp_path / "cut") == 9
    expect(page.locator("#desk[data-unsaved]")).to_have_count(0)
    assert page.evaluate(_CLOSE)
    assert {"job.toml", "layout.json", "job-sheet.html"} <= {
        path.name for path in (tmp_path / "cut").iterdir()
    }
    _stayed_here(address, asked)
    assert told == []
    _ends_with_ctrl_c(process)


def test_a_run_is_played(page: Page, serve: Serve) -> None:
    """Stroke by stroke, and on to the end; pieces are named by pointer and by key; axe finds nothing."""
    page.emulate_media(reduced_motion="no-preference")
    page.goto(serve(SMALL)[0])
    page.get_by_role("button", name="Lay out").click()
    expect(page.locator(".sound")).to_contain_text("no faults")
    page.locator("#watch").wait_for(state="detached", timeout=_LAID_MS)
    load = page.locator("#load-0")
    named, pieces = load.locator(".named"), load.locator("[data-piece]")
    load.get_by_role("button", name="Next stroke").click()
    expect(named).to_have_text(re.compile(r"Stroke 1 of \d+, pen: .+ "))
    load.get_by_role("button", name="Play").click()
    expect(load.locator(".way path")).not_to_have_count(1)
    load.get_by_role("button", name="Stop").click()
    expect(named).to_contain_text("Stopped at stroke")
    load.get_by_label("Speed").select_option("2500")
    load.get_by_role("button", name="Play").click()
    expect(named).to_have_text(re.compile(r"All \d+ strokes are run"), timeout=30_000)
    assert load.locator(".way path").count() == int(named.inner_text().split()[1])
    pieces.nth(2).hover(force=True)
    expect(named).to_have_text(pieces.nth(2).get_attribute("data-says") or "")
    load.locator(".pieces").focus()
    page.keyboard.press("ArrowRight")
    expect(named).to_have_text(pieces.nth(3).get_attribute("data-says") or "")
    _axe_finds_nothing(page, "dark", 360)


def _axe_finds_nothing(
    page: Page, scheme: Literal["light", "dark"], width: int, look: Look = Look.ALL
) -> None:
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 800})
    assert violations(page, look) == []


def _listened(page: Page) -> tuple[list[str], list[str]]:
    """What the page asks for from now on, and what its console says."""
    asked: list[str] = []
    told: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    return asked, told


def _stayed_here(address: str, asked: list[str]) -> None:
    assert {url.split("/")[2] for url in asked if not url.startswith("data:")} == {address.split("/")[2]}


def _inches(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def _a_motif_is_chosen(page: Page, picture: Path) -> None:
    """A picture is given, set to scale by two marks, and a blade dragged over it and moved by a key."""
    Image.new("RGB", (400, 300), "#7fb2bd").save(picture)
    page.get_by_label("A picture of it").set_input_files(picture)
    mark = page.get_by_label("First mark; the arrow keys move it")
    mark.focus()
    page.keyboard.press("Shift+ArrowRight")  # from 10 to 15 % across; the other one is at 90 %
    page.locator(".marking").scroll_into_view_if_needed()
    box = page.locator(".marking").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 0.65 * box["width"], box["y"] + 0.5 * box["height"])
    expect(page.get_by_label("Second mark: % across")).to_have_value(re.compile(r"^(64\.9|65\.0|65\.1)$"))
    page.get_by_label("From mark to mark").fill("2")
    page.get_by_role("button", name="Set the scale").click()
    expect(page.locator("#told")).to_contain_text(re.compile(r"shows (4|3 31/32) in"))  # half of it: 2 in
    page.get_by_role("button", name="The picture shows one whole repeat").click()
    piece = page.get_by_label("The piece on the cloth; the arrow keys move it")
    piece.scroll_into_view_if_needed()
    motif, before = page.get_by_label("Motif", exact=True), piece.bounding_box()
    assert before is not None
    page.mouse.move(before["x"] + before["width"] / 2, before["y"] + before["height"] / 2)
    page.mouse.down()
    page.mouse.move(before["x"] + before["width"] / 2 + 30, before["y"] + before["height"] / 2 - 20)
    page.mouse.up()
    expect(motif).not_to_have_value("")
    dragged = motif.input_value()
    piece.focus()
    page.keyboard.press("ArrowLeft")
    expect(motif).not_to_have_value(dragged)
    expect(piece).to_be_focused()
    across = [_inches(text.split(",")[0]) for text in (motif.input_value(), dragged)]
    assert across[1] - across[0] == Fraction(1, 16)


def test_by_keyboard_alone_from_an_empty_job_to_files_that_check_passes(
    page: Page, served: Served, tmp_path: Path
) -> None:
    """Wherever one goes the focus is seen; nothing is read out that wasn't asked for."""
    page.emulate_media(reduced_motion="reduce")
    page.set_viewport_size({"width": 360, "height": 740})  # where the picture lies over what scrolls
    page.goto(served[0])
    assert page.evaluate("getComputedStyle(document.documentElement).scrollBehavior") == "auto"
    tab_to(page, "To take away")
    page.keyboard.press("Enter")
    tab_to(page, "An empty job")
    page.keyboard.press("Enter")
    expect(page.locator("#problem")).to_contain_text("give two of “Blade length”")
    tab_to(page, "To the plate", "Shift+Tab")  # upwards, where things come out from below the picture
    page.keyboard.press("Enter")
    fill(page, "Blades", "8")
    fill(page, "Blade length", "4 1/4")
    fill(page, "Inner radius", "1 1/4")
    tab_to(page, "Inner radius: 1/8 in more")
    expect(page.locator("#problem")).to_be_empty()
    page.evaluate(_LISTEN)
    page.keyboard.press("Enter")
    expect(page.get_by_label("Inner radius", exact=True)).to_have_value("1 3/8")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Inner radius", exact=True)).to_have_value("1 1/2")
    tab_to(page, "With a circle over the hole")
    page.keyboard.press("Space")
    expect(page.get_by_label("Cover", exact=True)).to_be_visible()
    tab_to(page, "Sold as")
    page.keyboard.press("End")
    fill(page, "How many", "2")
    tab_to(page, "Add fabric")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Name", exact=True)).to_be_focused()  # of what came
    fill(page, "Width", "18")
    fill(page, "Length", "22")
    tab_to(page, "Cuts: centre")
    page.keyboard.type("rest")
    assert page.evaluate("window.readOut") == [], "a change that went well needs no words"
    tab_to(page, "Lay out")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Stop and keep")).to_be_visible()
    tab_to(page, "Stop and keep")
    page.locator("#watch").wait_for(state="detached", timeout=_LAID_MS)
    expect(page.locator("#run")).to_be_focused()  # as near as can be to the button that is gone
    expect(page.locator(".sound")).to_contain_text("no faults")
    assert 1 <= len(page.evaluate("window.readOut")) <= 3, "what was found, not how far it is"
    tab_to(page, "All as a zip")
    assert _pieces_of_the_zip(page, tmp_path / "cut") == 9


def _pieces_of_the_zip(page: Page, folder: Path) -> int:
    """Take away what has the focus, unpack it, and have it checked."""
    with page.expect_download() as download:
        page.keyboard.press("Enter")
    with zipfile.ZipFile(download.value.path()) as archive:
        archive.extractall(folder)
    report = check_paths([folder])
    assert report.findings == ()
    return report.pieces


# What a screen reader would say by itself.
_LISTEN = """() => {
  window.readOut = [];
  new MutationObserver((changes) => {
    for (const change of changes) {
      const region = change.target.parentElement?.closest("[role=status], [role=alert], [aria-live]")
        || change.target.closest?.("[role=status], [role=alert], [aria-live]");
      if (region && region.textContent.trim()) window.readOut.push(region.textContent.trim());
    }
  }).observe(document.body, { subtree: true, childList: true, characterData: true });
}"""


def _ends_with_ctrl_c(process: subprocess.Popen[str]) -> None:
    """No process stays, and no file."""
    before = _children(process.pid)
    process.send_signal(signal.SIGINT)
    assert process.wait(20) == 0
    assert not any(Path(f"/proc/{pid}").exists() for pid in before)


def _children(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children")
    return [int(child) for child in listed.read_text(encoding="utf-8").split()] if listed.exists() else []


def test_templates_from_an_example_to_files(page: Page, served: Served, tmp_path: Path) -> None:
    """One more than the example has."""
    asked, told = _listened(page)
    page.goto(served[0])
    page.get_by_role("button", name="Templates of acrylic").click()
    page.get_by_role("button", name="Add a template").click()
    page.locator("#t-template-3").get_by_label("Shape", exact=True).fill("centre-ring")
    page.get_by_role("button", name="Lay out").click()
    sheet = page.locator("figcaption", has_text="template-01")
    expect(sheet).to_contain_text("4 templates", timeout=_LAID_MS)
    page.locator("#watch").wait_for(state="detached", timeout=_LAID_MS)
    page.get_by_role("link", name="All as a zip").focus()
    assert _pieces_of_the_zip(page, tmp_path / "cut") == 4
    _stayed_here(served[0], asked)
    assert told == []


def test_a_flaw_by_keys_and_a_motif_by_a_picture(page: Page, serve: Serve, tmp_path: Path) -> None:
    """Of a fabric that was added, what is folded being opened."""
    address, _ = serve(_TEMPLATES)
    asked, told = _listened(page)
    page.goto(address)
    page.get_by_role("button", name="Add fabric").click()
    expect(page.get_by_label("Picture width", exact=True)).to_have_count(1)
    page.evaluate(_OPEN_ALL)
    page.get_by_role("button", name="Add a flaw").press("Enter")
    expect(page.get_by_label("Flaw 1: from the left", exact=True)).to_be_focused()
    page.keyboard.type("4 1/2")
    page.keyboard.press("Tab")
    expect(page.locator("#job-text")).to_have_value(re.compile(r'avoid = .*x = "4 1/2"'))
    _a_motif_is_chosen(page, tmp_path / "photo.png")
    _stayed_here(address, asked)
    assert told == []


def test_with_everything_opened(page: Page, serve: Serve, tmp_path: Path) -> None:
    """Axe finds nothing, nothing is too small or too wide, by day and by night."""
    Image.new("RGB", (40, 30), "#7fb2bd").save(tmp_path / "tide.png")
    page.goto(serve(_EVERYTHING)[0])
    page.get_by_role("button", name="Lay out").click()
    expect(page.locator("figcaption", has_text="template-01")).to_be_visible(timeout=_LAID_MS)
    page.locator("#watch").wait_for(state="detached", timeout=_LAID_MS)
    page.get_by_role("button", name="Change tide").click()
    expect(page.locator("svg.motif")).to_be_visible()
    page.evaluate(_OPEN_ALL)
    _axe_finds_nothing(page, "light", 1280)
    _axe_finds_nothing(page, "light", 360, Look.ALL_BUT_COLOURS)
    # 320 px is what is left of a window of 1280 px where all is shown four times as large.
    for width, height in ((1280, 800), (768, 800), (360, 800), (320, 256)):
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, "wider than the window"
        assert too_small(page) == [], width
    # By night only colours are others, and what is folded has the same as what isn't.
    page.evaluate("for (const more of document.querySelectorAll('details')) more.open = false")
    _axe_finds_nothing(page, "dark", 1280, Look.COLOURS)


def test_ctrl_c_in_the_middle_of_a_search_leaves_no_process(page: Page, served: Served) -> None:
    """What lays out, and those that help it, are gone with the page, which says so."""
    address, process = served
    page.goto(address)
    page.get_by_role("button", name="Three plates for a runner").click()
    expect(page.get_by_label("Title", exact=True)).to_have_value("Harbour runner")
    page.get_by_role("button", name="Lay out").click()
    expect(page.get_by_role("button", name="Stop and keep")).to_be_visible()
    groups = _children(process.pid)
    assert groups
    _ends_with_ctrl_c(process)
    until = time.monotonic() + 20
    while any(alive(group) for group in groups):  # killed at once; who waits for them takes a moment
        assert time.monotonic() < until
        time.sleep(0.05)
    page.get_by_label("Blade length", exact=True).fill("5")
    page.keyboard.press("Tab")
    expect(page.locator("#network")).to_contain_text("doesn’t answer")


def test_a_computer_that_slept_loses_nothing(page: Page, serve: Serve) -> None:
    """In the middle of a search: what was changed meanwhile is sent; a stopped search keeps its best."""
    address, process = serve(SMALL)
    page.goto(address)
    with _in_the_middle(page, process):
        _sleeps(page, process)
    page.locator("#watch").wait_for(state="detached", timeout=_LAID_MS)
    expect(page.locator(".sound")).to_contain_text("no faults")
    expect(page.locator("#run .outdated")).to_be_visible()  # what was changed meanwhile isn't in it
    _is_started_anew(page)


def _a_stranger(route: Route) -> None:
    route.fulfill(status=403, body="A stranger.")


def _sleeps(page: Page, process: subprocess.Popen[str]) -> None:
    page.context.set_offline(True)
    page.get_by_label("Title", exact=True).fill("Low tide")
    page.keyboard.press("Tab")
    expect(page.locator("#network")).to_contain_text("doesn’t answer just now")
    page.get_by_label("Notches").check()
    page.get_by_label("Register", exact=True).select_option("ring")
    page.wait_for_timeout(300)
    expect(page.get_by_label("Title", exact=True)).to_have_value("Low tide")
    page.context.set_offline(False)
    expect(page.locator("#network")).to_contain_text("answers again; nothing was lost")
    text = page.locator("#job-text")
    expect(text).to_have_value(re.compile(r'title = "Low tide".*"notch".*register = "ring"', re.DOTALL))
    # The program itself is held up, as it is when a computer sleeps.
    process.send_signal(signal.SIGSTOP)
    page.get_by_label("Title", exact=True).fill("High tide")
    page.keyboard.press("Tab")
    page.wait_for_timeout(300)
    process.send_signal(signal.SIGCONT)
    expect(text).to_have_value(re.compile(r'title = "High tide"'))
    page.get_by_role("button", name="Stop and keep").click()
    expect(page.locator("#progress")).to_contain_text("Stopping; the best so far is kept")


def _is_started_anew(page: Page) -> None:
    """While the computer slept: such a program knows neither this page nor its job."""
    page.context.set_offline(True)
    page.get_by_label("Title", exact=True).fill("Ebb")
    page.keyboard.press("Tab")
    expect(page.locator("#network")).to_contain_text("doesn’t answer just now")
    page.route("**/unsaved", _a_stranger)
    page.context.set_offline(False)
    expect(page.locator("#network")).to_contain_text("was started anew")
    with page.expect_download() as download:
        page.get_by_role("link", name="Keep the job file").click()
    assert 'title = "High tide"' in Path(download.value.path()).read_text(encoding="utf-8")
    expect(page.get_by_label("Title", exact=True)).to_have_value("Ebb")
