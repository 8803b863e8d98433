"""What the tests in a browser share: finding one's way by the Tab key, and looking at what is there."""

from __future__ import annotations

from enum import Enum
from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

# The name of what has the focus, as it is read out; and whether the eye finds it.
_FOCUSED = """() => {
  const element = document.activeElement;
  const labels = element.labels ? [...element.labels].map((label) => label.textContent) : [];
  const name = element.getAttribute("aria-label") || labels.join(" ") || element.textContent;
  const style = getComputedStyle(element), box = element.getBoundingClientRect();
  const down = box.top + Math.min(box.height, innerHeight) / 2;
  const middle = document.elementFromPoint(box.left + box.width / 2, down);
  const near = [element, ...(element.labels || [])];
  return {
    name: name.replace(/\\s+/g, " ").trim(), id: element.id, tag: element.tagName,
    outlined: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    covered: !middle || !near.some((part) => part.contains(middle) || middle.contains(part)),
  };
}"""
# What can be pressed, with the smaller side of its box; a box to tick is pressed by its label, too.
_TARGETS = """() => [...document.querySelectorAll("a[href], button, input, select, textarea, summary")]
  .filter((element) => element.checkVisibility() && element.type !== "hidden" && !element.matches(".skip"))
  .map((element) => {
    const label = element.closest("label"), box = (label || element).getBoundingClientRect();
    return [(element.id || element.outerHTML.slice(0, 80)), Math.min(box.width, box.height)];
  })
  .filter(([, side]) => side < 23.99)"""
# Only what is broken, and of that a line each: all that passes would be megabytes to carry over.
_RUN_AXE = """async (options) => {
  const found = await axe.run(document, { resultTypes: ["violations"], ...options });
  const lines = (broken) => broken.nodes.map((node) => `${broken.id}: ${node.html.slice(0, 120)}`);
  return found.violations.flatMap(lines);
}"""
_MOST_STOPS = 400
_MOST_LOOKS = 20


class Look(Enum):
    """What axe looks at. Colours take most of its time, and are the same in windows of any width."""

    ALL = {}  # noqa: RUF012
    COLOURS = {"runOnly": {"type": "rule", "values": ["color-contrast"]}}  # noqa: RUF012
    ALL_BUT_COLOURS = {"rules": {"color-contrast": {"enabled": False}}}  # noqa: RUF012


def violations(page: Page, look: Look = Look.ALL) -> list[str]:
    """Return what axe finds, a line each."""
    if not page.evaluate("'axe' in window"):  # read once a page: it is half a megabyte
        page.evaluate(AXE_SCRIPT)
    return list(page.evaluate(_RUN_AXE, look.value))


def too_small(page: Page) -> list[Any]:
    """Return what is harder to hit than WCAG 2.2's 2.5.8 allows, which asks 24 px."""
    return list(page.evaluate(_TARGETS))


def focused(page: Page) -> dict[str, Any]:
    """Return what has the focus."""
    found: dict[str, Any] = page.evaluate(_FOCUSED)
    return found


def tab_to(page: Page, name: str, key: str = "Tab") -> None:
    """Press Tab until what is called so has the focus; wherever it stops on the way it must be seen."""
    passed = []
    for _ in range(_MOST_STOPS):
        page.keyboard.press(key)
        here = focused(page)
        for _ in range(_MOST_LOOKS):  # scrolling there may still be on its way
            if here["tag"] == "BODY" or not here["covered"]:
                break
            page.wait_for_timeout(50)
            here = focused(page)
        else:
            raise AssertionError(f"{here['name'][:80]}: something lies over it")
        if here["name"] == name:
            assert here["outlined"], f"{name}: the focus isn't seen"
            return
        passed.append(here["name"][:40])
    raise AssertionError(f"Tab never comes to {name}; it passed {passed}")


def fill(page: Page, name: str, text: str) -> None:
    """Go to a field by Tab and type over what is there."""
    tab_to(page, name)
    page.keyboard.press("Control+a")
    page.keyboard.type(text)
