"""How an SVG shows a line: whether at all, in what colour, whole or dashed. Own code.

Source: W3C, SVG 1.1 (Second Edition): 5.8 (systemLanguage), 6 (styling: a style attribute beats presentation
attributes), 11.4 (stroke), 11.5 (display, visibility), 14 (clip paths, masks, opacity),
15 (filters, whose result is drawn in place of the lines).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.svg.path_data import NUMBER

# What a child has from its parent, with the value that a document begins with.
_INHERITED = {
    "visibility": "visible",
    "stroke": "",  # not given: by the standard no line, but the area is black, and its edge is seen
    "fill": "",
    "stroke-width": "1",
    "stroke-opacity": "1",
    "stroke-dasharray": "none",
}
# What works on an element with all that is in it.
_OF_GROUPS = ("display", "opacity", "clip-path", "mask", "filter", "systemLanguage", "requiredFeatures")
SHOWN_BY = frozenset((*_INHERITED, *_OF_GROUPS, "requiredExtensions", "style"))
_NUMBER = re.compile(rf"\s*({NUMBER})\s*(%|[a-z]*)\s*")
_SHORT_HEX = re.compile(r"#([0-9a-f])([0-9a-f])([0-9a-f])")
_RGB = re.compile(
    r"rgba?\(\s*([0-9]{1,3})\s*[, ]\s*([0-9]{1,3})\s*[, ]\s*([0-9]{1,3})\s*(?:[,/]\s*([^)]*))?\)"
)
_NAMED = {
    "black": "#000000", "white": "#ffffff", "red": "#ff0000", "lime": "#00ff00", "blue": "#0000ff",
    "green": "#008000", "yellow": "#ffff00", "fuchsia": "#ff00ff", "magenta": "#ff00ff", "aqua": "#00ffff",
    "cyan": "#00ffff", "gray": "#808080", "grey": "#808080", "silver": "#c0c0c0", "maroon": "#800000",
    "navy": "#000080", "olive": "#808000", "purple": "#800080", "teal": "#008080",
}  # fmt: skip
_WHITE = "#ffffff"
_NOTHING = ("none", "transparent")


@dataclass(frozen=True, slots=True)
class Paint:
    """How lines are shown in one place of the tree.

    Args:
        values: of what is inherited: the value, and the place that says it.
        flaw: what is wrong with lines here; None if nothing is.
        told: the flaw is that of a group around, and was told there.
    """

    values: Mapping[str, tuple[str, str]]
    flaw: Fault | None = None
    told: bool = False

    @property
    def colour(self) -> str:
        """The colour of lines here, empty if none is given."""
        return _colour(self.values["stroke"][0])

    def within(self, attributes: Mapping[str, str], place: str) -> Paint:
        """Return how lines are shown in an element that says something of it."""
        said = {key: attributes[key] for key in SHOWN_BY if key in attributes}
        said.update(declarations(said.pop("style", "")))
        values = {
            key: (said[key].strip(), place) if said.get(key, "inherit").strip() != "inherit" else before
            for key, before in self.values.items()
        }
        if self.told:
            return Paint(values, self.flaw, told=True)
        flaw = _of_group(said, place)
        return Paint(values, flaw or _of_line(values), told=False)

    def hides_all(self) -> bool:
        """Return whether nothing inside can undo the flaw, so that it is reported once."""
        return self.flaw is not None and self.flaw.says.startswith(_WHOLE)

    def once_reported(self) -> Paint:
        """Return how lines are shown inside, once the flaw of the element around was reported."""
        if self.flaw is not None and self.flaw.code is Code.CLIPPED:
            return Paint(self.values, _of_line(self.values))  # of what is left something may be wrong, too
        return Paint(self.values, self.flaw, told=True)


_WHOLE = "with all that is in it"
USUAL_PAINT = Paint({key: (value, "svg") for key, value in _INHERITED.items()})


def declarations(style: str) -> dict[str, str]:
    """Return what a style attribute says, property by property."""
    properties = {}
    for part in style.split(";"):
        key, _, value = part.partition(":")
        if value.strip():
            properties[key.strip().lower()] = value.replace("!important", "").strip()
    return properties


def _of_group(said: Mapping[str, str], place: str) -> Fault | None:
    if said.get("display", "").strip() == "none":
        return Fault(Code.HIDDEN, place, f"{_WHOLE}: display is none")
    if _is_zero(said.get("opacity", "1")):
        return Fault(Code.HIDDEN, place, f"{_WHOLE}: its opacity is 0")
    for key in ("systemLanguage", "requiredFeatures", "requiredExtensions"):
        if key in said:
            words = f"{_WHOLE}: {key} shows it in some programs only"
            return Fault(Code.HIDDEN, place, words)
    for key in ("clip-path", "mask", "filter"):
        if said.get(key, "none").strip() != "none":
            return Fault(Code.CLIPPED, place, f"{_WHOLE}: has a {key}, which may take some of it away")
    return None


def _of_line(values: Mapping[str, tuple[str, str]]) -> Fault | None:
    colour, fill = _colour(values["stroke"][0]), _colour(values["fill"][0])
    dashes = [dash for dash in re.split(r"[\s,]+", values["stroke-dasharray"][0]) if _NUMBER.fullmatch(dash)]
    # The first that holds is told, at the place that says it.
    flaws = (
        (values["visibility"][0] in ("hidden", "collapse"), "visibility", "its visibility is hidden"),
        (colour in _NOTHING, "stroke", f"its stroke is {colour}: there is no line"),
        (not colour and fill in _NOTHING, "fill", "has neither stroke nor fill"),
        (colour == _WHITE, "stroke", "is white on white"),
        (_is_zero(values["stroke-width"][0]), "stroke-width", "its stroke has no width"),
        (_is_zero(values["stroke-opacity"][0]), "stroke-opacity", "its stroke's opacity is 0"),
        (not all(map(_is_zero, dashes)), "stroke-dasharray", "is dashed"),
    )
    for holds, key, says in flaws:
        if holds:
            code = Code.DASHED if key == "stroke-dasharray" else Code.HIDDEN
            return Fault(code, values[key][1], says)
    return None


def _is_zero(text: str) -> bool:
    match = _NUMBER.fullmatch(text)
    return match is not None and float(match[1]) <= 0


def _colour(text: str) -> str:
    """A colour as `#rrggbb` where it can be told, in small letters; `transparent` where nothing is seen."""
    colour = text.strip().lower()
    colour = _SHORT_HEX.sub(r"#\1\1\2\2\3\3", colour) if len(colour) == 4 else colour
    mixed = _RGB.fullmatch(colour)
    if mixed is not None:
        if mixed[4] is not None and _is_zero(mixed[4]):
            return "transparent"
        return "#" + "".join(f"{min(255, int(mixed[part])):02x}" for part in (1, 2, 3))
    return _NAMED.get(colour, colour)
