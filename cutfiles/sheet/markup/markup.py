"""HTML and SVG elements, built as a tree: whatever text goes in is escaped on the way out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import cast

from lxml import etree

SVG_NAMESPACE = "http://www.w3.org/2000/svg"
# The library takes None for "no prefix"; its stubs only know text.
_NAMESPACES = cast("dict[str, str]", {None: SVG_NAMESPACE})

_SHORT_TABLE = 14  # rows

Element = etree._Element
Content = Element | str


def html(name: str, /, *content: Content, **attributes: str) -> Element:
    """Return an HTML element; `class_` stands for the attribute `class`."""
    element = etree.Element(name, None, None)
    return _filled(element, content, attributes)


def svg(name: str, /, *content: Content, **attributes: str) -> Element:
    """Return an SVG element; an underscore in an attribute's name stands for a hyphen."""
    element = etree.Element(f"{{{SVG_NAMESPACE}}}{name}", None, _NAMESPACES)
    return _filled(element, content, attributes)


def _filled(element: Element, content: Iterable[Content], attributes: dict[str, str]) -> Element:
    for key, value in attributes.items():
        element.set(key.rstrip("_").replace("_", "-"), value)
    last: Element | None = None
    for part in content:
        if not isinstance(part, str):
            element.append(part)
            last = part
        elif last is None:
            element.text = (element.text or "") + readable(part)
        else:
            last.tail = (last.tail or "") + readable(part)
    return element


def readable(text: str) -> str:
    """Return the text without the control characters that XML has no way to write."""
    return "".join(
        char if char.isprintable() or char in "\n\t" else "\N{REPLACEMENT CHARACTER}" for char in text
    )


def section(heading: str, *content: Content, **attributes: str) -> Element:
    """Return a part of the sheet under its own heading."""
    return html("section", html("h2", heading), *content, **attributes)


def paragraph(*content: Content) -> Element:
    """Return a paragraph."""
    return html("p", *content)


def bullets(items: Iterable[Content]) -> Element:
    """Return a list without an order."""
    return html("ul", *(html("li", item) for item in items))


def steps(items: Iterable[Content]) -> Element:
    """Return a numbered list with a box to tick at each step."""
    return html("ol", *(html("li", html("span", class_="box"), item) for item in items), class_="steps")


def table(headings: Sequence[str], groups: Iterable[Sequence[Sequence[Content]]]) -> Element:
    """Return a table; the rows of a group stay on one page, and cells of nothing join the one above.

    Args:
        headings: one a column.
        groups: groups of rows of cells; an empty text below another row of its group is joined to it.
    """
    head = html("thead", html("tr", *(html("th", heading, scope="col") for heading in headings)))
    bodies = [_group(rows) for rows in groups]
    # A short table stays on one page, a long one must not leave the rest of a page empty.
    is_short = sum(len(body) for body in bodies) <= _SHORT_TABLE
    return html("table", head, *bodies, **({"class_": "keep"} if is_short else {}))


def _group(rows: Sequence[Sequence[Content]]) -> Element:
    body = html("tbody")
    above: dict[int, Element] = {}
    for row in rows:
        line = html("tr")
        for column, content in enumerate(row):
            if content == "" and column in above:
                above[column].set("rowspan", str(int(above[column].get("rowspan", "1")) + 1))
                continue
            above[column] = html("td", content)
            line.append(above[column])
        body.append(line)
    return body
