"""What a page of a PDF says of how it is shown: names of layers and inks, boxes, turns, layers that are off.

Source: ISO 32000-1:2008, table 30 (pages: boxes, Rotate, UserUnit), 8.11 (optional content: BaseState, ON,
OFF, usage), 8.4.5 (graphics state dictionaries: D, CA).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault
from cutfiles.formats.pdf.read_content import NamedState

if TYPE_CHECKING:
    from pypdf import PageObject, PdfReader

_OFF_PT = 0.01  # boxes that differ by less are rounding
_MIXED = {"/ICCBased", "/CalGray", "/CalRGB", "/DeviceGray", "/DeviceRGB", "/DeviceCMYK"}


def resources_of(page: PageObject, kind: str) -> dict[str, Any]:
    """Return what a page has names for, of one kind such as `/Properties`; references are not followed."""
    resources: Any = page.get("/Resources")
    named = None if resources is None else resources.get_object().get(kind)
    return {} if named is None else {key[1:]: value for key, value in named.get_object().items()}


def layers_of(page: PageObject) -> dict[str, str]:
    """Return the names of layers by what the page calls them."""
    return {key: _name(group, key) for key, group in resources_of(page, "/Properties").items()}


def _name(group: Any, key: str) -> str:
    groups = _groups(group)
    return str(groups[0].get_object().get("/Name", key)) if groups else key


def _groups(group: Any) -> list[Any]:
    """The layers that a property stands for: itself, or those of a membership dictionary."""
    properties = group.get_object()
    if properties.get("/Type") != "/OCMD":
        return [group]
    members = properties.raw_get("/OCGs") if "/OCGs" in properties else None
    if members is None:
        return []
    several = members.get_object()
    return list(several) if isinstance(several, list) else [members]


def off_layers(reader: PdfReader, page: PageObject) -> dict[str, str]:
    """Return the names of a page's layers that aren't shown when the file is opened, with the reason."""
    root: Any = reader.trailer["/Root"]
    content = root.get("/OCProperties")
    if content is None:
        return {}
    off = _off(content.get_object())
    hidden = {}
    for key, group in resources_of(page, "/Properties").items():
        members = [off.get(_id(member)) for member in _groups(group)]
        # Of several layers one that is on is enough.
        if members and all(members):
            hidden[_name(group, key)] = str(members[0])
    return hidden


def _off(content: Any) -> dict[object, str]:
    """Why layers are off, by what refers to them."""
    usual = content.get("/D")
    usual = {} if usual is None else usual.get_object()
    reasons: dict[object, str] = {}
    if usual.get("/BaseState") == "/OFF":
        reasons = {_id(group): "is off when the file is opened" for group in content.get("/OCGs", ())}
    for group in usual.get("/ON", ()):
        reasons.pop(_id(group), None)
    for group in usual.get("/OFF", ()):
        reasons[_id(group)] = "is off when the file is opened"
    for rule in usual.get("/AS", ()):
        for group in rule.get_object().get("/OCGs", ()):
            usage = group.get_object().get("/Usage")
            usage = {} if usage is None else usage.get_object()
            for way, key in (("/View", "/ViewState"), ("/Print", "/PrintState")):
                state = usage.get(way)
                if state is not None and state.get_object().get(key) == "/OFF":
                    reasons.setdefault(_id(group), f"is off for {way[1:].lower()}ing")
    return reasons


def _id(group: Any) -> object:
    """What a reference refers to; a layer that is no reference is itself."""
    return getattr(group, "idnum", None) or id(group)


def inks_of(page: PageObject) -> dict[str, NamedState]:
    """Return dashes and opacity by the names that the page has for them."""
    states = {}
    for key, state in resources_of(page, "/ExtGState").items():
        says = state.get_object()
        dash, opacity = says.get("/D"), says.get("/CA")
        dashed = None if dash is None else any(float(dash_length) for dash_length in dash.get_object()[0])
        states[key] = NamedState(dashed, None if opacity is None else float(opacity) == 0)
    return states


def spaces_of(page: PageObject) -> frozenset[str]:
    """Return the names of colour spaces whose numbers are of light or of the four inks."""
    names = set()
    for key, space in resources_of(page, "/ColorSpace").items():
        says = space.get_object()
        family = says[0] if isinstance(says, list) and says else says
        if str(family) in _MIXED:
            names.add(key)
    return frozenset(names)


def page_faults(page: PageObject, number: int) -> Iterator[Fault]:
    """Yield why a page doesn't print as it was laid out: turned, cropped, in other units."""
    place = f"page {number}"
    turn = int(page.get("/Rotate", 0) or 0) % 360
    if turn:
        yield Fault(Code.TURNED_PAGE, place, f"is shown turned by {turn} degrees")
    whole, shown = page.mediabox, page.cropbox
    lost = (
        float(shown.left) - float(whole.left),
        float(shown.bottom) - float(whole.bottom),
        float(whole.right) - float(shown.right),
        float(whole.top) - float(shown.top),
    )
    if max(lost) > _OFF_PT:
        yield Fault(Code.CROPPED_PAGE, place, "shows less than its sheet: a CropBox cuts some of it off")
    unit = float(page.get("/UserUnit", 1.0))
    if unit != 1.0:
        words = f"its UserUnit is {unit:g}, not 1: a program that passes it over prints another size"
        yield Fault(Code.TRUE_SIZE, place, words)
