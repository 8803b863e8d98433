"""Parts of an SVG that are used elsewhere: what `use` refers to. Own code.

Source: W3C, SVG 1.1 (Second Edition), 5.6 (use): what it refers to is drawn in its place.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from xml.parsers import expat

from cutfiles.core.errors import UnreadableError
from cutfiles.findings.limits import MOST_PARTS, check_count

OnStart = Callable[[str, dict[str, str]], None]
OnEnd = Callable[[str], None]
_HREFS = ("href", "http://www.w3.org/1999/xlink href")


@dataclass(frozen=True, slots=True)
class Event:
    """An element begins with its attributes, or with None ends."""

    tag: str
    attributes: dict[str, str] | None


def target_of(attributes: dict[str, str]) -> str | None:
    """Return the id that a `use` refers to; None if it refers to nothing in its own file."""
    href = next((attributes[key] for key in _HREFS if key in attributes), "")
    return href[1:] if len(href) > 1 and href.startswith("#") else None


def used_parts(content: bytes) -> dict[str, tuple[Event, ...]]:
    """Return the elements that any `use` refers to, by id; nothing for a file without.

    Raises:
        ExpatError: it is no well-formed XML.
        UnreadableError: it declares entities.
        TooMuchError: what is used holds more than can be kept.
    """
    if b"use" not in content:
        return {}
    wanted: set[str] = set()

    def note_use(tag: str, attributes: dict[str, str]) -> None:
        if tag.rpartition(" ")[2] == "use":
            wanted.add(target_of(attributes) or "")

    _parse(content, note_use, None)
    wanted.discard("")
    if not wanted:
        return {}
    recorder = _Recorder(wanted)
    _parse(content, recorder.enter, recorder.leave)
    return {name: tuple(events) for name, events in recorder.parts.items()}


@dataclass(slots=True)
class _Recorder:
    wanted: set[str]
    parts: dict[str, list[Event]] = field(default_factory=dict)
    _depth: int = 0
    _kept: int = 0
    _open: list[tuple[int, str]] = field(default_factory=list)

    def enter(self, tag: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        name = attributes.get("id", "")
        if name in self.wanted and name not in self.parts:
            self.parts[name] = []
            self._open.append((self._depth, name))
        self._add(Event(tag, attributes))

    def leave(self, tag: str) -> None:
        self._add(Event(tag, None))
        if self._open and self._open[-1][0] == self._depth:
            self._open.pop()
        self._depth -= 1

    def _add(self, event: Event) -> None:
        self._kept += len(self._open)
        # Parts that are used may lie in parts that are used.
        check_count(self._kept, MOST_PARTS, "elements are used")
        for _, name in self._open:
            self.parts[name].append(event)


def _parse(content: bytes, start: OnStart, end: OnEnd | None) -> None:
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.EntityDeclHandler = refuse_entity
    parser.Parse(content, True)


def refuse_entity(*_declared: object) -> None:
    """Stop at a declared entity: a few bytes of them can stand for gigabytes.

    Raises:
        UnreadableError: always.
    """
    raise UnreadableError("declares entities, which machine files never need; not read")
